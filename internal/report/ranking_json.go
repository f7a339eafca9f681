package report

import (
	"cloche/internal/analysis"
	"cloche/internal/study"
)

// rankingWire is what an order of all samples has.
type rankingWire struct {
	RankSums        map[study.SampleID]int   `json:"rank_sums"`
	MeanRanks       map[study.SampleID]value `json:"mean_ranks"`
	Places          map[study.SampleID][]int `json:"places"` // people at each place, the first place first
	Worths          []worthWire              `json:"worths"` // chance to be put before all others
	Agreement       value                    `json:"kendall_w"`
	LeastDifference value                    `json:"least_significant_difference"` // of two rank sums, at 5 %
	RankedPairs     []rankedPairWire         `json:"ranked_pairs"`
}

// worthWire is what a sample is worth.
type worthWire struct {
	Sample study.SampleID `json:"sample"`
	Value  value          `json:"value"`
	CI     [2]value       `json:"ci"`
}

// rankedPairWire is a pair of samples within an order.
type rankedPairWire struct {
	Comparison [2]study.SampleID `json:"comparison"`
	Before     int               `json:"before"` // people who put the first before the second
	After      int               `json:"after"`
	Share      value             `json:"share"` // of before
	CI         [2]value          `json:"ci"`
	Level      value             `json:"level"`
	Adjusted   [2]value          `json:"ci_adjusted"`
	Same       [2]value          `json:"ci_equivalence"`
	Test       testWire          `json:"test"`
	Sums       testWire          `json:"test_of_rank_sums"`
}

func rankingToWire(f analysis.Finding) *rankingWire {
	w := &rankingWire{RankSums: map[study.SampleID]int{}, MeanRanks: map[study.SampleID]value{},
		Places: map[study.SampleID][]int{}, Agreement: value(f.Ranking.W),
		LeastDifference: value(f.Ranking.LeastDifference)}
	for _, x := range f.Ranking.Samples {
		w.RankSums[x.Sample], w.MeanRanks[x.Sample], w.Places[x.Sample] = x.Sum, value(x.Mean), x.At
		w.Worths = append(w.Worths, worthWire{x.Sample, value(x.Worth.Value), ends(x.Worth.CI)})
	}
	for _, p := range f.Ranking.Pairs {
		w.RankedPairs = append(w.RankedPairs, rankedPairWire{[2]study.SampleID{p.First, p.Second}, p.Before, p.After,
			value(p.Share), ends(p.CI), value(p.CI.Level), ends(p.Adjusted), ends(p.EquivalenceCI), testToWire(p.Test),
			testToWire(p.Sums)})
	}
	return w
}

package analysis

import (
	"math"

	"cloche/internal/stats"
	"cloche/internal/study"
)

var answerRightAlone = answering{question: study.RightAlone, find: findRightAlone}

// findRightAlone answers whether one dish is about right: what decides first, then what else
// is asked so.
func findRightAlone(s *study.Study, ratings []Rating, _ []Expectation, _ *leftOut, r *Result) (err error) {
	r.Findings, err = findAboutRight(s, ratings)
	return err
}

// SurestDrop is the side of a sample that the test of answers about right is of; false where
// nobody on a side said how much they like it, or there are no such answers.
func (f *Finding) SurestDrop() (of study.SampleID, side int, ok bool) {
	least := math.Inf(1)
	for _, x := range f.AboutRight.Samples {
		if x.Low.Test.P < least {
			of, side, least = x.Sample, study.TooLittle, x.Low.Test.P
		}
		if x.High.Test.P < least {
			of, side, least = x.Sample, study.TooMuch, x.High.Test.P
		}
	}
	return of, side, !math.IsInf(least, 1)
}

// DropOn is the drop in liking on a side of a sample; absent where there is none.
func (f *Finding) DropOn(of study.SampleID, side int) (float64, stats.Interval) {
	for _, x := range f.AboutRight.Samples {
		if x.Sample == of && side == study.TooLittle {
			return x.Low.Drop.Value, x.Low.Drop.CI
		}
		if x.Sample == of {
			return x.High.Drop.Value, x.High.Drop.CI
		}
	}
	return math.NaN(), stats.NoInterval(f.CI.Level)
}

// movesDropMost is without whom the drop that is surest moves furthest; "" for nobody. A mean of
// n that lies so far from a value moves by that over n − 1 without it.
func (x answered) movesDropMost() (who string) {
	plan := x.s.Plan
	asked, _ := x.s.Attribute(plan.Attribute)
	_, side, _ := x.f.SurestDrop()
	liked, said := map[string]float64{}, map[string]int{}
	for _, r := range x.answers {
		switch r.Attribute {
		case plan.Liking:
			liked[r.Assessor] = r.Value
		case asked.ID:
			said[r.Assessor] = asked.Scale.SideOf(r.Value)
		}
	}
	groups := map[int][]float64{}
	people := assessorsOf(x.answers)
	for _, one := range people {
		if v, ok := liked[one]; ok {
			groups[said[one]] = append(groups[said[one]], v)
		}
	}
	most := -1.0
	for _, one := range people {
		v, ok := liked[one]
		group := groups[said[one]]
		if !ok || said[one] != side && said[one] != study.JustRight || len(group) < 2 {
			continue
		}
		if by := math.Abs(v-stats.Mean(group)) / float64(len(group)-1); by > most+1e-12 {
			who, most = one, by
		}
	}
	return who
}

func (d DryRun) oneDish() bool { return d.Study.Question.Kind().OneDish }

// saidAlone are the simulated answers of one dish, as its size supposes: of ten guests three
// say too much, one too little and six about right; those who say too much like it less by the
// difference. The spread of liking is half of the guest's own and half of the single rating.
func (d DryRun) saidAlone(seed uint64) []Rating {
	liking, _ := d.Study.Attribute(d.Study.Plan.Liking)
	asked, _ := d.Study.Attribute(d.Study.Plan.Attribute)
	sd := d.Spread / math.Sqrt2
	truth := Truth{liking.ID: {Mean: (liking.Scale.Min() + liking.Scale.Max()) / 2, AssessorSD: sd, RatingSD: sd},
		// of a normal variable with this mean and 0.3915·√2 three tenths lie above ½ and one below −½
		asked.ID: {Mean: float64(len(asked.Scale.Labels)+1)/2 + 0.2096, AssessorSD: 0.3915, RatingSD: 0.3915}}
	all := Simulate(d.Study, d.Plan, truth, seed)
	x := truth[liking.ID]
	x.Mean -= d.Difference
	truth[liking.ID] = x
	less := Simulate(d.Study, d.Plan, truth, seed) // the same guests
	tooMuch := map[string]bool{}
	for _, r := range all {
		if r.Attribute == asked.ID && asked.Scale.SideOf(r.Value) == study.TooMuch {
			tooMuch[r.Assessor] = true
		}
	}
	for i, r := range all {
		if r.Attribute == liking.ID && tooMuch[r.Assessor] {
			all[i] = less[i]
		}
	}
	return all
}

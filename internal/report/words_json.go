package report

import (
	"cloche/internal/analysis"
	"cloche/internal/study"
)

// wordsWire is what words that people tick have.
type wordsWire struct {
	Words      []wordWire             `json:"words"`
	TickedNone map[study.SampleID]int `json:"ticked_none"` // people who ticked none of them
	Draws      int                    `json:"draws"`
	Map        *wordMapWire           `json:"map,omitempty"` // only where samples differ beyond chance
}

// wordWire is one word.
type wordWire struct {
	Attribute study.AttributeID      `json:"attribute"`
	Word      string                 `json:"word"`
	Ticked    map[study.SampleID]int `json:"ticked"`
	Test      testWire               `json:"test"`
	Pairs     []wordPairWire         `json:"word_pairs"`
	With      *wordRatedWire         `json:"rated,omitempty"` // only where something is rated beside
}

type wordPairWire struct {
	Comparison [2]study.SampleID `json:"comparison"`
	OnlyFirst  int               `json:"only_first"`
	OnlySecond int               `json:"only_second"`
	Difference value             `json:"difference"` // of the shares who ticked it
	CI         [2]value          `json:"ci"`
	Level      value             `json:"level"`
	Adjusted   [2]value          `json:"ci_adjusted"`
	AdjustedAt value             `json:"level_adjusted"`
	Same       *[2]value         `json:"ci_equivalence,omitempty"`
	Test       testWire          `json:"test"`
}

type wordRatedWire struct {
	Attribute  study.AttributeID `json:"attribute"`
	N          int               `json:"n"`
	With       value             `json:"with"`
	Without    value             `json:"without"`
	Difference value             `json:"difference"`
	CI         [2]value          `json:"ci"`
	Test       testWire          `json:"test"`
}

type wordMapWire struct {
	Inertia value                          `json:"inertia"`
	Shares  [2]value                       `json:"shares"`
	Samples map[study.SampleID][2]value    `json:"samples"`
	Words   map[study.AttributeID][2]value `json:"words"`
}

func wordsToWire(f analysis.Finding) *wordsWire {
	w := &wordsWire{TickedNone: bySample(f, f.Words.None), Draws: f.Words.Draws, Words: []wordWire{}}
	for _, x := range f.Words.Words {
		word := wordWire{Attribute: x.ID, Word: x.Word, Ticked: bySample(f, x.Ticked), Test: testToWire(x.Test),
			Pairs: []wordPairWire{}}
		for _, p := range x.Pairs {
			pair := wordPairWire{[2]study.SampleID{p.First, p.Second}, p.OnlyFirst, p.OnlySecond, value(p.Difference),
				ends(p.CI), value(p.CI.Level), ends(p.Adjusted), value(p.Adjusted.Level), nil, testToWire(p.Test)}
			if p.EquivalenceCI.Level > 0 {
				pair.Same = pointTo(ends(p.EquivalenceCI))
			}
			word.Pairs = append(word.Pairs, pair)
		}
		if r := x.With; r != nil {
			word.With = &wordRatedWire{f.Words.Beside, r.People, value(r.Ticked), value(r.Without), value(r.Difference),
				ends(r.CI), testToWire(r.Test)}
		}
		w.Words = append(w.Words, word)
	}
	if m := f.Words.Map; m != nil {
		w.Map = &wordMapWire{value(m.Inertia), [2]value{value(m.Share[0]), value(m.Share[1])},
			map[study.SampleID][2]value{}, map[study.AttributeID][2]value{}}
		for j, id := range f.Comparison {
			w.Map.Samples[id] = [2]value{value(m.Samples[j][0]), value(m.Samples[j][1])}
		}
		for _, x := range m.Words {
			w.Map.Words[x.ID] = [2]value{value(x.At[0]), value(x.At[1])}
		}
	}
	return w
}

// bySample are counts in the order of the comparison by sample.
func bySample(f analysis.Finding, counts []int) map[study.SampleID]int {
	by := map[study.SampleID]int{}
	for j, n := range counts {
		by[f.Comparison[j]] = n
	}
	return by
}

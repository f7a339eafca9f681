package analysis

import (
	"cmp"
	"math"
	"slices"

	"cloche/internal/method"
	"cloche/internal/stats"
	"cloche/internal/study"
)

// PanelPart is what only a comparison of all samples has.
type PanelPart struct {
	Estimates  []SampleEstimate // in the order of the study
	Pairs      []PanelPair      // all of them, adjusted together within the attribute
	Adjustment method.ID        // of the pairs
	Complete   int              // assessors who rated every sample; the tests beside the model are of them
	Each       []Rated          // what everybody said, for the figure
	Sittings   int              // whose levels the model has at random; 0 = none, or one only
	Scatter    []Scatter        // by the model, of what is random in it
}

// Scatter is a standard deviation in a mixed model, in scale points: between the levels of
// something random, or of what is left.
type Scatter struct {
	Of ScatterOf
	SD float64
}

// ScatterOf says what scatters: a stable short word.
type ScatterOf string

// What scatters in a model of all samples.
const (
	ScatterAssessor ScatterOf = "assessor"
	ScatterSitting  ScatterOf = "sitting"
	ScatterDay      ScatterOf = "assessor:sitting" // an assessor from one sitting to another
	ScatterSample   ScatterOf = "assessor:sample"  // an assessor on a sample, beyond what all find of it
	ScatterRest     ScatterOf = "rest"
)

// SampleEstimate is the mean of a sample by the model, as if everybody had tasted it at
// every position.
type SampleEstimate struct {
	Sample  study.SampleID
	N       int // assessors who rated it
	Mean    float64
	CI      stats.Interval
	Letters string // samples that share a letter are not told apart; "" when nothing was tested
}

// PanelPair compares two samples of a panel finding, first minus second.
type PanelPair struct {
	First, Second   study.SampleID
	Difference      float64        // by the model
	CI              stats.Interval // on its own
	Adjusted        stats.Interval // with all pairs; absent in a plan by ranks
	EquivalenceCI   stats.Interval // of two one-sided tests at alpha, see [PanelPart.inside]
	Test            Test           // adjusted with all pairs
	WithCarryOver   float64        // the difference with carry-over allowed for; NaN when that cannot be told
	WithCarryOverCI stats.Interval // on its own
	// WithCarryOverTest is that of the difference with carry-over allowed for, on its own.
	WithCarryOverTest Test
}

// Rated is what somebody said of a sample.
type Rated struct {
	Assessor string
	Sample   study.SampleID
	Value    float64
}

// giveLetters marks which samples are not told apart at this level: those that share a
// letter, a for the highest mean. Insert and absorb: Piepho (2004), J. Comput. Graph.
// Stat. 13:456.
func (p *PanelPart) giveLetters(alpha float64) {
	index := map[study.SampleID]int{}
	for i, e := range p.Estimates {
		index[e.Sample] = i
	}
	all := make([]int, len(p.Estimates))
	for i := range all {
		all[i] = i
	}
	slices.SortStableFunc(all, func(a, b int) int { return cmp.Compare(p.Estimates[b].Mean, p.Estimates[a].Mean) })
	groups, tested := [][]int{all}, false
	for _, pair := range p.Pairs {
		tested = tested || !math.IsNaN(pair.Test.PAdjusted)
		if pair.Test.PAdjusted < alpha {
			groups = apart(groups, index[pair.First], index[pair.Second])
		}
	}
	if !tested {
		return
	}
	rank := make([]int, len(all))
	for at, i := range all {
		rank[i] = at
	}
	slices.SortFunc(groups, func(a, b []int) int {
		return slices.CompareFunc(a, b, func(i, j int) int { return cmp.Compare(rank[i], rank[j]) })
	})
	for g, members := range groups {
		for _, i := range members {
			p.Estimates[i].Letters += letter(g)
		}
	}
}

// apart splits every group that holds both samples in two, and drops what lies within
// another group.
func apart(groups [][]int, a, b int) [][]int {
	var split [][]int
	for _, g := range groups {
		if !slices.Contains(g, a) || !slices.Contains(g, b) {
			split = append(split, g)
			continue
		}
		for _, out := range []int{a, b} {
			split = append(split, slices.DeleteFunc(slices.Clone(g), func(i int) bool { return i == out }))
		}
	}
	var kept [][]int
	for i, g := range split {
		within := slices.ContainsFunc(split, func(h []int) bool { return len(h) > len(g) && subset(g, h) }) ||
			slices.ContainsFunc(split[:i], func(h []int) bool { return slices.Equal(g, h) })
		if !within {
			kept = append(kept, g)
		}
	}
	return kept
}

func subset(g, of []int) bool {
	return !slices.ContainsFunc(g, func(i int) bool { return !slices.Contains(of, i) })
}

// letter is a, b, … z, A, B, …
func letter(i int) string {
	if i < 26 {
		return string(rune('a' + i))
	}
	return string(rune('A' + (i-26)%26))
}

// inside reports whether all samples are practically the same: whether every pair is, each
// by two one-sided tests at alpha. That all are is found at alpha too, with nothing to
// adjust, because every one of the tests has to find it (Berger 1982, Technometrics 24:295,
// from memory).
func (p *PanelPart) inside(margin float64) bool {
	for _, pair := range p.Pairs {
		if !inside(pair.EquivalenceCI, margin) {
			return false
		}
	}
	return len(p.Pairs) > 0
}

// judgePanel gives the verdict on all samples. The adjusted intervals of the pairs stand
// for the one of a single difference: beyond the margin when any pair is.
func (f *Finding) judgePanel(plan study.AnalysisPlan) {
	e := evidence{n: f.N, fewest: Fewest(plan.Alpha), found: f.Test.Deciding() < plan.Alpha}
	v := Verdict{Margin: f.smallest(plan)}
	e.inside = f.Panel.inside(v.Margin)
	for _, p := range f.Panel.Pairs {
		e.beyond = e.beyond || beyond(p.Adjusted, v.Margin)
	}
	v.Code = e.code()
	f.Verdict = v
	f.Verdict.Next = f.next(plan)
}

// adjustPanels adjusts the secondary findings on whole panels together, by Holm's
// method: one for each attribute.
func adjustPanels(plan study.AnalysisPlan, findings []Finding) {
	var family []*Finding
	var ps []float64
	for i := range findings {
		if f := &findings[i]; f.Kind == KindPanel && f.Role == Secondary && !math.IsNaN(f.Test.P) {
			family, ps = append(family, f), append(ps, f.Test.P)
		}
	}
	if len(family) < 2 || plan.Adjust == study.NoAdjustment {
		return
	}
	for i, p := range stats.Holm(ps) {
		family[i].Test.PAdjusted, family[i].Family = p, len(family)
	}
}

func (p *panel) remarkPanel(s *study.Study, a study.Attribute, f *Finding) {
	if need := Fewest(s.Plan.Alpha); f.N < need {
		f.warn(warnFewPairs(f.N, need, "rated any of the samples"))
	}
	if f.Panel.Complete < f.N {
		f.warn(warnPanelIncomplete(f.N-f.Panel.Complete, f.N))
	}
	broken, all := 0, 0
	for _, x := range s.Samples {
		broken, all = p.column(a.ID, x.ID).addRevealed(broken, all)
	}
	if broken > 0 {
		f.warn(warnBlindBroken(broken, all))
	}
}

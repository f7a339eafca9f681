package analysis

import (
	"math"
	"slices"

	"cloche/internal/method"
	"cloche/internal/stats"
	"cloche/internal/study"
)

// FurthestApart are the two samples of a whole panel whose means differ most, and of an
// order the two that most people put the same way round: what is told of all of them
// when they are reckoned anew. Not ok where there are none.
func (f *Finding) FurthestApart() (first, second study.SampleID, ok bool) {
	most := -1.0
	look := func(a, b study.SampleID, by float64) {
		if by > most {
			first, second, most, ok = a, b, by, true
		}
	}
	for _, p := range f.Panel.Pairs {
		look(p.First, p.Second, math.Abs(p.Difference))
	}
	for _, p := range f.Ranking.Pairs {
		look(p.First, p.Second, math.Abs(p.Share-evenShare))
	}
	return first, second, ok
}

// recheckPanel is [panel.recheck] of all samples together. The value of each way is the
// difference of the two that lie furthest apart.
func (p *panel) recheckPanel(s *study.Study, f *Finding) error {
	pair, ok := f.panelPair(f.FurthestApart())
	if !ok {
		return nil
	}
	f.Value = pair.Difference
	defer func() { f.Value = math.NaN() }() // a panel has no single estimate
	for _, t := range f.Also {
		if math.IsNaN(t.P) {
			continue
		}
		r := Recheck{Method: t.Method, What: t.Name(), N: f.Panel.Complete, Value: math.NaN(),
			CI: stats.NoInterval(s.Plan.Level()), P: t.P}
		switch t.Method {
		case method.MixedF:
			r.N, r.Value, r.CI = f.N, pair.Difference, pair.CI
		case method.MixedFCarryOver:
			r.N, r.Value, r.CI = f.N, pair.WithCarryOver, pair.WithCarryOverCI
		}
		f.reckoned(r, s.Plan.Alpha, 0)
	}
	a, _ := s.Attribute(f.Attribute)
	return p.recheckPeople(s, f, furthest(profiles(f.Panel.Each, f.Comparison)), "who is furthest from the others",
		func(what string, people []string) (Recheck, error) {
			again, _, _, err := p.without(a.ID, s.Samples, people).compareTogether(s, a)
			r := Recheck{What: what, N: again.N, Value: math.NaN(), CI: stats.NoInterval(s.Plan.Level()),
				P: again.Test.P}
			if x, ok := again.panelPair(pair.First, pair.Second, true); ok {
				r.Value, r.CI = x.Difference, x.Adjusted
			}
			return r, err
		}, s.Plan.Alpha)
}

func (f *Finding) panelPair(first, second study.SampleID, ok bool) (PanelPair, bool) {
	at := slices.IndexFunc(f.Panel.Pairs, func(p PanelPair) bool { return p.First == first && p.Second == second })
	if !ok || at < 0 {
		return PanelPair{}, false
	}
	return f.Panel.Pairs[at], true
}

// profiles are what everybody said of some samples, each as far from their own mean, NaN
// where they did not say.
func profiles(each []Rated, samples []study.SampleID) map[string][]float64 {
	all := map[string][]float64{}
	for _, r := range each {
		k := slices.Index(samples, r.Sample)
		if k < 0 {
			continue
		}
		if all[r.Assessor] == nil {
			all[r.Assessor] = slices.Repeat([]float64{math.NaN()}, len(samples))
		}
		all[r.Assessor][k] = r.Value
	}
	for _, row := range all {
		own := meanOfKnown(row)
		for k := range row {
			row[k] -= own
		}
	}
	return all
}

// furthest is whose profile lies furthest from the mean of all.
func furthest(all map[string][]float64) string {
	people := make([]string, 0, len(all))
	for who := range all {
		people = append(people, who)
	}
	slices.SortFunc(people, natural)
	if len(people) == 0 {
		return ""
	}
	mean := make([]float64, len(all[people[0]]))
	for k := range mean {
		column := make([]float64, len(people))
		for i, who := range people {
			column[i] = all[who][k]
		}
		mean[k] = meanOfKnown(column)
	}
	most, by := people[0], -1.0
	for _, who := range people {
		sum := 0.0
		for k, v := range all[who] {
			if d := v - mean[k]; !math.IsNaN(d) {
				sum += d * d
			}
		}
		if sum > by {
			most, by = who, sum
		}
	}
	return most
}

func meanOfKnown(values []float64) float64 {
	known := slices.DeleteFunc(slices.Clone(values), math.IsNaN)
	if len(known) == 0 {
		return math.NaN()
	}
	return stats.Mean(known)
}

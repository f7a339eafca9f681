package analysis

import (
	"math"
	"slices"

	"cloche/internal/stats/dose"
	"cloche/internal/stats/ttest"
	"cloche/internal/study"
)

// remarkLevels says of a name that is served at several amounts if what it does depends on
// the amount: a t test of the slope, over these amounts, of how far each person rates the
// name above their own line. Only those count who have a line and rated the name at each.
func remarkLevels(s *study.Study, laid []Finding) error {
	under := map[study.NameID][]*Finding{}
	for i := range laid {
		x, _ := s.Sample(laid[i].Dose.Laid.Sample)
		under[x.Name] = append(under[x.Name], &laid[i])
	}
	for _, served := range under {
		slopes, err := shiftSlopes(served)
		if err != nil {
			return err
		}
		if len(slopes) < Fewest(s.Plan.Alpha) {
			continue
		}
		t, err := ttest.Paired(slopes, slices.Repeat([]float64{0}, len(slopes)), ttest.PairedOptions{})
		if err != nil {
			return err
		}
		if t.P < s.Plan.Alpha {
			for _, f := range served {
				f.warn(warnShiftByLevel(s.NameText(f.Dose.Laid.Sample), t.P))
			}
		}
	}
	return nil
}

// shiftSlopes are the slopes, over the amounts at which a name was served, of how far each
// person rated it above their own line.
func shiftSlopes(served []*Finding) (slopes []float64, err error) {
	if len(served) < 2 {
		return nil, nil
	}
	at, above := make([]float64, len(served)), map[string][]float64{}
	var people []string
	for i, f := range served {
		at[i] = f.Dose.Laid.Amount
		for _, x := range f.Dose.Each {
			v := x.Laid - x.Level - x.Slope*(at[i]-f.Dose.Centre)
			if math.IsNaN(v) {
				continue
			}
			if len(above[x.Assessor]) == 0 {
				people = append(people, x.Assessor)
			}
			above[x.Assessor] = append(above[x.Assessor], v)
		}
	}
	for _, who := range people {
		if len(above[who]) < len(at) {
			continue
		}
		fit, err := dose.LineThrough(at, above[who])
		if err != nil {
			return nil, err
		}
		slopes = append(slopes, fit.Slope)
	}
	return slopes, nil
}

package analysis

import (
	"cloche/internal/stats"
	"cloche/internal/stats/mixed"
	"cloche/internal/stats/model"
)

// Names of factors of the model, beside those of whole_panel.go.
const sittingFactor = "sitting"

// randomLevels is what has levels at random in the model of all samples.
type randomLevels struct {
	factors  []model.Factor
	terms    []mixed.RandomTerm
	sittings int  // in the model; 0 = none
	several  bool // people come to several, where variances are known badly
	warnings []Warning
}

// levels are the random terms of the model: the assessor; of several sittings the sitting
// too, in which assessors are nested unless somebody comes back; and where somebody does,
// what an assessor is higher or lower by at one sitting than at another, as far as that can
// be told from what is left; and where somebody rated a sample several times, what an
// assessor finds of a sample beyond what all do:
//
//	(1 | assessor) + (1 | sitting) + (1 | assessor:sitting) + (1 | assessor:sample)
//
// Bates et al. (2015), J. Stat. Softw. 67(1), sect. 2.2, nested and crossed. With positions
// fixed in the model, a sitting that all its positions tell is none of its levels: positions
// then hold all that sittings do, and the variance of sittings could be anything.
//
// Where people come to several sittings, how much of the difference of two samples is that
// between evenings hangs on variances that few people tell: Satterthwaite's F then errs in
// 6 to 7 of 100 studies of 16 people, and tests are by Kenward & Roger, see
// [mixed.Model].SmallSample.
func (t servings) levels(positions bool) randomLevels {
	out := randomLevels{factors: []model.Factor{factorOf(assessorFactor, t.assessor, len(t.people))},
		terms: []mixed.RandomTerm{{Group: model.Term{assessorFactor}}}}
	if most, _ := t.again(); most > 1 {
		out.terms = append(out.terms, ownSamples())
	}
	at := t.sittings()
	if at.number < 2 {
		return out
	}
	if why := at.confounded(len(t.people)); why != "" {
		out.warnings = append(out.warnings, warnSittingsOpen(why))
		return out
	}
	out.factors = append(out.factors, factorOf(sittingFactor, at.code, at.number))
	if positions && t.positionsTell(at) {
		out.warnings = append(out.warnings, warnSittingsOpen("each position was served at one of them, and the model "+
			"has what positions do"))
	} else {
		out.sittings = at.number
		out.terms = append(out.terms, mixed.RandomTerm{Group: model.Term{sittingFactor}})
	}
	if at.visits > len(t.people) && at.visits < len(t.rating) {
		out.terms = append(out.terms, mixed.RandomTerm{Group: model.Term{assessorFactor, sittingFactor}})
		out.several = true
	}
	return out
}

// attended is which sitting each rating was given at.
type attended struct {
	code    []int // from 0 without gaps
	number  int   // of sittings; 0 = not known of every rating
	visits  int   // of an assessor to a sitting
	mixed   bool  // some sitting has more than one sample
	several bool  // some sitting has more than one assessor
}

func (t servings) sittings() attended {
	type pair struct{ sitting, other int }
	index, visits, samples := map[int]int{}, map[pair]bool{}, map[pair]bool{}
	out := attended{code: make([]int, len(t.sitting))}
	for i, at := range t.sitting {
		if at == 0 {
			return attended{}
		}
		if _, ok := index[at]; !ok {
			index[at] = len(index)
		}
		out.code[i] = index[at]
		visits[pair{at, t.assessor[i]}], samples[pair{at, t.sample[i]}] = true, true
	}
	out.number, out.visits = len(index), len(visits)
	out.several, out.mixed = len(visits) > len(index), len(samples) > len(index)
	return out
}

// positionsTell reports whether what was served at a position was all served at one sitting.
func (t servings) positionsTell(at attended) bool {
	of := map[int]int{}
	for i, position := range t.position {
		if first, met := of[position]; met && first != at.code[i] {
			return false
		}
		of[position] = at.code[i]
	}
	return true
}

// confounded says why the sitting cannot be told from what else is in the model.
func (a attended) confounded(people int) string {
	switch {
	case !a.several && a.number == people:
		return "each had one assessor"
	case !a.mixed:
		return "each had one sample"
	}
	return ""
}

// scatter fills what the model says of the spread of what is random in it.
func (f *Finding) scatter(fit *mixed.Result) {
	of := map[string]ScatterOf{assessorFactor: ScatterAssessor, sittingFactor: ScatterSitting,
		assessorFactor + ":" + sittingFactor: ScatterDay, assessorFactor + ":" + sampleFactor: ScatterSample}
	for _, v := range fit.Variances {
		what, ok := of[v.Group]
		if !ok {
			what = ScatterRest
		}
		f.Panel.Scatter = append(f.Panel.Scatter, Scatter{what, v.SD})
	}
}

// warnFit are the warnings of a fitted model; that levels do not differ is said in words of
// people and sittings.
func (f *Finding) warnFit(fit *mixed.Result) {
	for _, w := range fit.Warnings {
		if w.Code != stats.WarnSingular {
			f.warn(Warning(w))
		}
	}
	for _, v := range f.Panel.Scatter {
		if v.SD == 0 && v.Of != ScatterRest {
			f.warn(warnFlat(v.Of))
		}
	}
}

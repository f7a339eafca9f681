package analysis

import (
	"errors"
	"fmt"
	"math"
	"slices"

	"cloche/internal/stats"
	"cloche/internal/stats/mixed"
	"cloche/internal/stats/model"
	"cloche/internal/study"
)

// WarnReplicatesModel says how the model of all samples takes several ratings of a sample by
// one assessor.
const WarnReplicatesModel = "replicates-in-model"

// Several ratings of a sample by one assessor are not so many opinions. Where people differ
// in what they find of a sample, the ratings of one person stray together, and a model with
// the assessor alone at random takes all that strays for chance from one rating to the next:
// its F comes out too large. The model then has what is the assessor's own about a sample at
// random too,
//
//	(1 | assessor) + (1 | assessor:sample)
//
// so that samples are held against how far people differ on them: Searle (1971), Linear
// Models, sect. 9.4; Bates et al. (2015), J. Stat. Softw. 67(1), sect. 2.2.

// again is the most ratings of a sample by one assessor, 1 where nobody rated one twice, and
// how many there are of an assessor and a sample. Those of one stand together.
func (t servings) again() (most, cells int) {
	count := 0
	for i := range t.rating {
		if i == 0 || t.assessor[i] != t.assessor[i-1] || t.sample[i] != t.sample[i-1] {
			count, cells = 0, cells+1
		}
		count++
		most = max(most, count)
	}
	return most, cells
}

// ownSamples is the random term of what an assessor finds of a sample, beyond what all do.
func ownSamples() mixed.RandomTerm {
	return mixed.RandomTerm{Group: model.Term{assessorFactor, sampleFactor}}
}

// fitModel fits the mixed model of all samples. Where somebody rated a sample several times
// and these ratings leave nothing to tell what is their own about it from chance, as when
// everybody repeats themselves exactly, the model is that of the mean of each assessor and
// sample, without positions.
func (f *Finding) fitModel(s *study.Study, t servings, ordered bool) (*mixed.Result, error) {
	most, cells := t.again()
	if most < 2 {
		return f.fitLevels(s, t, ordered)
	}
	before := *f
	fit, err := f.fitLevels(s, t, ordered)
	if err == nil && fit.Converged && !math.IsNaN(f.Test.P) {
		f.warn(warnReplicatesModel(most))
		return fit, nil
	}
	if err != nil && !errors.Is(err, model.ErrGrouping) {
		return nil, err
	}
	*f = before
	f.warn(warnReplicatesMeans(most))
	return f.fitLevels(s, t.means(cells), false)
}

// means are the ratings with one for each assessor and sample: their mean.
func (t servings) means(cells int) servings {
	out := servings{people: t.people, samples: t.samples, known: t.known}
	at := make(map[[2]int]int, cells)
	var count []float64
	for i, v := range t.rating {
		cell := [2]int{t.assessor[i], t.sample[i]}
		k, met := at[cell]
		if !met {
			at[cell] = len(out.rating)
			out.rating = append(out.rating, v)
			out.position, out.sitting = append(out.position, 0), append(out.sitting, 0)
			out.assessor, out.sample = append(out.assessor, cell[0]), append(out.sample, cell[1])
			count = append(count, 1)
			continue
		}
		count[k]++
		out.rating[k] += (v - out.rating[k]) / count[k]
	}
	return out
}

// unexplained reports whether a fit has something left to hold effects against.
func unexplained(fit *mixed.Result) bool {
	return !slices.ContainsFunc(fit.Warnings, func(w stats.Warning) bool { return w.Code == stats.WarnNoErrorSpread })
}

func warnReplicatesModel(most int) Warning {
	return Warning{WarnReplicatesModel, fmt.Sprintf("samples were rated up to %d times by one assessor: the model "+
		"holds the samples against how far people differ on them, and does not take each rating for one more opinion; "+
		"the tests beside it are of each assessor's means", most)}
}

func warnReplicatesMeans(most int) Warning {
	return Warning{WarnReplicatesModel, fmt.Sprintf("samples were rated up to %d times by one assessor, and these "+
		"ratings differ too little for a model with what is an assessor's own about a sample: it is of each "+
		"assessor's means, without positions", most)}
}

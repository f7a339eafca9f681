package analysis

import (
	"math"

	"cloche/internal/method"
	"cloche/internal/stats"
	"cloche/internal/stats/profile"
	"cloche/internal/stats/ttest"
	"cloche/internal/study"
)

// WordMap places samples and words on one plane.
type WordMap struct {
	Inertia float64      // total
	Share   [2]float64   // of it, along each axis
	Samples [][2]float64 // in the order of the comparison
	Words   []MappedWord // that somebody ticked
}

// MappedWord is a word on the plane.
type MappedWord struct {
	ID   study.AttributeID
	Word string
	At   [2]float64
}

// mapWords draws the map where the words tell samples apart at all: of noise there is always
// a plane too. A plane takes three samples and three words that were ticked.
func (f *Finding) mapWords(plan study.AnalysisPlan) error {
	if !(f.Test.Deciding() < plan.Alpha) || f.Verdict.Code == TooFew || len(f.Comparison) < fewestSamples {
		return nil
	}
	m := &WordMap{}
	table := make([][]float64, len(f.Comparison))
	for _, w := range f.Words.Words {
		ticked := 0
		for _, n := range w.Ticked {
			ticked += n
		}
		if ticked == 0 {
			continue
		}
		m.Words = append(m.Words, MappedWord{ID: w.ID, Word: w.Word})
		for j, n := range w.Ticked {
			table[j] = append(table[j], float64(n))
		}
	}
	if len(m.Words) < fewestSamples {
		return nil
	}
	for _, row := range table {
		if !anyAbove0(row) { // a sample for which nobody ticked anything stands nowhere
			return nil
		}
	}
	c, err := profile.Correspondence(table)
	if err != nil {
		return err
	}
	m.Inertia, m.Share = c.TotalInertia, [2]float64{c.Explained[0], c.Explained[1]}
	for _, x := range c.Rows {
		m.Samples = append(m.Samples, [2]float64{x[0], x[1]})
	}
	for i, x := range c.Columns {
		m.Words[i].At = [2]float64{x[0], x[1]}
	}
	f.Words.Map = m
	return nil
}

func anyAbove0(row []float64) bool {
	for _, v := range row {
		if v > 0 {
			return true
		}
	}
	return false
}

// findRatedWith finds, of each word, how much higher people rate servings for which they
// ticked it than those for which they did not: each person's own difference of means, so
// that who ticks much and rates high is no reason. Who ticked it for all of their servings or for none says
// nothing here. Words and ratings come from the same mouth: that they go together does not
// say which makes which.
func (f *Finding) findRatedWith(plan study.AnalysisPlan, t *tickRows) error {
	if t.beside.ID == "" {
		return nil
	}
	ps := make([]float64, len(f.Words.Words))
	for i := range f.Words.Words {
		ps[i] = math.NaN()
		ticked, without := t.ratedWith(i)
		if len(ticked) < Fewest(plan.Alpha) {
			continue
		}
		r, err := ttest.Paired(ticked, without, ttest.PairedOptions{Level: plan.Level()})
		if err != nil {
			return err
		}
		w := &WordRated{People: r.N, Ticked: r.MeanX, Without: r.MeanY, Difference: r.Diff, CI: r.CI,
			Test: noTest(method.PairedT)}
		w.Test.Statistic, w.Test.DF, w.Test.P = r.T, r.DF, r.P
		f.Words.Words[i].With, ps[i] = w, r.P
	}
	for i, p := range holmOfTested(ps) {
		if w := f.Words.Words[i].With; w != nil {
			w.Test.PAdjusted = p
		}
	}
	return nil
}

// ratedWith are the mean ratings of each person who did both, with the word at i and without.
func (t *tickRows) ratedWith(i int) (ticked, without []float64) {
	for who, samples := range t.ticks {
		var of [2][]float64
		for j, list := range samples {
			if v := t.rated[who][j]; !math.IsNaN(v) {
				of[boolToInt(list[i])] = append(of[boolToInt(list[i])], v)
			}
		}
		if len(of[0]) > 0 && len(of[1]) > 0 {
			ticked, without = append(ticked, stats.Mean(of[1])), append(without, stats.Mean(of[0]))
		}
	}
	return ticked, without
}

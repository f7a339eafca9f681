package mixed

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"

	"cloche/internal/stats"
	"cloche/internal/stats/dist"
	"cloche/internal/stats/model"
	"cloche/internal/stats/numeric"
)

// TermTest is a type III F test of one fixed term with Satterthwaite's
// degrees of freedom. Those of several contrasts together depend on how the contrasts are
// written (Fai & Cornelius 1996, J. Stat. Comput. Simul. 54:363, from memory: the axes of
// their covariance turn with it), unless all have the same: here each level is held
// against one. DF2, F and P are NaN when the term cannot be tested.
type TermTest struct {
	Term           model.Term
	DF1, DF2, F, P float64
}

// Anova tests each fixed term given all others (type III): a main effect is an
// average over the levels of what it interacts with, each level counting the
// same. Hypotheses by Goodnight (1980), Commun. Statist. A 9, 167–180: they
// are estimable also when a combination of levels was never rated, but then
// depend on which ones were; a fit with such gaps has [stats.WarnAliased].
func (f *Result) Anova() []TermTest {
	hypotheses := f.typeIII()
	tests := make([]TermTest, len(f.model.Fixed))
	for t, term := range f.model.Fixed {
		rows := hypotheses[t]
		tests[t] = TermTest{Term: term, DF1: float64(len(rows)), DF2: math.NaN(), F: math.NaN(), P: math.NaN()}
		if len(rows) > 0 && f.point != nil {
			tests[t].F, tests[t].DF1, tests[t].DF2 = f.jointTest(rows)
			tests[t].P = dist.FSurvival(tests[t].F, tests[t].DF1, tests[t].DF2)
		}
	}
	return tests
}

// typeIII returns the hypotheses of each term as rows in the orthonormal
// basis. Every column of the design with all levels of every factor is a
// combination of the fitted columns; the combinations of a term, made
// orthogonal to those of the terms that contain it, are its hypothesis.
func (f *Result) typeIII() [][][]float64 {
	d := f.design
	full := fullColumns(f.data, f.model.Fixed, d.rowOf)
	// functions[c][i] is the coefficient of kept column c in full column i.
	functions := make([][]float64, d.p)
	for c := range functions {
		functions[c] = make([]float64, len(full))
	}
	for i, column := range model.WeightedColumns(full, d.weights) {
		z := make([]float64, d.p)
		for j, q := range d.basis.Q {
			z[j] = numeric.Dot(q, column)
		}
		for c, v := range d.basis.Solve(z) {
			functions[c][i] = v
		}
	}
	termOf := make([]int, d.p)
	for c, k := range d.basis.Kept {
		termOf[c] = d.fixed[k].Term
	}
	f.orthogonaliseTerms(functions, termOf)
	hypotheses := make([][][]float64, len(f.model.Fixed))
	for c, t := range termOf {
		if t < 0 {
			continue
		}
		// The row of the hypothesis: this column's function at the full
		// columns that are fitted columns themselves.
		row := make([]float64, d.p)
		for k, kept := range d.basis.Kept {
			at := slices.IndexFunc(full, func(x model.DesignColumn) bool {
				return x.Term == d.fixed[kept].Term && x.Name == d.fixed[kept].Name
			})
			row[k] = functions[c][at]
		}
		if numeric.Largest(row) > 1e-8 {
			hypotheses[t] = append(hypotheses[t], d.basis.SolveTransposed(row))
		}
	}
	return hypotheses
}

// fullColumns codes every factor by all its levels.
func fullColumns(d model.Data, terms []model.Term, rows []int) []model.DesignColumn {
	columns := []model.DesignColumn{{Name: model.InterceptName, Term: -1, Values: model.Ones(len(rows))}}
	for t, term := range terms {
		product := []model.DesignColumn{{Name: "", Term: t, Values: model.Ones(len(rows))}}
		for _, name := range term {
			product = model.MultiplyColumns(product, model.VariableColumns(d, name, false, rows))
		}
		columns = append(columns, product...)
	}
	return columns
}

// orthogonaliseTerms takes from the functions of each term what the functions
// of the terms that contain it explain, largest terms first.
func (f *Result) orthogonaliseTerms(functions [][]float64, termOf []int) {
	order := make([]int, len(f.model.Fixed))
	for t := range order {
		order[t] = t
	}
	slices.SortStableFunc(order, func(a, b int) int { return len(f.model.Fixed[b]) - len(f.model.Fixed[a]) })
	for _, t := range order {
		var containing [][]float64
		for c, u := range termOf {
			if u >= 0 && f.containedIn(f.model.Fixed[t], f.model.Fixed[u]) {
				containing = append(containing, functions[c])
			}
		}
		if len(containing) == 0 {
			continue
		}
		o := numeric.Orthonormalise(containing)
		for c, u := range termOf {
			if u == t {
				functions[c] = o.Residual(functions[c])
			}
		}
	}
}

// containedIn reports whether term t is contained in u: u has the same
// covariates and all factors of t and more.
func (f *Result) containedIn(t, u model.Term) bool {
	if len(u) <= len(t) || !u.Contains(t) {
		return false
	}
	return !slices.ContainsFunc(u, func(name string) bool {
		_, isCovariate := f.data.Covariate(name)
		return isCovariate && !slices.Contains(t, name)
	})
}

// jointTest returns F for the hypothesis that all rows are zero, the number of
// independent rows and the denominator df (Fai & Cornelius 1996, J. Statist.
// Comput. Simul. 54, 363–378): the rows are rotated to independent t
// statistics.
func (f *Result) jointTest(rows [][]float64) (F, df1, df2 float64) {
	nan := math.NaN()
	k, cov := len(rows), f.cov
	if f.small != nil {
		cov = f.small.plain
	}
	covariance := mat.NewSymDense(k, nil)
	for i := range k {
		for j := i; j < k; j++ {
			covariance.SetSym(i, j, cov.Quadratic(rows[i], rows[j]))
		}
	}
	var eigen mat.EigenSym
	if !eigen.Factorize(covariance, true) {
		return nan, float64(k), nan
	}
	var vectors mat.Dense
	eigen.VectorsTo(&vectors)
	values := eigen.Values(nil)
	var dfs, kept []float64
	var independent [][]float64
	for e, value := range values {
		if value <= 1e-8*values[k-1] {
			continue
		}
		l := make([]float64, len(rows[0]))
		for i := range k {
			numeric.Axpy(vectors.At(i, e), rows[i], l)
		}
		estimate := numeric.Dot(l, f.b)
		F += estimate * estimate / value
		dfs = append(dfs, f.satterthwaite(l, value))
		independent, kept = append(independent, l), append(kept, value)
	}
	if len(dfs) == 0 {
		return nan, 0, nan
	}
	if f.small != nil {
		if scaled, df, ok := f.scaledF(independent, kept); ok {
			return scaled, float64(len(dfs)), df
		}
		return nan, float64(len(dfs)), nan
	}
	return F / float64(len(dfs)), float64(len(dfs)), combineDF(dfs)
}

// combineDF returns the df of an F statistic whose squared t components have
// the given df: the one that gives F the mean of their sum.
func combineDF(dfs []float64) float64 {
	if slices.Max(dfs)-slices.Min(dfs) < 1e-8 {
		return stats.Mean(dfs)
	}
	e := 0.0
	for _, v := range dfs {
		if v <= 2 {
			return 2
		}
		e += v / (v - 2)
	}
	return 2 * e / (e - float64(len(dfs)))
}

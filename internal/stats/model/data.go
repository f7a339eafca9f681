package model

import (
	"errors"
	"fmt"
	"math"
	"slices"

	"cloche/internal/stats"
)

// GroupRows lists the observations of each code, by counting.
func GroupRows(code []int) [][]int {
	size := make([]int, slices.Max(code)+1)
	for _, c := range code {
		size[c]++
	}
	all := make([]int, len(code))
	groups := make([][]int, len(size))
	for c, n := range size {
		groups[c], all = all[:0:n], all[n:]
	}
	for i, c := range code {
		groups[c] = append(groups[c], i)
	}
	return groups
}

// SingularTolerance is the relative standard deviation below which a random
// effect counts as absent (the value of Bates et al.'s software).
const SingularTolerance = 1e-4

// Errors of model descriptions.
var (
	ErrUnknownVariable = errors.New("no factor or covariate of that name")
	ErrModelData       = errors.New("every variable of a model needs one value for each response")
	ErrNoRatings       = errors.New("no complete rating is left to fit a model to")
)

// Factor is a variable with named levels. Code[i] is the index into Levels of
// observation i. Code −1 means that the factor has no level there and
// contributes nothing, such as the preceding sample at the first position.
// The first level is the reference of the coefficients.
type Factor struct {
	Name   string
	Levels []string
	Code   []int
}

// Covariate is a numeric variable, one value for each observation.
type Covariate struct {
	Name   string
	Values []float64
}

// Term is a main effect (one name) or an interaction (several names) of
// factors and covariates.
type Term []string

// Data is one row for each rating: the response and what may explain it.
// An observation with a NaN response or covariate is left out and counted.
type Data struct {
	Response   []float64
	Factors    []Factor
	Covariates []Covariate
}

// complete checks the data and returns it without incomplete observations.
func (d Data) Complete() (Data, []stats.Warning, error) {
	n := len(d.Response)
	if n == 0 {
		return d, nil, ErrNoRatings
	}
	keep := make([]bool, n)
	for i, v := range d.Response {
		if err := stats.UsableOrMissing(v); err != nil {
			return d, nil, fmt.Errorf("response %d: %w", i+1, err)
		}
		keep[i] = !math.IsNaN(v)
	}
	for _, c := range d.Covariates {
		if len(c.Values) != n {
			return d, nil, fmt.Errorf("covariate %q has %d values for %d responses: %w", c.Name, len(c.Values), n,
				ErrModelData)
		}
		for i, v := range c.Values {
			if err := stats.UsableOrMissing(v); err != nil {
				return d, nil, fmt.Errorf("covariate %q, value %d: %w", c.Name, i+1, err)
			}
			keep[i] = keep[i] && !math.IsNaN(v)
		}
	}
	for _, f := range d.Factors {
		if err := f.check(n); err != nil {
			return d, nil, err
		}
	}
	left := 0
	for _, k := range keep {
		if k {
			left++
		}
	}
	if left == 0 {
		return d, nil, ErrNoRatings
	}
	if left == n {
		return d, nil, nil
	}
	return d.Subset(keep), []stats.Warning{{Code: stats.WarnMissing,
		Text: fmt.Sprintf("%d of %d ratings are missing or lack a value that the model needs; they are left out",
			n-left, n)}}, nil
}

func (f Factor) check(n int) error {
	if len(f.Code) != n {
		return fmt.Errorf("factor %q has %d codes for %d responses: %w", f.Name, len(f.Code), n, ErrModelData)
	}
	for i, c := range f.Code {
		if c < -1 || c >= len(f.Levels) {
			return fmt.Errorf("factor %q, observation %d: code %d for %d levels: %w", f.Name, i+1, c, len(f.Levels),
				ErrModelData)
		}
	}
	return nil
}

// subset returns copies of the observations to keep.
func (d Data) Subset(keep []bool) Data {
	out := Data{Response: pickKept(d.Response, keep)}
	for _, f := range d.Factors {
		out.Factors = append(out.Factors, Factor{f.Name, f.Levels, pickKept(f.Code, keep)})
	}
	for _, c := range d.Covariates {
		out.Covariates = append(out.Covariates, Covariate{c.Name, pickKept(c.Values, keep)})
	}
	return out
}

func pickKept[T any](v []T, keep []bool) (out []T) {
	for i, k := range keep {
		if k {
			out = append(out, v[i])
		}
	}
	return out
}

// factor returns the factor of a name.
func (d Data) Factor(name string) (Factor, bool) {
	i := slices.IndexFunc(d.Factors, func(f Factor) bool { return f.Name == name })
	if i < 0 {
		return Factor{}, false
	}
	return d.Factors[i], true
}

// covariate returns the covariate of a name.
func (d Data) Covariate(name string) (Covariate, bool) {
	i := slices.IndexFunc(d.Covariates, func(c Covariate) bool { return c.Name == name })
	if i < 0 {
		return Covariate{}, false
	}
	return d.Covariates[i], true
}

// checkTerms returns [ErrUnknownVariable] for a name that is not in the data.
func (d Data) CheckTerms(terms ...Term) error {
	for _, t := range terms {
		for _, name := range t {
			_, isFactor := d.Factor(name)
			_, isCovariate := d.Covariate(name)
			if !isFactor && !isCovariate {
				return fmt.Errorf("%q: %w", name, ErrUnknownVariable)
			}
		}
	}
	return nil
}

// classes numbers observations from 0 so that two have the same number when
// they agree in every variable used for refining.
type classes struct {
	Code  []int
	count int
}

func NewClasses(n int) classes { return classes{Code: make([]int, n), count: 1} }

// refineBy splits the classes by the named variables.
func (c *classes) RefineBy(d Data, names ...string) {
	for _, name := range names {
		if f, ok := d.Factor(name); ok {
			c.ByCode(f.Code, len(f.Levels)+1)
			continue
		}
		if v, ok := d.Covariate(name); ok {
			c.byValue(v.Values)
		}
	}
}

// byCode splits by codes −1 … levels−2.
func (c *classes) ByCode(code []int, levels int) {
	const dense = 1 << 22 // beyond this many cells a map is smaller
	if c.count*levels > dense {
		values := make([]float64, len(code))
		for i, v := range code {
			values[i] = float64(v)
		}
		c.byValue(values)
		return
	}
	cell := make([]int32, c.count*levels)
	next := 0
	for i, v := range code {
		at := c.Code[i]*levels + v + 1
		if cell[at] == 0 {
			next++
			cell[at] = int32(next)
		}
		c.Code[i] = int(cell[at]) - 1
	}
	c.count = next
}

func (c *classes) byValue(values []float64) {
	type cell struct {
		class int
		value float64
	}
	known := make(map[cell]int)
	for i, v := range values {
		at := cell{class: c.Code[i], value: v}
		next, ok := known[at]
		if !ok {
			next = len(known)
			known[at] = next
		}
		c.Code[i] = next
	}
	c.count = len(known)
}

// representatives returns one observation of each class and the class sizes.
func (c *classes) Representatives() (first []int, size []float64) {
	first, size = make([]int, c.count), make([]float64, c.count)
	for i, k := range c.Code {
		if size[k] == 0 {
			first[k] = i
		}
		size[k]++
	}
	return first, size
}

// ErrGrouping marks random terms that the data cannot carry: one level only, or
// as many random effects as ratings, so that nothing is left for residuals.
var ErrGrouping = errors.New("a random term needs at least two levels, and fewer random effects than ratings, or " +
	"it cannot be told from the residuals")

// grouping numbers the levels of a random term with size effects for each level.
func (d Data) Grouping(group Term, size int) (code []int, levels int, err error) {
	c := NewClasses(len(d.Response))
	for _, name := range group {
		f, ok := d.Factor(name)
		if !ok {
			return nil, 0, fmt.Errorf("grouping factor %q: %w", name, ErrUnknownVariable)
		}
		if slices.Contains(f.Code, -1) {
			return nil, 0, fmt.Errorf("grouping factor %q has observations without a level: %w", name, ErrModelData)
		}
		c.ByCode(f.Code, len(f.Levels)+1)
	}
	if effects := size * c.count; len(group) == 0 || size == 0 || c.count < 2 || effects >= len(d.Response) {
		return nil, 0, fmt.Errorf("random term of %q with %d levels, %d random effects for %d ratings: %w",
			group, c.count, effects, len(d.Response), ErrGrouping)
	}
	return c.Code, c.count, nil
}

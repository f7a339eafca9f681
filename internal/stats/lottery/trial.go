package lottery

import (
	"errors"
	"fmt"
	"math"

	"cloche/internal/stats"
)

// Trial is a comparison of two samples by their ratings of one attribute, in the order
// of the servings of a plan. Samples are numbered as the draws number them.
type Trial struct {
	Value         []float64 // rating of each serving; NaN where there is none
	Assessor      []int     // of each serving, from 0
	Sample        []int32   // that was served
	First, Second int32     // compared: first minus second
	Groups        bool      // each assessor rated one of the two; else those who rated both count
	// Plain compares differences, not differences over their standard error.
	Plain bool
}

// ErrTrial is returned for a trial whose parts do not fit together.
var ErrTrial = errors.New("a trial needs an assessor and a sample for each rating")

func (t Trial) check() error {
	if len(t.Assessor) != len(t.Value) || len(t.Sample) != len(t.Value) || t.First == t.Second {
		return ErrTrial
	}
	for i, v := range t.Value {
		if math.IsInf(v, 0) {
			return fmt.Errorf("rating %d: %w", i+1, stats.ErrNotFinite)
		}
		if t.Assessor[i] < 0 {
			return ErrTrial
		}
	}
	return nil
}

// sums are those of one arm, or of the pairs, in one draw: of what each person shows, y,
// and of how much of a shift of the first sample as served is in it, u.
type sums struct{ n, y, yy, u, uu, yu float64 }

func (s *sums) add(y, u float64) {
	s.n++
	s.y += y
	s.yy += y * y
	s.u += u
	s.uu += u * u
	s.yu += y * u
}

// meanVar is the mean with the square of its standard error when the shift is taken off.
func (s *sums) meanVar(shift float64) (mean, variance float64) {
	mean = (s.y - shift*s.u) / s.n
	squares := s.yy - 2*shift*s.yu + shift*shift*s.uu
	about := squares - s.n*mean*mean
	if about <= 1e-12*squares { // rounding: all alike
		about = 0
	}
	return mean, about / (s.n * (s.n - 1))
}

// draw is what one draw of the lottery gives: pairs fill the first sums alone.
type draw struct {
	arm    [2]sums
	weight float64
}

// person gathers the ratings of an assessor in a draw.
type person struct {
	y, u [2]float64
	n    [2]float64
}

// reader reads draws of a trial.
type reader struct {
	Trial
	shifted []float64 // 1 where the first sample was served
	centre  float64
	people  []person
	pairs   *pairs // nil where ratings do not stand by assessor, and of groups

	// Of groups with one serving of each assessor, in their order; else nil.
	each []sums // what each serving adds to its arm
	// armOf[x+1] is the arm of sample x: 0 the first compared, 1 the second, 2 neither; x = −1 is not served,
	// and samples beyond its end are neither.
	armOf []uint8
}

func newReader(t Trial) *reader {
	r := &reader{Trial: t, shifted: make([]float64, len(t.Value))}
	count, most := 0.0, 0
	for i, v := range t.Value {
		if t.Sample[i] == t.First {
			r.shifted[i] = 1
		}
		most = max(most, t.Assessor[i]+1)
		if !math.IsNaN(v) {
			count++
			r.centre += v
		}
	}
	if count > 0 {
		r.centre /= count
	}
	r.people = make([]person, most)
	r.pairs = newPairs(r)
	single := t.Groups
	for i := range t.Assessor {
		single = single && (i == 0 || t.Assessor[i-1] < t.Assessor[i])
	}
	if single {
		r.singles()
	}
	return r
}

// read is what a draw gives.
func (r *reader) read(sample []int32, weight float64) (d draw) {
	if r.pairs != nil {
		if s, ok := r.pairs.read(sample); ok {
			return draw{arm: [2]sums{s}, weight: weight}
		}
	}
	if d.weight = weight; r.each != nil {
		r.readSingle(sample, &d)
		return d
	}
	clear(r.people)
	for i, v := range r.Value {
		arm := 0
		switch {
		case v != v: // not rated
			continue
		case sample[i] == r.First:
		case sample[i] == r.Second:
			arm = 1
		default:
			continue
		}
		p := &r.people[r.Assessor[i]]
		p.y[arm] += v - r.centre
		p.u[arm] += r.shifted[i]
		p.n[arm]++
	}
	for i := range r.people {
		p := &r.people[i]
		switch {
		case !r.Groups && p.n[0] > 0 && p.n[1] > 0:
			d.arm[0].add(p.y[0]/p.n[0]-p.y[1]/p.n[1], p.u[0]/p.n[0]-p.u[1]/p.n[1])
		case r.Groups && p.n[0] > 0 && p.n[1] == 0:
			d.arm[0].add(p.y[0]/p.n[0], p.u[0]/p.n[0])
		case r.Groups && p.n[1] > 0 && p.n[0] == 0:
			d.arm[1].add(p.y[1]/p.n[1], p.u[1]/p.n[1])
		}
	}
	return d
}

// readSingle is [reader.read] where nobody has more than one serving: no branch depends on
// what was drawn, which no processor would foresee.
func (r *reader) readSingle(sample []int32, d *draw) {
	var arms [3]sums // the last of samples that are not compared
	for i := range r.each {
		arm := uint8(2)
		if x := int(sample[i]) + 1; x < len(r.armOf) {
			arm = r.armOf[x]
		}
		v, s := &r.each[i], &arms[arm]
		s.n += v.n
		s.y += v.y
		s.yy += v.yy
		s.u += v.u
		s.yu += v.yu
	}
	for k := range d.arm {
		d.arm[k] = arms[k]
		d.arm[k].uu = arms[k].u // each is 0 or 1
	}
}

// singles prepares [reader.readSingle].
func (r *reader) singles() {
	r.each = make([]sums, len(r.Value))
	for i, v := range r.Value {
		if v == v { // rated
			r.each[i].add(v-r.centre, r.shifted[i])
		}
	}
	r.armOf = make([]uint8, max(r.First, r.Second)+2)
	for i := range r.armOf {
		r.armOf[i] = 2
	}
	r.armOf[r.First+1], r.armOf[r.Second+1] = 0, 1
}

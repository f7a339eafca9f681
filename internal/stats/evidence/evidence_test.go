package evidence

import (
	"errors"
	"math"
	"math/rand/v2"
	"testing"

	"pgregory.net/rapid"

	_ "cloche/internal/draws"
	"cloche/internal/stats"
)

func drawn(t *rapid.T) []float64 {
	return rapid.SliceOfN(rapid.Float64Range(-100, 100), 2, 60).Draw(t, "d")
}

func mixtureOf(t *rapid.T, d []float64, off, times, g float64) *Mixture {
	m, err := NewMixture(g)
	for _, x := range d {
		if err == nil {
			err = m.Add((x - off) * times)
		}
	}
	if err != nil {
		t.Fatal(err)
	}
	return m
}

func near(a, b float64) bool { return math.Abs(a-b) <= 1e-8*max(1, math.Abs(a), math.Abs(b)) }

// The evidence against either end of the interval is 1/alpha; it knows no unit and no sign.
func TestMixture(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d, g := drawn(t), rapid.Float64Range(0.02, 4).Draw(t, "g")
		level := rapid.Float64Range(0.5, 0.99).Draw(t, "level")
		m := mixtureOf(t, d, 0, 1, g)
		if m.SD() < 1e-3 {
			t.Skip("no scatter to speak of")
		}
		if got := mixtureOf(t, d, 0, -3, g).LogE(); !near(got, m.LogE()) {
			t.Errorf("in other units %g, not %g", got, m.LogE())
		}
		if up, down := math.Exp(m.LogEGreater()), math.Exp(mixtureOf(t, d, 0, -1, g).LogEGreater()); !near((up+down)/2,
			math.Exp(m.LogE())) {
			t.Errorf("both sides %g and %g, together %g", up, down, math.Exp(m.LogE()))
		}
		ci := m.Interval(level)
		for _, end := range []float64{ci.Lo, ci.Hi} {
			if math.IsInf(end, 0) {
				continue
			}
			if e := mixtureOf(t, d, end, 1, g).LogE(); math.Abs(e+math.Log(1-level)) > 1e-6 {
				t.Errorf("evidence against %g is %g, not %g", end, e, -math.Log(1-level))
			}
		}
	})
}

// The evidence against either end of the interval is 1/alpha, and turning differences turns it.
func TestBetting(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d, alpha := drawn(t), rapid.Float64Range(0.01, 0.5).Draw(t, "alpha")
		b, err := NewBetting(100, alpha, UsualCap)
		turned, err2 := NewBetting(100, alpha, UsualCap)
		if err != nil || err2 != nil {
			t.Fatal(err, err2)
		}
		for _, x := range d {
			if err := errors.Join(b.Add(x), turned.Add(-x)); err != nil {
				t.Fatal(err)
			}
		}
		ci, back := b.Interval(), turned.Interval()
		if !near(ci.Lo, -back.Hi) || !near(ci.Hi, -back.Lo) || !near(b.LogE(), turned.LogE()) {
			t.Errorf("%v and %g, turned %v and %g", ci, b.LogE(), back, turned.LogE())
		}
		if enough := b.LogE() >= -math.Log(alpha); enough != (ci.Lo > 0 || ci.Hi < 0) && math.Abs(b.LogE()+
			math.Log(alpha)) > 1e-9 {
			t.Errorf("evidence %g, interval %v", b.LogE(), ci)
		}
		if ci.Lo > -100 {
			if e := b.against((ci.Lo+100)/200, 1) - math.Ln2; math.Abs(e+math.Log(alpha)) > 1e-6 {
				t.Errorf("evidence against %g is %g", ci.Lo, e)
			}
		}
	})
}

// Where nothing moves anybody evidence has a mean of 1 at most, whenever one stops.
func TestEvidenceOfNothingIsOneOnAverage(t *testing.T) {
	random := rand.New(rand.NewPCG(7, 7))
	const runs, people = 20000, 30
	var mixture, betting float64
	for range runs {
		m, _ := NewMixture(0.25)
		b, _ := NewBetting(100, 0.05, UsualCap)
		for range people {
			d := min(100, max(-100, 15*random.NormFloat64()))
			if err := errors.Join(m.Add(d), b.Add(d)); err != nil {
				t.Fatal(err)
			}
			if m.N() >= 12 && m.LogE() > math.Log(3) { // a rule that looks
				break
			}
		}
		mixture, betting = mixture+math.Exp(m.LogE())/runs, betting+math.Exp(b.LogE())/runs
	}
	if mixture > 1.05 || betting > 1.05 { // of standard errors of 0.01
		t.Errorf("means %g and %g", mixture, betting)
	}
}

func TestOddInput(t *testing.T) {
	if _, err := NewMixture(0); !errors.Is(err, ErrPrior) {
		t.Error(err)
	}
	m, _ := NewMixture(1)
	if err := m.Add(math.NaN()); !errors.Is(err, stats.ErrNotFinite) || m.N() != 0 {
		t.Error(err)
	}
	for range 5 {
		if err := m.Add(0.1); err != nil {
			t.Fatal(err)
		}
	}
	if ci := m.Interval(0.95); m.LogE() != 0 || m.LogEGreater() != 0 || !math.IsNaN(m.T()) || math.IsInf(ci.Lo, 0) {
		t.Errorf("all alike: %g, %g, %v", m.LogE(), m.T(), ci)
	}
	for _, bad := range [][3]float64{{0, 0.05, 0.5}, {1, 0, 0.5}, {1, 0.05, 1}, {math.Inf(1), 0.05, 0.5}} {
		if _, err := NewBetting(bad[0], bad[1], bad[2]); err == nil {
			t.Errorf("%v is taken", bad)
		}
	}
	b, _ := NewBetting(10, 0.05, UsualCap)
	if err := b.Add(10.1); !errors.Is(err, ErrRange) {
		t.Error(err)
	}
	if ci := b.Interval(); ci.Lo != -10 || ci.Hi != 10 {
		t.Errorf("of nobody: %v", ci)
	}
}

// One more person costs no more than any.
func BenchmarkAdd(b *testing.B) {
	m, _ := NewMixture(0.25)
	w, _ := NewBetting(100, 0.05, UsualCap)
	for i := 0; b.Loop(); i++ {
		d := float64(i%41 - 20)
		if m.Add(d) != nil || w.Add(d) != nil || m.LogE()+w.LogE() > 1e9 {
			b.Fatal("evidence of nothing")
		}
	}
}

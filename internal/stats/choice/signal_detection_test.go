package choice

import (
	"math"
	"math/rand/v2"
	"testing"

	"pgregory.net/rapid"

	"cloche/internal/simulated"
	"cloche/internal/stats/dist"
)

func TestANotAEdges(t *testing.T) {
	t.Parallel()
	for name, n := range map[string][4]int{
		"all hits": {20, 20, 3, 20}, "no hits": {0, 20, 3, 20}, "all false alarms": {5, 20, 20, 20},
		"no false alarms": {5, 20, 0, 20},
	} {
		r, err := ANotA(n[0], n[1], n[2], n[3], 0)
		if err != nil || !math.IsNaN(r.DPrime) || !math.IsNaN(r.SE) || !r.CI.Absent() || len(r.Warnings) == 0 {
			t.Errorf("%s: %+v %v", name, r, err)
		}
		if math.IsNaN(r.LogLinearDPrime) || math.IsInf(r.LogLinearDPrime, 0) {
			t.Errorf("%s: corrected d′ %v", name, r.LogLinearDPrime)
		}
	}
	for name, n := range map[string][4]int{"nobody": {0, 0, 1, 2}, "too many": {3, 2, 1, 2},
		"negative": {1, 2, -1, 2}} {
		if _, err := ANotA(n[0], n[1], n[2], n[3], 0); err == nil {
			t.Errorf("%s accepted", name)
		}
	}
}

func TestANotASwapsSign(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(2, 300)
		na, nn := n.Draw(t, "nA"), n.Draw(t, "nNotA")
		h, f := rapid.IntRange(1, na-1).Draw(t, "hits"), rapid.IntRange(1, nn-1).Draw(t, "false alarms")
		a, errA := ANotA(h, na, f, nn, 0)
		b, errB := ANotA(f, nn, h, na, 0)
		if errA != nil || errB != nil {
			t.Fatal(errA, errB)
		}
		if math.Abs(a.DPrime+b.DPrime) > 1e-12 || math.Abs(a.SE-b.SE) > 1e-12 {
			t.Errorf("%+v and swapped %+v", a, b)
		}
		if a.P < 0 || a.P > 1 || !(a.CI.Lo <= a.DPrime && a.DPrime <= a.CI.Hi) {
			t.Errorf("%+v", a)
		}
	})
}

func TestFisherTailAgainstKnownTable(t *testing.T) {
	t.Parallel()
	// Fisher's tea tasting, The Design of Experiments (1935), ch. 2: all four
	// cups right has probability 1/70, three or more 17/70.
	if got := moreInFirst(4, 4, 0, 4); math.Abs(got-1./70) > 1e-14 {
		t.Errorf("four right: %v", got)
	}
	if got := moreInFirst(3, 4, 1, 4); math.Abs(got-17./70) > 1e-14 {
		t.Errorf("three right: %v", got)
	}
}

func TestSameDifferentEdges(t *testing.T) {
	t.Parallel()
	below, err := SameDifferent(20, 60, 30, 60, 0)
	if err != nil || below.DPrime != 0 || !math.IsNaN(below.DPrimeSE) || len(below.Warnings) == 0 ||
		math.IsNaN(below.Tau) {
		t.Errorf("same said more often to unlike pairs: %+v %v", below, err)
	}
	for name, n := range map[string][4]int{"all same": {60, 60, 30, 60}, "never same": {0, 60, 0, 60},
		"always same": {60, 60, 60, 60}} {
		r, err := SameDifferent(n[0], n[1], n[2], n[3], 0)
		if err != nil || !math.IsNaN(r.DPrime) || len(r.Warnings) == 0 {
			t.Errorf("%s: %+v %v", name, r, err)
		}
	}
	apart, err := SameDifferent(40, 60, 0, 60, 0)
	if err != nil || !math.IsInf(apart.DPrime, 1) || !math.IsNaN(apart.DPrimeSE) || len(apart.Warnings) == 0 {
		t.Errorf("unlike pairs never called same: %+v %v", apart, err)
	}
	if _, err := SameDifferent(1, 0, 0, 60, 0); err == nil {
		t.Error("no equal pairs accepted")
	}
}

// The estimates maximise the likelihood, and the errors are those of its
// curvature.
func TestSameDifferentIsTheMaximum(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		n := float64(rapid.IntRange(20, 200).Draw(t, "n"))
		p1 := rapid.Float64Range(0.3, 0.9).Draw(t, "p same")
		p2 := p1 * rapid.Float64Range(0.2, 0.9).Draw(t, "ratio")
		c := sameDifferentCounts{math.Round(n * p1), n, math.Round(n * p2), n}
		if c.different == 0 || c.different >= c.same || c.same >= n {
			return
		}
		r := c.estimate(0.95)
		top := c.logLik(r.Tau, r.DPrime)
		for _, step := range [][2]float64{{0.01, 0}, {-0.01, 0}, {0, 0.01}, {0, -0.01}} {
			if c.logLik(r.Tau+step[0], math.Max(0, r.DPrime+step[1])) > top+1e-9 {
				t.Errorf("%+v: higher at %v", r, step)
			}
		}
	})
}

// Confidence intervals of d′ in an A–not A and a same–different test cover at
// about their level; 20,000 simulated studies each in the full run.
func TestSignalDetectionCalibration(t *testing.T) {
	t.Parallel()
	rng := rand.New(rand.NewPCG(7, 8))
	binomial := func(n int, p float64) (x int) {
		for range n {
			if rng.Float64() < p {
				x++
			}
		}
		return x
	}
	const n, d = 100, 1.2
	studies := simulated.Studies(20_000)
	var covered, used, coveredSame, usedSame float64
	for range studies {
		r, err := ANotA(binomial(n, dist.NormalCDF(d-0.5)), n, binomial(n, dist.NormalCDF(-0.5)), n, 0)
		if err == nil && !r.CI.Absent() {
			used++
			if r.CI.Lo <= d && d <= r.CI.Hi {
				covered++
			}
		}
		s, err := SameDifferent(binomial(n, saidSame(1.3, 0)), n, binomial(n, saidSame(1.3, 2)), n, 0)
		if err == nil && !s.CI.Absent() {
			usedSame++
			if s.CI.Lo <= 2 && 2 <= s.CI.Hi {
				coveredSame++
			}
		}
	}
	t.Logf("coverage of 95 %%: A–not A %.4f, same–different %.4f", covered/used, coveredSame/usedSame)
	for _, got := range []float64{covered / used, coveredSame / usedSame} {
		if math.Abs(got-0.95) > simulated.Margin(0.05, studies)+0.004 {
			t.Errorf("coverage %.4f", got)
		}
	}
}

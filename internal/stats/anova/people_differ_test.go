package anova_test

import (
	"errors"
	"math"
	"math/rand/v2"
	"testing"

	"cloche/internal/stats"
	"cloche/internal/stats/anova"
)

// scattered are differences of n people, k each, whose true effects scatter by sd around
// mean, with noise of 10.
func scattered(random *rand.Rand, n, k int, mean, sd float64) [][]float64 {
	rows := make([][]float64, n)
	for i := range rows {
		own := mean + sd*random.NormFloat64()
		for range k {
			rows[i] = append(rows[i], own+10*random.NormFloat64())
		}
	}
	return rows
}

// TestPeopleDifferIsOneWay: the test is that of a one-way analysis of variance in which each
// person is a group, and the signs of all differences turn the mean alone.
func TestPeopleDifferIsOneWay(t *testing.T) {
	for seed := range uint64(20) {
		random := rand.New(rand.NewPCG(seed, 41))
		rows := scattered(random, 3+random.IntN(30), 2+random.IntN(3), 5, 8)
		r, err := anova.PeopleDiffer(rows, 0.95)
		if err != nil {
			t.Fatal(err)
		}
		one, err := anova.OneWay(rows)
		if err != nil {
			t.Fatal(err)
		}
		if math.Abs(r.F-one.F) > 1e-9*one.F || math.Abs(r.P-one.P) > 1e-12 {
			t.Errorf("seed %d: F %g, p %g; a one-way analysis has %g, %g", seed, r.F, r.P, one.F, one.P)
		}
		for _, row := range rows {
			for j := range row {
				row[j] = -row[j]
			}
		}
		turned, err := anova.PeopleDiffer(rows, 0.95)
		if err != nil || math.Abs(turned.Mean+r.Mean) > 1e-9 || math.Abs(turned.SDPeople-r.SDPeople) > 1e-9 ||
			turned.AgreeInSign != r.AgreeInSign ||
			r.SDPeople > 0 && math.Abs(turned.SharePositive+r.SharePositive-1) > 1e-9 {
			t.Errorf("seed %d: %+v turned is %+v (%v)", seed, r, turned, err)
		}
	}
}

// TestPeopleDifferKeepsItsLevel: where nobody differs from anybody it is found in one of
// twenty studies; where people do, as often as the power says; and the interval of the
// share of the variance holds the truth.
func TestPeopleDifferKeepsItsLevel(t *testing.T) {
	for _, sd := range []float64{0, 5, 10} {
		random := rand.New(rand.NewPCG(uint64(sd), 43))
		const studies = 2000
		icc := sd * sd / (sd*sd + 100)
		found, held := 0, 0
		for range studies {
			r, err := anova.PeopleDiffer(scattered(random, 24, 2, 5, sd), 0.95)
			if err != nil {
				t.Fatal(err)
			}
			if r.P < 0.05 {
				found++
			}
			if r.ICCCI.Lo <= icc && icc <= r.ICCCI.Hi {
				held++
			}
		}
		want := anova.PeopleDifferPower(24, 2, icc, 0.05)
		if got := float64(found) / studies; math.Abs(got-want) > 4*math.Sqrt(want*(1-want)/studies) {
			t.Errorf("sd %g: found in %.3f of the studies, want %.3f", sd, got, want)
		}
		if got := float64(held) / studies; math.Abs(got-0.95) > 4*math.Sqrt(0.95*0.05/studies) {
			t.Errorf("sd %g: the interval holds the truth in %.3f of the studies", sd, got)
		}
	}
}

func TestPeopleDifferAtTheEnds(t *testing.T) {
	if _, err := anova.PeopleDiffer([][]float64{{1}, {2}, {3}}, 0.95); !errors.Is(err, stats.ErrShape) {
		t.Errorf("one difference each: %v", err)
	}
	same, err := anova.PeopleDiffer([][]float64{{3, 3}, {3, 3}, {3, 3}}, 0.95)
	if err != nil || !math.IsNaN(same.P) || same.SDPeople != 0 || same.AgreeInSign != 3 {
		t.Errorf("nothing varies: %+v, %v", same, err)
	}
	sure, err := anova.PeopleDiffer([][]float64{{3, 3}, {-3, -3}, {9, 9}}, 0.95)
	if err != nil || sure.P != 0 || sure.ICC != 1 || math.Abs(sure.SDPeople-6) > 1e-12 || sure.SDReplicate != 0 ||
		sure.Shrunken[1] != -3 {
		t.Errorf("no noise: %+v, %v", sure, err)
	}
	noise, err := anova.PeopleDiffer([][]float64{{-5, 7}, {7, -5}, {-4, 6}}, 0.95)
	if err != nil || noise.SDPeople != 0 || !math.IsNaN(noise.SharePositive) || noise.P < 0.9 ||
		noise.AgreeInSign != 0 {
		t.Errorf("noise alone: %+v, %v", noise, err)
	}
	if p := anova.PeopleDifferPower(1, 2, 0.2, 0.05); !math.IsNaN(p) {
		t.Errorf("power of one person: %g", p)
	}
}

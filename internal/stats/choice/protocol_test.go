package choice

import (
	"math"
	"math/rand/v2"
	"testing"

	"pgregory.net/rapid"
)

// protocols are all forced-choice protocols.
var protocols = []Protocol{Triangle, DuoTrio, TwoAFC, ThreeAFC, Tetrad}

// Proportions correct at d′ = 1 and the inverse from counts.
func TestPsychometricFunctions(t *testing.T) {
	t.Parallel()
	const forms = "Ennis (1993), J. Sens. Stud. 8, forms from memory; values computed in R and simulated"
	for _, tc := range []struct {
		protocol Protocol
		pc       float64
		source   string
	}{
		{Triangle, 0.4180, forms}, {DuoTrio, 0.5825, forms}, {TwoAFC, 0.7602, forms},
		{ThreeAFC, 0.6337, forms}, {Tetrad, 0.4938, forms},
	} {
		if got := tc.protocol.PC(1); math.Abs(got-tc.pc) > 5e-5 {
			t.Errorf("%v at d′ = 1: %.6f, want %.4f (%s)", tc.protocol, got, tc.pc, tc.source)
		}
	}
}

// The decision rules themselves, played a hundred thousand times: an
// independent derivation of the five functions.
func TestPsychometricFunctionsAgainstDecisionRules(t *testing.T) {
	t.Parallel()
	rng := rand.New(rand.NewPCG(1, 2))
	n := rng.NormFloat64
	rules := map[Protocol]func(d float64) bool{
		TwoAFC:   func(d float64) bool { return n()+d > n() },
		ThreeAFC: func(d float64) bool { return n()+d > max(n(), n()) },
		DuoTrio: func(d float64) bool { // reference, its match, the other
			ref, same, other := n(), n(), n()+d
			return math.Abs(ref-same) < math.Abs(ref-other)
		},
		Triangle: func(d float64) bool { // the two alike are the closest pair
			a, b, odd := n(), n(), n()+d
			return math.Abs(a-b) < min(math.Abs(a-odd), math.Abs(b-odd))
		},
		Tetrad: func(d float64) bool { // both of one kind above both of the other
			a, b, c, e := n(), n(), n()+d, n()+d
			return max(a, b) < min(c, e) || max(c, e) < min(a, b)
		},
	}
	const trials = 100_000
	for _, p := range protocols {
		for _, d := range []float64{0, 0.7, 1.5, 3} {
			right := 0
			for range trials {
				if rules[p](d) {
					right++
				}
			}
			got, want := float64(right)/trials, p.PC(d)
			if se := math.Sqrt(want * (1 - want) / trials); math.Abs(got-want) > 4*se {
				t.Errorf("%v at d′ = %g: simulated %.4f, function %.4f (4 se %.4f)", p, d, got, want, 4*se)
			}
		}
	}
}

func TestDPrimeInvertsPC(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		p := rapid.SampledFrom(protocols).Draw(t, "protocol")
		d := rapid.Float64Range(0.02, 5).Draw(t, "d")
		got, err := p.DPrime(p.PC(d))
		if err != nil {
			t.Fatal(err)
		}
		// Rounding of PC by one unit moves d′ by about an ulp over the slope.
		if tol := 1e-9 + 1e-15/p.slope(d); math.Abs(got-d) > tol {
			t.Errorf("%v: d′ %.12g came back as %.12g", p, d, got)
		}
	})
}

func TestPCRisesFromChanceToOne(t *testing.T) {
	t.Parallel()
	for _, p := range protocols {
		if got := p.PC(0); math.Abs(got-p.Chance()) > 1e-14 {
			t.Errorf("%v at 0: %v, want chance %v", p, got, p.Chance())
		}
		last := p.Chance()
		for d := 0.05; d < 12; d += 0.05 {
			pc := p.PC(d)
			if pc < last-1e-15 || pc > 1+1e-15 {
				t.Fatalf("%v: %v at %g after %v", p, pc, d, last)
			}
			h := 1e-5
			slope := (p.PC(d+h) - p.PC(d-h)) / (2 * h)
			if math.Abs(slope-p.slope(d)) > 1e-8 {
				t.Fatalf("%v at %g: slope %v, numeric %v", p, d, p.slope(d), slope)
			}
			last = pc
		}
		if p.PC(math.Inf(1)) != 1 {
			t.Errorf("%v at +Inf: %v", p, p.PC(math.Inf(1)))
		}
	}
}

func TestDPrimeAtTheBounds(t *testing.T) {
	t.Parallel()
	for _, p := range protocols {
		for pc, want := range map[float64]float64{0: 0, p.Chance(): 0, 0.1: 0, 1: math.Inf(1)} {
			if got, err := p.DPrime(pc); got != want || err != nil {
				t.Errorf("%v at %g: %v %v, want %v", p, pc, got, err, want)
			}
		}
		for _, pc := range []float64{-0.1, 1.1, math.NaN(), math.Inf(1)} {
			if _, err := p.DPrime(pc); err == nil {
				t.Errorf("%v: %g accepted", p, pc)
			}
		}
	}
	if _, err := Protocol(9).DPrime(0.5); err == nil {
		t.Error("protocol 9 accepted")
	}
}

func BenchmarkDPrime(b *testing.B) {
	for _, p := range protocols {
		b.Run(p.String(), func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				if _, err := p.DPrime(0.62); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

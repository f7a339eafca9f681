package choice

import (
	"math"
	"math/rand/v2"
	"testing"

	"cloche/internal/simulated"
	"cloche/internal/stats/dist"
)

func TestReplicatedWithoutOverdispersion(t *testing.T) {
	t.Parallel()
	// Every assessor right 2 of 4: less varied than a binomial, so gamma is 0
	// and the fit is the pooled binomial.
	trials := make([]Trials, 20)
	for i := range trials {
		trials[i] = Trials{2, 4}
	}
	r, err := ReplicatedDiscrimination(trials, Triangle)
	if err != nil {
		t.Fatal(err)
	}
	if r.Gamma != 0 || r.PC != 0.5 || r.PGamma != 1 || math.Abs(r.PCSE-math.Sqrt(0.25/80)) > 1e-12 {
		t.Errorf("%+v", r)
	}
	if want := dist.BinomialSurvival(39, 80, 1./3); r.PNaive != want {
		t.Errorf("p of independent answers %v, want %v", r.PNaive, want)
	}
}

func TestReplicatedExtremes(t *testing.T) {
	t.Parallel()
	split := make([]Trials, 20) // half always right, half always wrong
	for i := range split {
		split[i] = Trials{4 * (i % 2), 4}
	}
	r, err := ReplicatedDiscrimination(split, Triangle)
	if err != nil || r.Gamma < 0.9 || r.PGamma > 1e-6 || math.Abs(r.PC-0.5) > 0.05 {
		t.Errorf("two kinds of assessor: %+v %v", r, err)
	}
	all, err := ReplicatedDiscrimination([]Trials{{3, 3}, {2, 2}}, Tetrad)
	if err != nil || all.PC != 1 || !math.IsInf(all.DPrime, 1) {
		t.Errorf("all right: %+v %v", all, err)
	}
	none, err := ReplicatedDiscrimination([]Trials{{0, 3}, {0, 2}}, Tetrad)
	if err != nil || none.PC < 1./3-1e-12 || none.DPrime > 1e-3 || none.PDifference < 0.05 {
		t.Errorf("none right: %+v %v", none, err)
	}
	once, err := ReplicatedDiscrimination([]Trials{{1, 1}, {0, 1}, {1, 1}}, Triangle)
	if err != nil || len(once.Warnings) == 0 || once.PDifference != once.PNaive {
		t.Errorf("one trial each: %+v %v", once, err)
	}
	for name, trials := range map[string][]Trials{"nobody": nil, "no trials": {{0, 0}}, "too many": {{3, 2}},
		"negative": {{-1, 2}}} {
		if _, err := ReplicatedDiscrimination(trials, Triangle); err == nil {
			t.Errorf("%s accepted", name)
		}
	}
}

// No point of a grid is likelier than the fit.
func TestReplicatedIsTheMaximum(t *testing.T) {
	t.Parallel()
	rng := rand.New(rand.NewPCG(15, 16))
	for range 20 {
		trials := simulateTrials(rng, 30, 4, 0.3, 0.4, 1./3)
		r, err := ReplicatedDiscrimination(trials, Triangle)
		if err != nil {
			t.Fatal(err)
		}
		b, _ := newBetaBinomial(trials, 1./3)
		for m := 1. / 3; m < 1; m += 0.02 {
			for g := 0.0; g < 0.98; g += 0.02 {
				if l := b.logLik(m, g); l > r.LogLik+1e-6 {
					t.Fatalf("log-likelihood %g at (%g, %g), %g at the fit (%g, %g)", l, m, g, r.LogLik, r.PC, r.Gamma)
				}
			}
		}
	}
}

// simulateTrials gives each assessor a probability correct that is chance or,
// for a share of them, higher.
func simulateTrials(rng *rand.Rand, assessors, each int, share, lift, chance float64) []Trials {
	out := make([]Trials, assessors)
	for i := range out {
		p := chance
		if rng.Float64() < share {
			p += lift
		}
		out[i].N = each
		for range each {
			if rng.Float64() < p {
				out[i].Correct++
			}
		}
	}
	return out
}

// Under pure guessing both tests keep their size; 2,000 simulated panels in the full run.
func TestReplicatedCalibration(t *testing.T) {
	t.Parallel()
	rng := rand.New(rand.NewPCG(17, 18))
	panels := simulated.Studies(2_000)
	var rejected, over float64
	for range panels {
		r, err := ReplicatedDiscrimination(simulateTrials(rng, 30, 4, 0, 0, 1./3), Triangle)
		if err != nil {
			t.Fatal(err)
		}
		if r.PDifference <= 0.05 {
			rejected += 1 / float64(panels)
		}
		if r.PGamma <= 0.05 {
			over += 1 / float64(panels)
		}
	}
	t.Logf("guessing rejected %.4f, overdispersion found %.4f, both at 0.05", rejected, over)
	if margin := simulated.Margin(0.05, panels); rejected > 0.05+margin || over > 0.05+margin {
		t.Errorf("guessing rejected %.4f, overdispersion found %.4f", rejected, over)
	}
}

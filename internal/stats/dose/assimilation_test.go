package dose

import (
	"math"
	"math/rand/v2"
	"testing"

	"pgregory.net/rapid"

	"cloche/internal/simulated"
	"cloche/internal/stats"
)

// Zero lies outside the interval just when named minus blind is significant, one when named
// minus expected is, and the set has two ends just when expected minus blind is.
func TestIntervalOfTheWaySaysWhatThreeTestsSay(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(4, 40).Draw(t, "people")
		values := rapid.SliceOfN(rapid.Float64Range(-10, 10), n, n)
		e, b, i := values.Draw(t, "expected"), values.Draw(t, "blind"), values.Draw(t, "informed")
		shift := rapid.Float64Range(-12, 12).Draw(t, "promised")
		for k := range e {
			e[k] += shift
		}
		r, err := ExpectedAndInformed(e, b, i, 0.95)
		if err != nil {
			t.Fatal(err)
		}
		for _, m := range []MeanOfPeople{r.Gap, r.Moved, r.Left} {
			if math.IsNaN(m.P) || math.Abs(m.P-0.05) < 1e-6 {
				t.Skip("no scatter, or on the edge")
			}
		}
		bounded := r.Fieller.Type == Bounded
		if bounded != (r.Gap.P < 0.05) {
			t.Fatalf("bounded: %t, expected minus blind has p %g", bounded, r.Gap.P)
		}
		if !bounded {
			return
		}
		ci := r.Fieller.CI
		if outside := ci.Lo > 0 || ci.Hi < 0; outside != (r.Moved.P < 0.05) {
			t.Errorf("0 outside %v: %t, named minus blind has p %g", ci, outside, r.Moved.P)
		}
		if outside := ci.Lo > 1 || ci.Hi < 1; outside != (r.Left.P < 0.05) {
			t.Errorf("1 outside %v: %t, named minus expected has p %g", ci, outside, r.Left.P)
		}
	})
}

// The slope over people is what the doc comment derives, and the ratio of means covers the
// truth where the slope does not.
func TestSlopeOverPeopleIsNoWay(t *testing.T) {
	const people, gap, errorB, errorE, spread = 60, 0.8, 1.0, 1.0, 0.8
	studies := simulated.Studies(20_000)
	for _, share := range []float64{0, 0.5, 1} {
		random := rand.New(rand.NewPCG(4, uint64(10*share)))
		held, slopes := 0, 0.0
		e, b, i := make([]float64, people), make([]float64, people), make([]float64, people)
		for range studies {
			xy, xx, meanX, meanY := 0.0, 0.0, 0.0, 0.0
			for k := range people {
				level, own := random.NormFloat64(), gap+spread*random.NormFloat64()
				b[k] = level + errorB*random.NormFloat64()
				e[k] = level + own + errorE*random.NormFloat64()
				i[k] = level + share*own + random.NormFloat64()
				meanX, meanY = meanX+(e[k]-b[k])/people, meanY+(i[k]-b[k])/people
			}
			for k := range people {
				x := e[k] - b[k] - meanX
				xy, xx = xy+x*(i[k]-b[k]-meanY), xx+x*x
			}
			slopes += xy / xx / float64(studies)
			r, err := ExpectedAndInformed(e, b, i, 0.95)
			if err != nil {
				t.Fatal(err)
			}
			if r.Fieller.holds(share) {
				held++
			}
		}
		derived := (share*spread*spread + errorB*errorB) / (spread*spread + errorE*errorE + errorB*errorB)
		if math.Abs(slopes-derived) > 0.02 {
			t.Errorf("share %g: the slope over people is %.3f, derived is %.3f", share, slopes, derived)
		}
		cover := float64(held) / float64(studies)
		if math.Abs(cover-0.95) > simulated.Margin(0.95, studies)+0.005 {
			t.Errorf("share %g: the interval of the ratio of means covers it in %.3f", share, cover)
		}
	}
}

// holds reports whether a value lies in the confidence set.
func (r RatioResult) holds(v float64) bool {
	switch r.Type {
	case TwoRays:
		return v <= r.Excluded.Lo || v >= r.Excluded.Hi
	case Bounded, OneRay:
		return v >= r.CI.Lo && v <= r.CI.Hi
	case WholeLine:
	}
	return true
}

func TestWayOfUnequalLengthsIsRefused(t *testing.T) {
	_, err := ExpectedAndInformed([]float64{1, 2}, []float64{1}, []float64{1, 2}, 0.95)
	if err != stats.ErrUnequalLengths {
		t.Errorf("error %v", err)
	}
}

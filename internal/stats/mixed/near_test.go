package mixed

import (
	"math"
	"testing"

	"cloche/internal/stats/model"
	"cloche/internal/stats/statstest"
)

// Where the search starts is without effect on what it finds, at the boundary too: of two
// panels, one of which is near the other here, one often ends there and the other does not.
func TestNearIsWithoutEffect(t *testing.T) {
	random := []RandomTerm{{Group: model.Term{"assessor"}}, {Group: model.Term{"assessor", "sample"}}}
	singular := 0
	for seed := range uint64(60) {
		p := panel{assessors: 10, samples: 4, repeats: 2, assessorSD: 1, interactionSD: 0.7, missing: 0.1}
		flat := p
		flat.interactionSD = 0
		if seed%2 == 1 {
			p, flat = flat, p
		}
		m := Model{Data: p.draw(statstest.NewTestRand(seed)), Fixed: []model.Term{{"sample"}}, Random: random}
		other := m
		other.Data = flat.draw(statstest.NewTestRand(1000 + seed))
		far := statstest.Must(Fit(m))
		m.Near = statstest.Must(Fit(other))
		near := statstest.Must(Fit(m))
		if near.Singular {
			singular++
		}
		a, b := far.Anova()[0], near.Anova()[0]
		if math.Abs(far.LogLik-near.LogLik) > 1e-9 || math.Abs(a.P-b.P) > 1e-7 || far.Singular != near.Singular {
			t.Errorf("seed %d: likelihood %.12g, p %.12g; from nearby %.12g, p %.12g", seed, far.LogLik, a.P,
				near.LogLik, b.P)
		}
	}
	if singular < 10 || singular > 50 {
		t.Errorf("%d of 60 panels end at the boundary", singular)
	}
}

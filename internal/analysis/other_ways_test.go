package analysis

import (
	"testing"

	"cloche/internal/study"
)

// The panels that find d′ = 1 and 1.5 at α = 0.05 with a power of 80 %, from which every
// larger panel does too: computed from the exact binomial and Thurstone's forms, apart
// from this program. That a tetrad takes about a third of a triangle's people: Ennis &
// Jesionka 2011. A–not-A and same–different by R 4.2.2: Fisher's test by phyper, weighted by
// dbinom, at half of the answers of each kind.
var panelsAt = map[float64]map[study.Question]int{
	1: {study.ThreeAFC: 22, study.TwoAFC: 26, study.Tetrad: 65, study.Triangle: 220, study.DuoTrio: 241,
		study.ANotA: 50, study.SameDifferent: 487},
	1.5: {study.ThreeAFC: 9, study.TwoAFC: 13, study.Tetrad: 20, study.Triangle: 57, study.DuoTrio: 65,
		study.ANotA: 24, study.SameDifferent: 127},
}

func TestOtherWaysTakeWhatIsPublished(t *testing.T) {
	for distance, panels := range panelsAt {
		for own := range panels {
			z, err := FindSize(Sizing{Test: SizedTest(own), Sides: study.Greater, Distance: distance})
			if err != nil {
				t.Fatal(err)
			}
			if z.Needed.Assessors != panels[own] || len(z.OtherWays) != len(panels)-1 {
				t.Errorf("%s needs %d, want %d; %d other ways", own, z.Needed.Assessors, panels[own], len(z.OtherWays))
			}
			for i, w := range z.OtherWays {
				if w.Needed != panels[w.Question] || w.Named != (w.Question.Kind().Attributes == study.OneNamed) {
					t.Errorf("beside %s at %g: %+v, want %d", own, distance, w, panels[w.Question])
				}
				if i > 0 && w.Portions() < z.OtherWays[i-1].Portions() {
					t.Errorf("%+v comes after %+v", w, z.OtherWays[i-1])
				}
			}
		}
	}
}

// A share asked for is the same difference as its distance.
func TestOtherWaysOfAShare(t *testing.T) {
	share, err := FindSize(Sizing{Test: SizedTest(study.Triangle), Sides: study.Greater, Share: 0.3})
	if err != nil {
		t.Fatal(err)
	}
	distance, err := FindSize(Sizing{Test: SizedTest(study.Triangle), Sides: study.Greater, Distance: share.AtDistance})
	if err != nil {
		t.Fatal(err)
	}
	if len(share.OtherWays) != 6 || share.Needed != distance.Needed {
		t.Errorf("by share %+v, by distance %+v", share.Needed, distance.Needed)
	}
	for i := range share.OtherWays {
		if share.OtherWays[i] != distance.OtherWays[i] {
			t.Errorf("%+v and %+v", share.OtherWays[i], distance.OtherWays[i])
		}
	}
	planned, err := FindSize(Sizing{Test: SizedTest(study.Triangle), Sides: study.Greater, Assessors: 220})
	if err != nil || len(planned.OtherWays) != 6 || planned.AtDistance != planned.Planned.Distance {
		t.Errorf("what 220 find: %+v, %v", planned, err)
	}
	if z, err := FindSize(Sizing{Test: SizedTest(study.PairedT), Difference: 5, Spread: Spread{SD: 10}}); err != nil ||
		len(z.OtherWays) > 0 {
		t.Errorf("ratings have no other ways: %+v, %v", z, err)
	}
}

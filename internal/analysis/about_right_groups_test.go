package analysis_test

import (
	"math"
	"testing"

	"cloche/internal/analysis"
	"cloche/internal/design"
	"cloche/internal/study"
)

// TestAboutRightOfGroups: where each assessor has one sample, the answers to each are those of
// the people who had it, the drop in liking is held against the others who had it, and nobody
// is said to have moved between two.
func TestAboutRightOfGroups(t *testing.T) {
	s := parseStudy(t, "../../studies/sweet-enough.yaml")
	s.Serving.Design, s.Serving.RinseSeconds, s.Plan.Test = study.One, 0, study.WelchT
	plan, err := design.Draw(s, design.Options{Seed: 3})
	if err != nil {
		t.Fatal(err)
	}
	ratings := analysis.Simulate(s, plan, analysis.Truth{}, 7)
	r := analyse(t, s, ratings)
	if f := r.Findings[0]; f.Kind != analysis.KindGroups || f.Role != analysis.Primary {
		t.Fatalf("the first finding is a %s, %s", f.Kind, f.Role)
	}
	f := r.Findings[len(r.Findings)-1]
	if f.Kind != analysis.KindAboutRight || len(f.AboutRight.Samples) != 2 || len(f.AboutRight.Moves) != 0 {
		t.Fatalf("a finding of kind %s: %+v", f.Kind, f.AboutRight)
	}
	for _, x := range f.AboutRight.Samples {
		liked, sides := likingBySide(s, ratings, x.Sample)
		if x.N != len(sides) || x.N != 30 || x.Counts[0]+x.Counts[1]+x.Counts[2] != x.N {
			t.Errorf("%s: %d people, want %d: %v", x.Sample, x.N, len(sides), x.Counts)
		}
		for i, side := range []analysis.RightSide{x.Low, x.High} {
			said, right := liked[2*i], liked[1]
			if side.People != len(said) || x.Liked.People != len(right) {
				t.Errorf("%s: %d people beside %d, want %d and %d", x.Sample, side.People, x.Liked.People, len(said),
					len(right))
			}
			if want := mean(right) - mean(said); len(said) > 1 && math.Abs(side.Drop.Value-want) > 1e-12 {
				t.Errorf("%s: a drop of %g, want %g", x.Sample, side.Drop.Value, want)
			}
		}
	}
}

// likingBySide are the likings of a sample by what their people said of it, and what each said.
func likingBySide(s *study.Study, ratings []analysis.Rating, sample study.SampleID) (liked [3][]float64,
	said map[string]int) {
	a, _ := s.Attribute("sweetness")
	said = map[string]int{}
	for _, r := range ratings {
		if r.Sample == sample && r.Attribute == "sweetness" {
			said[r.Assessor] = int(r.Value - a.Scale.Min())
		}
	}
	for _, r := range ratings {
		if r.Sample == sample && r.Attribute == "liking" {
			liked[said[r.Assessor]] = append(liked[said[r.Assessor]], r.Value)
		}
	}
	return liked, said
}

func mean(x []float64) float64 {
	sum := 0.0
	for _, v := range x {
		sum += v
	}
	return sum / float64(len(x))
}

package analysis_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"cloche/internal/analysis"
	"cloche/internal/simulated"
	"cloche/internal/study"
)

// ofLabels is a study of two samples on so many labels, tested by their order.
func ofLabels(labels int) *study.Study {
	s := panelOf(2)
	names := make([]string, labels)
	for i := range names {
		names[i] = fmt.Sprint("label ", i+1)
	}
	s.Attributes[0].Scale = study.Scale{Kind: study.Categories, Labels: names}
	s.Plan.Test = study.Ordinal
	return s
}

// The power that is stated is how often the planned analysis of simulated studies finds the
// difference.
func TestOrdinalPowerIsWhatAnalysesFind(t *testing.T) {
	for _, tc := range []struct {
		labels             int
		difference, spread float64
	}{{5, 0.6, 1.2}, {7, 1, 2}, {3, 0.35, 0.7}} {
		s := ofLabels(tc.labels)
		s.Plan.SmallestEffect = tc.difference
		q, err := analysis.SizingOf(s)
		if err != nil {
			t.Fatal(err)
		}
		q.Spread, q.Assessors = analysis.GivenSpread(tc.spread), 30
		z, err := analysis.FindSize(q)
		if err != nil {
			t.Fatal(err)
		}
		studies := simulated.Analyses(2000)
		random, found, sum, squares := rand.New(rand.NewPCG(3, uint64(tc.labels))), 0, 0.0, 0.0
		scale, apart := analysis.OrderedAnswersOf(tc.labels, tc.spread, tc.difference)
		for i := range studies {
			ratings := answersByOrder(s, random, q.Assessors, scale, apart)
			for i := 0; i < len(ratings); i += 2 {
				d := ratings[i].Value - ratings[i+1].Value
				sum, squares = sum+d, squares+d*d
			}
			p := foundAlone(t, s, ratings).Test.P
			if i < 3 && analyse(t, s, ratings).Findings[0].Test.P != p {
				t.Errorf("%d labels, study %d: the whole analysis has another p", tc.labels, i)
			}
			if p < q.Alpha {
				found++
			}
		}
		n := float64(studies * q.Assessors)
		mean := sum / n
		if sd := math.Sqrt(squares/n - mean*mean); math.Abs(mean-tc.difference) > 4*sd/math.Sqrt(n) ||
			math.Abs(sd/tc.spread-1) > 0.06 {
			t.Errorf("%d labels: answers differ by %.3f and scatter by %.3f, to be %v and %v", tc.labels, mean, sd,
				tc.difference, tc.spread)
		}
		share := float64(found) / float64(studies)
		t.Logf("%d labels: power %.3f, found in %.3f of %d", tc.labels, z.Planned.Power, share, studies)
		if off := 4*math.Sqrt(0.25/float64(studies)) + 0.04; math.Abs(share-z.Planned.Power) > off {
			t.Errorf("%d labels: power %.3f, found in %.3f of %d", tc.labels, z.Planned.Power, share, studies)
		}
	}
}

// answersByOrder are the answers of people whose levels are normal and whose scatter is logistic.
func answersByOrder(s *study.Study, random *rand.Rand, n int, scale, apart float64) (all []analysis.Rating) {
	labels := len(s.Attributes[0].Scale.Labels)
	for i := range n {
		level := scale * math.Pi / math.Sqrt(3) * random.NormFloat64()
		for k, at := range [2]float64{apart / 2, -apart / 2} {
			u := random.Float64()
			x := level + at + scale*math.Log(u/(1-u)) + float64(labels+1)/2
			all = append(all, analysis.Rating{Assessor: fmt.Sprint(i + 1), Sample: s.Samples[k].ID, Attribute: "salt",
				Position: 1 + (i+k)%2, Value: math.Min(float64(labels), math.Max(1, math.Round(x)))})
		}
	}
	return all
}

// The size of a study of labels is that of its own test, and every panel keeps to it.
func TestOrdinalSizes(t *testing.T) {
	s := ofLabels(5)
	s.Plan.SmallestEffect = 0.5
	q, err := analysis.SizingOf(s)
	if err != nil || q.Test != analysis.OrdinalTest || q.Labels != 5 {
		t.Fatalf("%+v: %v", q, err)
	}
	z, err := analysis.FindSize(q)
	if err != nil {
		t.Fatal(err)
	}
	n := z.Needed
	if n.Power < q.Power || math.Abs(n.Detects/0.5-1) > 0.1 || n.Detects > 0.5 {
		t.Errorf("needed %+v", n)
	}
	before := analysis.PanelPower{}
	for _, p := range z.Curve {
		if p.Power < before.Power || before.Detects > 0 && p.Detects > before.Detects {
			t.Errorf("a larger panel finds less: %+v after %+v", p, before)
		}
		before = p
	}
	if text := fmt.Sprint(z.Assumptions); !strings.Contains(text, "nearest to what they find") {
		t.Errorf("assumptions: %s", text)
	}
	q.Spread = analysis.GivenSpread(30)
	if _, err := analysis.FindSize(q); err == nil || !strings.Contains(err.Error(), "5 labels cannot scatter") {
		t.Errorf("a spread that labels cannot have: %v", err)
	}
	q = analysis.SizingWithout(analysis.OrdinalTest)
	q.Spread = analysis.GivenSpread(1)
	if _, err := analysis.FindSize(q); err == nil || !strings.Contains(err.Error(), "none are given") {
		t.Errorf("without labels: %v", err)
	}
}

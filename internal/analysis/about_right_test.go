package analysis_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
	"pgregory.net/rapid"

	"cloche/internal/analysis"
	_ "cloche/internal/draws"
	"cloche/internal/study"
)

// sweetness is a study of k recipes that asks for liking and whether they are sweet enough,
// with so many answers.
func sweetness(k, answers int) *study.Study {
	s := panelOf(k)
	s.Attributes[0] = study.Attribute{ID: "liking", Ask: "How much do you like it?",
		Scale: study.Scale{Kind: study.Hedonic9, Labels: study.Hedonic9Labels[:]}}
	right := study.Scale{Kind: study.AboutRight, Labels: []string{"not enough", "about right", "too much"}}
	if answers == 5 {
		right.Labels = []string{"far too little", "not enough", "about right", "too much", "far too much"}
	}
	s.Attributes = append(s.Attributes, study.Attribute{ID: "sweet", Ask: "How sweet is it?", Scale: right})
	s.Plan.Attribute, s.Plan.Liking = "liking", "liking"
	return s
}

// likedAndSaid are the ratings of people who said so of sample x, in pairs of liking and answer.
func likedAndSaid(x study.SampleID, likings, said []float64) (out []analysis.Rating) {
	for i := range likings {
		r := analysis.Rating{Assessor: fmt.Sprint(i + 1), Position: 1, Sample: x, Attribute: "liking",
			Value: likings[i]}
		out = append(out, r)
		r.Attribute, r.Value = "sweet", said[i]
		out = append(out, r)
	}
	return out
}

// drawnSweet are invented: people scatter, and like less what is not right by lift points.
func drawnSweet(random *rand.Rand, s *study.Study, n int, lift float64) (out []analysis.Rating) {
	labels := float64(len(s.Attributes[1].Scale.Labels))
	middle := (labels + 1) / 2
	for i := range n {
		own := random.NormFloat64()
		for at, k := range random.Perm(len(s.Samples)) {
			said := min(labels, max(1, math.Round(middle+0.5*own+0.6*random.NormFloat64()+0.3*float64(k))))
			liking := min(9, max(1, math.Round(6.5-lift*math.Abs(said-middle)+1.3*random.NormFloat64())))
			for a, v := range map[study.AttributeID]float64{"liking": liking, "sweet": said} {
				out = append(out, analysis.Rating{Assessor: fmt.Sprint(i + 1), Position: at + 1,
					Sample:    s.Samples[k].ID,
					Attribute: a, Value: v})
			}
		}
	}
	return out
}

func rightOf(t testing.TB, s *study.Study, ratings []analysis.Rating) analysis.Finding {
	t.Helper()
	for _, f := range analyse(t, s, ratings).Findings {
		if f.Kind == analysis.KindAboutRight {
			return f
		}
	}
	t.Fatal("nothing was found about right")
	return analysis.Finding{}
}

// Shares, drops and weighted drops of the project's own example, which was invented; computed
// in R 4.2.2 (t.test, whose statistic goes to pt and qt on 5 − 1 and 3 − 1 degrees of freedom,
// those of the smaller group; binom.test; weighted by the delta method).
func TestAboutRightIsWhatRFinds(t *testing.T) {
	s := sweetness(2, 3)
	ratings := likedAndSaid("A", []float64{5, 6, 4, 5, 6, 7, 8, 7, 6, 8, 7, 7, 8, 6, 7, 8, 7, 6, 5, 7},
		[]float64{1, 1, 1, 1, 1, 2, 2, 2, 2, 2, 2, 2, 2, 2, 2, 2, 2, 3, 3, 3})
	f := rightOf(t, s, ratings)
	if len(f.AboutRight.Samples) != 1 || f.N != 20 {
		t.Fatalf("%d samples, %d people", len(f.AboutRight.Samples), f.N)
	}
	x := f.AboutRight.Samples[0]
	if diff := cmp.Diff([]int{5, 12, 3}, x.Counts); diff != "" {
		t.Error(diff)
	}
	for i, side := range []analysis.RightSide{x.Low, x.High} {
		got := []float64{side.Share, side.ShareCI.Lo, side.ShareCI.Hi, side.Drop.Value, side.Drop.CI.Lo,
			side.Drop.CI.Hi,
			side.Test.P, side.Weighted.Value, side.Weighted.CI.Lo, side.Weighted.CI.Hi}
		want := [][]float64{
			{0.25, 0.0865714691, 0.4910458719, 1.9666666667, 0.7791745941, 3.1541587392, 0.0100444077, 0.4916666667,
				0.0725829738, 0.9107503595},
			{0.15, 0.0320709372, 0.3789268265, 1.1666666667, -1.4725912718, 3.8059246051, 0.1975247373, 0.175,
				-0.0615190142, 0.4115190142}}[i]
		if !cmp.Equal(got, want, cmpopts.EquateApprox(0, 1e-9)) {
			t.Errorf("side %d: %v, want %v", i, got, want)
		}
	}
	if !x.High.Few() || x.Low.Few() { // 15 and 25 % of the people
		t.Error("a fifth of the people is enough to act on, and less is not")
	}
	if p := x.Low.Test.PAdjusted; math.Abs(p-2*x.Low.Test.P) > 1e-12 { // Holm, the smaller of two
		t.Errorf("adjusted %g of %g", p, x.Low.Test.P)
	}
}

// The verdict follows its rule, from either end.
func TestVerdictsOnAboutRight(t *testing.T) {
	for name, tc := range map[string]struct {
		people       int
		low, high    int // of them
		lift, effect float64
		want         analysis.VerdictCode
	}{
		"too few":                 {5, 2, 0, 3, 0.5, analysis.TooFew},
		"many, and far less":      {80, 0, 40, 3, 0.5, analysis.DifferentAct},
		"many, no effect stated":  {80, 0, 40, 3, 0, analysis.DifferentSizeOpen},
		"many, of open size":      {80, 0, 40, 3, 2.9, analysis.DifferentSizeOpen},
		"far less, too few":       {80, 0, 12, 3, 0.5, analysis.Open},
		"hardly anybody":          {80, 2, 3, 3, 0.5, analysis.Alike},
		"many, and nobody minds":  {400, 100, 100, 0, 1.5, analysis.Alike},
		"many, not ruled out":     {20, 6, 6, 0, 0.1, analysis.Open},
		"many, and like it more":  {80, 0, 40, -2, 0.5, analysis.Open},
		"many, by little, surely": {2000, 0, 1000, 0.4, 1.5, analysis.DifferentSmall},
	} {
		t.Run(name, func(t *testing.T) {
			random := rand.New(rand.NewPCG(4, uint64(tc.people))) // of its own: a map has no order
			s := sweetness(2, 3)
			s.Plan.SmallestEffect = tc.effect
			likings, said := make([]float64, tc.people), make([]float64, tc.people)
			for i := range said {
				said[i], likings[i] = 2, 5.5
				if i < tc.low {
					said[i] = 1
				} else if i < tc.low+tc.high {
					said[i] = 3
				}
				if said[i] != 2 {
					likings[i] -= tc.lift
				}
				likings[i] = min(9, max(1, math.Round(likings[i]+random.NormFloat64())))
			}
			if f := rightOf(t, s, likedAndSaid("A", likings, said)); f.Verdict.Code != tc.want {
				t.Errorf("%s, want %s: %+v", f.Verdict.Code, tc.want, f.AboutRight.Samples[0])
			}
		})
	}
}

// Everybody is counted, once for each sample, and whoever tasted two stands in one cell of
// their table; the order of rows is without effect, and that of the samples turns tables alone.
func TestAboutRightCountsEverybodyOnce(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		k, n := rapid.IntRange(2, 4).Draw(t, "samples"), rapid.IntRange(1, 25).Draw(t, "people")
		s := sweetness(k, rapid.SampledFrom([]int{3, 5}).Draw(t, "answers"))
		random := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 1))
		ratings := drawnSweet(random, s, n, 1)
		left := rapid.IntRange(0, len(ratings)/3).Draw(t, "missing")
		random.Shuffle(len(ratings), func(i, j int) { ratings[i], ratings[j] = ratings[j], ratings[i] })
		ratings = ratings[left:]
		r, err := analysis.Analyse(s, ratings, analysis.Options{})
		if err != nil {
			t.Fatal(err)
		}
		f := r.Findings[len(r.Findings)-1]
		if f.Kind != analysis.KindAboutRight {
			t.Fatalf("the last finding is %s", f.Kind)
		}
		said := map[study.SampleID]int{}
		both := map[[2]string]bool{}
		for _, x := range ratings {
			if x.Attribute == "sweet" {
				said[x.Sample]++
				both[[2]string{x.Assessor, string(x.Sample)}] = true
			}
		}
		for _, x := range f.AboutRight.Samples {
			if countOf(x.Counts) != said[x.Sample] || countOf(x.Sides[:]) != x.N || x.N != said[x.Sample] ||
				x.Low.People+x.High.People+x.Liked.People > x.N {
				t.Errorf("%+v of %d", x, said[x.Sample])
			}
		}
		for _, m := range f.AboutRight.Moves {
			want, got := 0, 0
			for i := range n {
				who := fmt.Sprint(i + 1)
				if both[[2]string{who, string(m.First)}] && both[[2]string{who, string(m.Second)}] {
					want++
				}
			}
			for _, row := range m.Table {
				got += countOf(row[:])
			}
			if got != want || m.N != want {
				t.Errorf("%s, %s: %d in the table and %d people, want %d", m.First, m.Second, got, m.N, want)
			}
		}
		turned := *s
		turned.Samples = append([]study.Sample(nil), s.Samples...)
		turned.Samples[0], turned.Samples[1] = turned.Samples[1], turned.Samples[0]
		random.Shuffle(len(ratings), func(i, j int) { ratings[i], ratings[j] = ratings[j], ratings[i] })
		again, err := analysis.Analyse(&turned, ratings, analysis.Options{})
		if err != nil {
			t.Fatal(err)
		}
		g := again.Findings[len(again.Findings)-1]
		if f.Verdict.Code != g.Verdict.Code || f.N != g.N {
			t.Errorf("%s of %d, turned %s of %d", f.Verdict.Code, f.N, g.Verdict.Code, g.N)
		}
		for _, x := range f.AboutRight.Samples {
			for _, y := range g.AboutRight.Samples {
				if x.Sample == y.Sample && !cmp.Equal(x, y, cmpopts.EquateNaNs(), cmpopts.EquateApprox(1e-12, 1e-12),
					cmpopts.IgnoreUnexported(analysis.RightSide{})) {
					t.Errorf("sample %s:\n%s", x.Sample, cmp.Diff(x, y, cmpopts.EquateNaNs(),
						cmpopts.IgnoreUnexported(analysis.RightSide{})))
				}
			}
		}
	})
}

func countOf(counts []int) (n int) {
	for _, x := range counts {
		n += x
	}
	return n
}

// Nothing compares the means of answers about right: no finding of another kind is of them,
// and no spread of theirs is kept for the size of later studies.
func TestAboutRightIsNeverAveraged(t *testing.T) {
	for _, design := range []study.Design{study.All, study.One} {
		s := sweetness(3, 5)
		s.Serving.Design = design
		if design == study.One {
			s.Plan.Test = study.WelchT
		}
		ratings := drawnSweet(rand.New(rand.NewPCG(1, 9)), s, 37, 1)
		kinds := map[analysis.Kind]int{}
		for _, f := range analyse(t, s, ratings).Findings {
			kinds[f.Kind]++
			if (f.Attribute == "sweet") != (f.Kind == analysis.KindAboutRight) {
				t.Errorf("a finding of kind %s is of %s", f.Kind, f.Attribute)
			}
			if f.Kind == analysis.KindAboutRight && (!math.IsNaN(f.Value) || f.Pair.Means != [2]float64{}) {
				t.Errorf("answers about right have an estimate: %+v", f.Estimate)
			}
		}
		if kinds[analysis.KindAboutRight] != 1 || len(kinds) < 2 {
			t.Errorf("findings: %v", kinds)
		}
		spreads, err := analysis.FoundDifferences(s, ratings, nil)
		if err != nil {
			t.Fatal(err)
		}
		for _, x := range spreads {
			if x.Attribute == "sweet" {
				t.Errorf("a spread of answers about right is kept: %+v", x)
			}
		}
	}
}

// Whoever says twice of one sample whether it is about right is refused, not averaged.
func TestAboutRightSaidTwice(t *testing.T) {
	s := sweetness(2, 3)
	ratings := likedAndSaid("A", []float64{5, 6}, []float64{1, 2})
	twice := ratings[1]
	twice.Position = 2
	if _, err := analysis.Analyse(s, append(ratings, twice), analysis.Options{}); err == nil {
		t.Error("an answer more was taken")
	}
}

func BenchmarkAboutRight(b *testing.B) {
	s := sweetness(2, 5)
	ratings := drawnSweet(rand.New(rand.NewPCG(3, 3)), s, 250, 1) // 1,000 answers
	b.ReportAllocs()
	for b.Loop() {
		if _, err := analysis.Analyse(s, ratings, analysis.Options{}); err != nil {
			b.Fatal(err)
		}
	}
}

package analysis_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"cloche/internal/analysis"
	"cloche/internal/study"
)

func foundDifference(title string, people int, difference, sd float64) analysis.FoundDifference {
	return analysis.FoundDifference{Study: title, Question: study.Naming, Contrast: analysis.ContrastNames,
		Attribute: "salt", Asked: "How salty is it?", Scale: study.Line, To: 100, People: people, SD: sd,
		Samples: [2]string{"“Sea custard”", "“Custard”"}, Difference: difference, Decides: true, Smallest: 5}
}

// Three tastings of one name, as variances of testdata/reference/next.json, meta_few.three_tastings, have
// them; the prior there has scale 5, here a quarter of the spread, which is 20.
func TestRecordCombines(t *testing.T) {
	t.Parallel()
	var found []analysis.FoundDifference
	for i, x := range [][2]float64{{6.2, 8.41}, {9.8, 11.56}, {2.9, 6.76}} {
		n := math.Round(400 / x[1])
		found = append(found, foundDifference(fmt.Sprint("evening ", i+1), int(n), x[0], math.Sqrt(x[1]*n)))
	}
	turned := found[1]
	turned.Samples[0], turned.Samples[1], turned.Difference = turned.Samples[1], turned.Samples[0], -turned.Difference
	other := foundDifference("another dish", 20, 3, 9)
	other.Samples[0] = "“Marsh custard”"
	asideOnly := foundDifference("on the side", 20, 3, 9)
	asideOnly.Asked, asideOnly.Decides = "How sweet is it?", false
	all := analysis.Records([]analysis.FoundDifference{found[0], turned, other, asideOnly, found[2]})
	if len(all) != 2 || len(all[0].Studies) != 3 || len(all[1].Studies) != 1 || all[1].Together != nil {
		t.Fatalf("records %+v", all)
	}
	r := all[0]
	if r.Studies[1].Difference != 9.8 || r.Places[2] != 4 {
		t.Errorf("studies %+v at %v", r.Studies, r.Places)
	}
	spread := math.Sqrt((8.41*48*47 + 11.56*35*34 + 6.76*59*58) / (47 + 34 + 58))
	got := r.Together
	if math.Abs(got.TauScale-spread/4) > 1e-12 || math.Abs(got.Mean-5.949) > 0.02 ||
		math.Abs(got.CI.Lo-0.494) > 0.2 || math.Abs(got.CI.Hi-11.72) > 0.2 {
		t.Errorf("together %+v, spread %v", got, spread)
	}
	if math.Abs(got.Wide.Lo+2.5597781721524) > 1e-3 || math.Abs(got.Wide.Hi-14.2339574112) > 1e-3 {
		t.Errorf("without a prior %v", got.Wide)
	}
	if a := r.Answer(); a != analysis.AnswerAverage {
		t.Errorf("it answers %q", a)
	}
}

// The answer goes by the intervals, over random records to the ends of the range.
func TestRecordAnswers(t *testing.T) {
	t.Parallel()
	seen := map[analysis.Answer]int{}
	for seed := range uint64(400) {
		r := rand.New(rand.NewPCG(seed, 83))
		truth, apart := 30*r.NormFloat64()*r.Float64(), 8*r.Float64()*r.Float64()
		var found []analysis.FoundDifference
		for i := range 1 + r.IntN(8) {
			n, sd := 2+r.IntN(60), 25*r.Float64()
			if r.IntN(12) == 0 {
				sd = 0
			}
			found = append(found, foundDifference(fmt.Sprint(i), n,
				truth+apart*r.NormFloat64()+sd/math.Sqrt(float64(n))*r.NormFloat64(), sd))
		}
		for _, x := range analysis.Records(found) {
			answer, usable := x.Answer(), 0
			seen[answer]++
			for i, ci := range x.Intervals {
				if f := x.Studies[i]; f.SD > 0 {
					usable++
					if !(ci.Lo < f.Difference && f.Difference < ci.Hi) {
						t.Errorf("seed %d: study %d, %v not within %v", seed, i, f.Difference, ci)
					}
				} else if !ci.Absent() {
					t.Errorf("seed %d: an interval %v without a spread", seed, ci)
				}
			}
			if (x.Together != nil) != (usable > 1) {
				t.Errorf("seed %d: %d usable studies, together %v", seed, usable, x.Together)
			}
			if x.Together == nil {
				continue
			}
			ci, next := x.Together.CI, x.Together.Prediction
			if !next.Absent() && !(next.Lo <= ci.Lo && ci.Hi <= next.Hi) {
				t.Errorf("seed %d: a further study in %v, the mean in %v", seed, next, ci)
			}
			zero := ci.Lo <= 0 && ci.Hi >= 0
			differs := answer == analysis.AnswerHolds || answer == analysis.AnswerAverage
			if zero && differs || !zero && answer == analysis.AnswerOpen {
				t.Errorf("seed %d: %q of %v", seed, answer, ci)
			}
		}
	}
	for _, a := range []analysis.Answer{analysis.AnswerHolds, analysis.AnswerAverage, analysis.AnswerSmall,
		analysis.AnswerOpen} {
		if seen[a] == 0 {
			t.Errorf("%q never came up: %v", a, seen)
		}
	}
}

// Six studies of testdata/reference/next.json, spread.six_studies: with the first two the pooled upper
// limit or the quantile, whichever is larger; with all the 80 % quantile, 23.609.
func TestEarlierSpreadAllowsForStudiesThatDiffer(t *testing.T) {
	t.Parallel()
	s := exampleStudy(t, "celeriac-custard")
	like, _ := analysis.Like(s)
	var found []analysis.FoundDifference
	for i, n := range []int{24, 31, 40, 18, 28, 52} {
		f := like
		f.Study, f.People, f.SD = fmt.Sprint(i+1), n, []float64{17.2, 22.5, 19.8, 28.1, 15.4, 21}[i]
		found = append(found, f)
	}
	got, ok := analysis.EarlierSpread(s, found)
	if !ok || !got.Differ || math.Abs(got.SD-23.609007865434368) > 1e-8 ||
		math.Abs(got.Pooled-20.631613507814382) > 1e-8 {
		t.Errorf("six studies: %+v", got)
	}
	if words := got.Words(); words != "from “1”, “2”, “3” and 3 more: 20.6 among 193 people, but in one study of "+
		"five it is to be expected above 23.6, which is taken" {
		t.Errorf("it says %q", words)
	}
	alike := []analysis.FoundDifference{found[1], found[5]}
	if got, _ := analysis.EarlierSpread(s, alike); got.Differ || got.SD <= got.Pooled {
		t.Errorf("two that scatter alike: %+v", got)
	}
}

// Evidence of a study that counted it is that of its finding, whoever the screening leaves out, and multiplies
// over studies: 20 to 1 and 3 to 1 are 60 to 1. What did not count any adds none.
func TestEvidenceMultipliesOverStudies(t *testing.T) {
	t.Parallel()
	s := parseStudy(t, "../../studies/darker-caramel.yaml")
	rated := readRatings(t, "../../studies/darker-caramel-ratings.csv", s)
	found, err := analysis.FoundDifferences(s, rated, nil)
	if err != nil || len(found) != 1 {
		t.Fatal(err, found)
	}
	if want := analyse(t, s, rated).Findings[0].Evidence.LogE(); !found[0].Counted || found[0].LogE != want {
		t.Errorf("%+v, the finding has %v", found[0], want)
	}
	more, none := found[0], found[0]
	found[0].LogE, more.LogE = math.Log(20), math.Log(3)
	none.Counted, none.LogE = false, 0
	records := analysis.Records([]analysis.FoundDifference{found[0], more, none})
	if len(records) != 1 {
		t.Fatal(records)
	}
	if e, n := records[0].Evidence(); n != 2 || math.Abs(e-math.Log(60)) > 1e-12 {
		t.Errorf("evidence %v of %d studies", math.Exp(e), n)
	}
}

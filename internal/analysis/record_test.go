package analysis_test

import (
	"fmt"
	"maps"
	"math"
	"math/rand/v2"
	"slices"
	"strconv"
	"testing"

	"cloche/internal/analysis"
	"cloche/internal/simulated"
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
	if words := got.Words().String(); words != "from “1”, “2”, “3” and 3 more: 20.6 among 193 people, but in one "+
		"study of five it is to be expected above 23.6, which is taken" {
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

// A study that may stop early counts with what its report says: the estimate and the interval that allow for its looks,
// or the interval that holds whenever one stops, of those who count; turned with its samples.
func TestRecordAllowsForEarlyStops(t *testing.T) {
	t.Parallel()
	for name, by := range map[string]analysis.StopsBy{"roasted-first": analysis.StopsByLooks,
		"darker-caramel": analysis.StopsByEvidence} {
		s := parseStudy(t, "../../studies/"+name+".yaml")
		rated := readRatings(t, "../../studies/"+name+"-ratings.csv", s)
		found, err := analysis.FoundDifferences(s, rated, nil)
		if err != nil || len(found) == 0 {
			t.Fatal(err, found)
		}
		f, told := found[0], analyse(t, s, rated).Findings[0]
		if f.Stopping != by || f.People != told.N || f.Difference != told.Value ||
			math.Abs(f.Low-told.CI.Lo) > 1e-9 || math.Abs(f.High-told.CI.Hi) > 1e-9 {
			t.Errorf("%s counts with %+v; its report has %v (%v) of %d", name, f, told.Value, told.CI, told.N)
		}
		turned := f
		turned.Samples[0], turned.Samples[1] = f.Samples[1], f.Samples[0]
		turned.Difference, turned.Low, turned.High = -f.Difference, -f.High, -f.Low
		r := analysis.Records([]analysis.FoundDifference{f, turned})[0]
		for i, ci := range r.Intervals {
			if ci.Lo != f.Low || ci.Hi != f.High || r.Studies[i].Difference != f.Difference {
				t.Errorf("%s, study %d: %v (%v)", name, i, r.Studies[i].Difference, ci)
			}
		}
		if math.Abs(r.Together.Mean-f.Difference) > 1e-6 {
			t.Errorf("%s twice says %v, once %v", name, r.Together.Mean, f.Difference)
		}
	}
}

// Where everybody moves alike there is no interval, whatever the plan says of stopping.
func TestRecordOfEarlyStopsWithoutScatter(t *testing.T) {
	t.Parallel()
	for _, name := range []string{"roasted-first", "darker-caramel"} {
		s := parseStudy(t, "../../studies/"+name+".yaml")
		rated := readRatings(t, "../../studies/"+name+"-ratings.csv", s)
		for i := range rated {
			rated[i].Value = map[study.SampleID]float64{s.Plan.Compare[0]: 60, s.Plan.Compare[1]: 50}[rated[i].Sample]
		}
		found, err := analysis.FoundDifferences(s, rated, nil)
		if err != nil || len(found) == 0 || found[0].Difference != 10 || found[0].Stopping != "" {
			t.Fatalf("%s: %v %+v", name, err, found)
		}
		if r := analysis.Records(found)[0]; !r.Intervals[0].Absent() || r.Together != nil {
			t.Errorf("%s: %+v", name, r)
		}
	}
}

// Records of six studies with looks, in which evenings do not differ: what they say together lies below the mean of
// their plain means, which exaggerates, and its interval holds the truth. (Of 400 records: truth 4.71, together 4.56,
// plain 4.94.)
func TestRecordOfStudiesWithLooksIsCalibrated(t *testing.T) {
	t.Parallel()
	s := lookingStudy(t)
	plan := drawn(t, s)
	const each = 6
	dz, sd := 0.4, 100/12.*math.Sqrt2 // of a difference
	records := simulated.Studies(400) / 8
	held, together, plain := 0, 0.0, 0.0
	for i := range records {
		var found []analysis.FoundDifference
		for k := range each {
			rated := evenings(s, plan, dz, uint64(i*each+k))
			f, err := analysis.FoundDifferences(s, rated, nil)
			if err != nil {
				t.Fatal(err)
			}
			found = append(found, f[0])
			plain += meanOfFirst(s, rated, f[0].People) / each
		}
		r := analysis.Records(found)[0].Together
		if together += r.Mean; r.CI.Lo <= dz*sd && r.CI.Hi >= dz*sd {
			held++
		}
	}
	n := float64(records)
	t.Logf("truth %.2f, together %.2f, plain %.2f, held in %d of %d", dz*sd, together/n, plain/n, held, records)
	se := sd / math.Sqrt(40*each*n)
	if together >= plain || math.Abs(together/n-dz*sd) > 4*se+0.04*dz*sd ||
		float64(held)/n < 0.95-simulated.Margin(0.95, records) {
		t.Errorf("truth %.2f, together %.2f, plain %.2f, held in %d of %d", dz*sd, together/n, plain/n, held, records)
	}
}

// meanOfFirst is the mean difference of the first n people, sitting by sitting.
func meanOfFirst(s *study.Study, rated []analysis.Rating, n int) float64 {
	d, sitting := map[string]float64{}, map[string]int{}
	for _, r := range rated {
		if r.Attribute != s.Plan.Attribute {
			continue
		}
		switch r.Sample {
		case s.Plan.Compare[0]:
			d[r.Assessor] += r.Value
		case s.Plan.Compare[1]:
			d[r.Assessor] -= r.Value
		}
		sitting[r.Assessor] = r.Sitting
	}
	people := slices.SortedFunc(maps.Keys(d), func(a, b string) int { return sitting[a] - sitting[b] })
	sum := 0.0
	for _, who := range people[:n] {
		sum += d[who] / float64(n)
	}
	return sum
}

// TestRecordWarns: of studies that are taken together it is said that they are few, that guests may have come twice,
// and which asked the same on another scale; of more studies the first is not.
func TestRecordWarns(t *testing.T) {
	t.Parallel()
	codes := func(r analysis.Record) (all []string) {
		for _, w := range r.Warnings() {
			all = append(all, w.Code)
		}
		return all
	}
	var found []analysis.FoundDifference
	for i := range 3 {
		found = append(found, foundDifference("evening "+strconv.Itoa(i), 40, 5, 20))
	}
	other := foundDifference("on another scale", 40, 5, 2)
	other.To = 9
	r := analysis.Records(append(found, other))
	if len(r) != 2 || !slices.Equal(codes(r[0]), []string{analysis.WarnFewStudies, analysis.WarnSameGuests,
		analysis.WarnOtherScale}) || !slices.Equal(r[0].Apart, []string{"on another scale"}) {
		t.Errorf("%d records; %v, apart %q", len(r), codes(r[0]), r[0].Apart)
	}
	if got := codes(r[1]); !slices.Equal(got, []string{analysis.WarnOtherScale}) || len(r[1].Apart) != 3 {
		t.Errorf("one study by itself: %v, apart %q", got, r[1].Apart)
	}
	for i := range 3 {
		found = append(found, foundDifference("later evening "+strconv.Itoa(i), 40, 6, 20))
	}
	if got := codes(analysis.Records(found)[0]); !slices.Equal(got, []string{analysis.WarnSameGuests}) {
		t.Errorf("six studies: %v", got)
	}
}

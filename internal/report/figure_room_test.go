package report_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"
	"time"

	"cloche/internal/analysis"
	"cloche/internal/panel"
	"cloche/internal/report"
	"cloche/internal/study"
)

// drawnAs counts the points of all series whose names begin so, each as many people as its name
// says behind that.
func (o option) drawnAs(t *testing.T, name string) (people int, sum float64) {
	t.Helper()
	for _, s := range o.Series {
		var n int
		if _, err := fmt.Sscanf(s.Name, name+" %d", &n); err != nil {
			continue
		}
		for _, d := range s.Data {
			people, sum = people+n, sum+float64(n)*d.Value[0]
		}
	}
	return people, sum
}

func (o option) within(t *testing.T, id string) {
	t.Helper()
	for _, s := range o.Series {
		for _, d := range s.Data {
			if !o.XAxis[0].holds(d.Value[0]) || !o.YAxis[0].holds(d.Value[1]) {
				t.Errorf("%s: %s at %v lies beyond its axes, %v and %v", id, s.Name, d.Value, o.XAxis[0], o.YAxis[0])
			}
		}
	}
}

// TestEveryRatingIsDrawnByPositionAndSitting: a dot for each rating of the primary attribute, less
// the mean of its sample, so that all of them add up to 0; the means are those of the rows.
func TestEveryRatingIsDrawnByPositionAndSitting(t *testing.T) {
	for seed := range uint64(60) {
		random := rand.New(rand.NewPCG(seed, 7))
		s := panelOf(2 + random.IntN(4))
		s.Attributes[0].Scale = scalesDrawn[random.IntN(len(scalesDrawn))]
		kind, sittings := random.IntN(4), 1+random.IntN(3)
		var rated []analysis.Rating
		people := 2 + random.IntN(40)
		for i := range people {
			for at, k := range random.Perm(len(s.Samples)) {
				rated = append(rated, analysis.Rating{Assessor: fmt.Sprint(i + 1), Position: at + 1,
					Sitting: 1 + i%sittings,
					Sample:  s.Samples[k].ID, Attribute: "salt",
					Value: randomRating(random, s.Attributes[0].Scale, kind, min(k, 1))})
			}
		}
		page := report.Build(s, analyse(t, s, rated), report.Options{Rated: rated})
		c := drawnCase{page: page}
		for id, rows := range map[string]int{"by-position": len(s.Samples), "by-sitting": min(sittings, people)} {
			f, drawn := c.figure(id)
			if drawn != (rows > 1) {
				t.Fatalf("seed %d: %s of %d rows is drawn: %v", seed, id, rows, drawn)
			}
			if !drawn {
				continue
			}
			o := optionOf(t, f)
			o.within(t, id)
			if n, sum := o.drawnAs(t, "rating"); n != len(rated) || math.Abs(sum) > 1e-6 {
				t.Errorf("seed %d, %s: %d ratings of %d are drawn; they differ from their means by %g in all",
					seed, id, n,
					len(rated), sum)
			}
			if len(f.Data.Rows) != rows || len(o.named("mean")) != rows {
				t.Errorf("seed %d, %s: %d rows, %d means, want %d", seed, id, len(f.Data.Rows),
					len(o.named("mean")), rows)
			}
		}
	}
}

// TestWhatWasExpectedIsDrawn: everybody is a dot where they expected and rated.
func TestWhatWasExpectedIsDrawn(t *testing.T) {
	s, r := expected(t, 1)
	c := drawnCase{page: report.Build(s, r, report.Options{})}
	for _, found := range r.Expected {
		if found.Kind != analysis.KindExpectedMinusRated {
			continue
		}
		f, drawn := c.figure("expected-" + string(found.Comparison[0]))
		if !drawn {
			t.Fatalf("nothing is drawn of %v", found.Comparison)
		}
		o := optionOf(t, f)
		o.within(t, f.ID)
		want := 0.0
		for _, p := range found.Pair.Each {
			want += p.First
		}
		if n, sum := o.drawnAs(t, "person"); n != found.N || math.Abs(sum-want) > 1e-9 {
			t.Errorf("%s: %d people of %d, who expected %g in all, want %g", f.ID, n, found.N, sum, want)
		}
		moved := fmt.Sprintf("%d rated it higher than they expected, %d lower", found.Pair.Moved.Down,
			found.Pair.Moved.Up)
		if !strings.Contains(f.Alt, moved) {
			t.Errorf("%q lacks %q", f.Alt, moved)
		}
	}
}

// TestTimelineDrawsEverybody: of random evenings each answer is a dot at its minute and each person
// a line; what staff typed is left out.
func TestTimelineDrawsEverybody(t *testing.T) {
	began := time.Date(2026, 3, 1, 19, 0, 0, 0, time.UTC)
	for seed := range uint64(40) {
		random := rand.New(rand.NewPCG(seed, 9))
		var c panel.Collected
		answers, people := map[int]int{}, map[int]map[int]bool{1: {}, 2: {}}
		for i := range 1 + random.IntN(200) {
			sitting := 1 + i%(1+int(seed%2))
			for turn := range 1 + random.IntN(5) {
				a := panel.KeyedAnswer{Place: i, Turn: turn + 1, Sitting: sitting, Attribute: "salt",
					At: began.Add(time.Duration(random.IntN(7200)) * time.Second)}
				if random.IntN(6) == 0 {
					a.EnteredBy = "floor"
				} else {
					answers[sitting]++
					people[sitting][i] = true
				}
				second := a
				second.Attribute = "sweet"
				c.Answers = append(c.Answers, a, second)
			}
		}
		s, r := custard(t)
		page := report.Build(s, r, report.Options{Answered: report.AnsweredOf(c)})
		drawn := 0
		for _, f := range page.Figures {
			if !strings.HasPrefix(f.ID, "timeline") {
				continue
			}
			drawn++
			sitting := 1
			_, _ = fmt.Sscanf(f.ID, "timeline-%d", &sitting)
			o := optionOf(t, f)
			o.within(t, f.ID)
			if n := len(o.named("answer")); n != answers[sitting] {
				t.Errorf("seed %d, %s: %d answers are drawn, want %d", seed, f.ID, n, answers[sitting])
			}
			if n := len(f.Data.Rows); n != len(people[sitting]) || len(o.named("person")) != 2*n {
				t.Errorf("seed %d, %s: %d people, want %d", seed, f.ID, n, len(people[sitting]))
			}
		}
		want := 0
		for _, n := range answers {
			want += min(n, 1)
		}
		if drawn != want {
			t.Errorf("seed %d: %d timelines, want %d", seed, drawn, want)
		}
	}
}

// TestPowerIsThatOfThePlan: the figure has what the sizing of the study finds at the panel planned
// and at the one that came, and is not drawn where nothing is stated.
func TestPowerIsThatOfThePlan(t *testing.T) {
	s := panelOf(2)
	s.Plan.SmallestEffect, s.Panel.Assessors = 8, 24
	r := analyse(t, s, paired(ten, near))
	c := drawnCase{page: report.Build(s, r, report.Options{})}
	f, drawn := c.figure("power")
	if !drawn {
		t.Fatal("no curve")
	}
	o := optionOf(t, f)
	o.within(t, f.ID)
	for name, n := range map[string]int{"planned": 24, "came": len(ten)} {
		q, err := analysis.SizingOf(s)
		if err != nil {
			t.Fatal(err)
		}
		q.Assessors = n
		z, err := analysis.FindSize(q)
		if err != nil {
			t.Fatal(err)
		}
		got := o.named(name)
		if len(got) != 1 || got[0][0] != float64(n) || math.Abs(got[0][1]-100*z.Planned.Power) > 1e-9 {
			t.Errorf("%s: %v, want %d people with %g", name, got, n, z.Planned.Power)
		}
	}
	s.Plan.SmallestEffect = 0
	c = drawnCase{page: report.Build(s, analyse(t, s, paired(ten, near)), report.Options{})}
	if _, drawn := c.figure("power"); drawn {
		t.Error("a curve of no difference")
	}
	wantNoCurve(t, c.page, "no smallest difference")
	r = analyse(t, s, paired(ten, near))
	s.Plan.SmallestEffect, s.Plan.Evidence = 8, study.ByMixture
	c = drawnCase{page: report.Build(s, r, report.Options{})}
	if _, drawn := c.figure("power"); drawn {
		t.Error("a curve of one test at the end, of a plan that may stop early")
	}
	wantNoCurve(t, c.page, "may stop early")
}

// wantNoCurve says that the page tells why it has no curve.
func wantNoCurve(t *testing.T, p report.Page, why string) {
	t.Helper()
	for _, x := range p.Technical.Facts {
		if strings.HasPrefix(x.What, "Chance that a panel finds it") && strings.Contains(x.Value, why) {
			return
		}
	}
	t.Errorf("nothing says that no curve is drawn because of %q: %v", why, p.Technical.Facts)
}

// TestEveryExampleHasItsCurveOrSaysWhyNot: the figure of each example has what the sizing of the study
// finds, of every test that can be sized, and beside it what one adjusted comparison finds.
func TestEveryExampleHasItsCurveOrSaysWhyNot(t *testing.T) {
	drawn := map[analysis.Kind]bool{}
	for _, name := range invented(t) {
		s, r := inventedOf(t, name)
		page := report.Build(s, r, report.Options{})
		f, has := drawnCase{page: page}.figure("power")
		if !has {
			wantNoCurve(t, page, "")
			continue
		}
		drawn[r.Findings[0].Kind] = true
		o := optionOf(t, f)
		o.within(t, f.ID)
		q, err := analysis.SizingOf(s)
		if err != nil {
			t.Fatal(name, err)
		}
		z, err := analysis.FindSize(q)
		if err != nil {
			t.Fatal(name, err)
		}
		if got := o.named("planned"); len(got) != 1 || math.Abs(got[0][1]-100*z.Planned.Power) > 1e-9 {
			t.Errorf("%s: %v planned, want %g", name, got, 100*z.Planned.Power)
		}
		for _, b := range z.Beside {
			if b.Code != analysis.BesideOthers && b.Code != analysis.BesideTukeyPair {
				continue
			}
			at := slices.IndexFunc(o.named("beside"), func(p [2]float64) bool { return p[0] == float64(q.Assessors) })
			if at < 0 || math.Abs(o.named("beside")[at][1]-100*b.Planned) > 1e-9 {
				t.Errorf("%s: the dashed line lacks %g at %d people", name, 100*b.Planned, q.Assessors)
			}
		}
	}
	for _, kind := range []analysis.Kind{analysis.KindPair, analysis.KindPanel, analysis.KindChoice,
		analysis.KindRanking, analysis.KindWords, analysis.KindNamedDose} {
		if !drawn[kind] {
			t.Errorf("no curve of a finding of kind %s", kind)
		}
	}
}

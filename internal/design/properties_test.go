package design

import (
	"bytes"
	"fmt"
	"testing"

	"pgregory.net/rapid"

	"cloche/internal/study"
)

// anyStudy draws a study of any kind, size and set of options.
func anyStudy(t *rapid.T) *study.Study {
	n := rapid.IntRange(1, 60).Draw(t, "assessors")
	s := anyQuestion(t, n)
	v := &s.Serving
	v.Replicates = rapid.IntRange(1, 3).Draw(t, "replicates")
	v.SpareCodes = rapid.IntRange(0, 20).Draw(t, "spare codes")
	v.Codes = rapid.SampledFrom([]study.CodePolicy{study.CodePerServing, study.CodePerSample}).Draw(t, "codes")
	v.Expectation = rapid.Bool().Draw(t, "expectation")
	if rapid.Bool().Draw(t, "warm-up") {
		v.WarmUp = s.Samples[0].ID
	}
	if rapid.Bool().Draw(t, "fixed reference") {
		v.FixedReference = s.Samples[1].ID
	}
	v.Blocks = rapid.SampledFrom([]study.BlockSize{"", study.FixedBlocks, study.RandomBlocks}).Draw(t, "blocks")
	v.MaxPerSitting = rapid.SampledFrom([]int{0, 0, 6, 8}).Draw(t, "most per sitting")
	s.Panel.Sittings = rapid.IntRange(1, 12).Draw(t, "sittings")
	s.Panel.Seats = rapid.SampledFrom([]int{0, 0, 20}).Draw(t, "seats")
	return s
}

func anyQuestion(t *rapid.T, n int) *study.Study {
	switch rapid.IntRange(0, 3).Draw(t, "kind") {
	case 0:
		q := rapid.SampledFrom([]study.Question{
			study.Triangle, study.DuoTrio, study.TwoAFC, study.ThreeAFC, study.Tetrad, study.ANotA, study.SameDifferent,
		}).Draw(t, "question")
		return difference(q, n, 1)
	case 1:
		s := naming(rapid.IntRange(1, 3).Draw(t, "dishes"), rapid.IntRange(2, 3).Draw(t, "names"),
			rapid.Bool().Draw(t, "blind"), n)
		s.Serving.KeepDishesApart, s.Serving.BlindFirst = rapid.Bool().Draw(t, "apart"), rapid.Bool().Draw(t,
			"blind first")
		return s
	case 2:
		s := tasting(rapid.IntRange(3, 12).Draw(t, "samples"), n)
		s.Serving.Design = study.Some
		s.Serving.PerAssessor = rapid.IntRange(2, min(6, len(s.Samples)-1)).Draw(t, "per assessor")
		return s
	}
	s := tasting(rapid.IntRange(2, 10).Draw(t, "samples"), n)
	if rapid.Bool().Draw(t, "one") {
		s.Serving.Design, s.Serving.Strata = study.One, drawStrata(t)
		s.Serving.Minimise = len(s.Serving.Strata) > 0 && rapid.Bool().Draw(t, "minimise")
	}
	return s
}

// TestEveryPlanKeepsEveryPromise draws studies of any kind and holds what is
// true of every plan: or Draw says what is wrong and what to write.
func TestEveryPlanKeepsEveryPromise(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := anyStudy(t)
		o := Options{Seed: rapid.Uint64().Draw(t, "seed")}
		p, err := Draw(s, o)
		if err != nil {
			checkConflict(t, err)
			return
		}
		again := mustDraw(t, s, o)
		if !bytes.Equal(p.Canonical(), again.Canonical()) {
			t.Fatal("two draws with one seed differ")
		}
		b := weigh(t, p, s)
		if b.Codes.Collisions != 0 {
			t.Fatalf("%d collisions of codes", b.Codes.Collisions)
		}
		for _, x := range b.Sittings {
			if s.Panel.Seats > 0 && x.Assessors > s.Panel.Seats {
				t.Fatalf("sitting %d has %d assessors", x.Sitting, x.Assessors)
			}
		}
		checkAssessors(t, s, p)
		checkNoCodeTwice(t, p)
		checkPromises(t, s, b)
	})
}

func checkConflict(t *rapid.T, err error) {
	t.Helper()
	c, ok := err.(*Conflict)
	if !ok || c.What.Text == "" || c.Instead.Text == "" || c.Kind == nil {
		t.Fatalf("the error does not say what to do: %v", err)
	}
}

// checkAssessors holds what each assessor gets: positions in order, sittings in
// order and no larger than allowed, every serving of the lottery.
func checkAssessors(t *rapid.T, s *study.Study, p *Plan) {
	t.Helper()
	rated := ratedEach(s)
	at := 0
	for i := range p.Assessors {
		position, here, last := int32(0), 0, Serving{}
		for _, v := range p.Assessor(i) {
			if v != p.Servings[at] || int(v.Assessor) != i {
				t.Fatalf("serving %d of the plan is not assessor %d's", at, i)
			}
			at++
			if v.Sitting < last.Sitting {
				t.Fatalf("assessor %d goes back to sitting %d", i, v.Sitting)
			}
			if v.Sitting != last.Sitting {
				here = 0
			}
			last = v
			if v.Role == Rated {
				position++
				if v.Position != position {
					t.Fatalf("assessor %d: position %d, want %d", i, v.Position, position)
				}
			}
			if v.Role != Expected {
				here++
			}
			if m := s.Serving.MaxPerSitting; m > 0 && here > m {
				t.Fatalf("assessor %d gets more than %d at sitting %d", i, m, v.Sitting)
			}
		}
		if int(position) != rated {
			t.Fatalf("assessor %d has %d rated servings, want %d", i, position, rated)
		}
	}
	if at != len(p.Servings) {
		t.Fatalf("%d servings belong to nobody", len(p.Servings)-at)
	}
}

func ratedEach(s *study.Study) int {
	r := s.Serving.Replicates
	switch {
	case s.Question == study.DuoTrio, s.Question == study.TwoAFC, s.Question == study.SameDifferent:
		return 2 * r
	case s.Question == study.Triangle, s.Question == study.ThreeAFC:
		return 3 * r
	case s.Question == study.Tetrad:
		return 4 * r
	case s.Question == study.ANotA, s.Serving.Design == study.One:
		return r
	case s.Serving.Design == study.Some:
		return s.Serving.PerAssessor * r
	}
	return len(s.Samples) * r
}

// checkPromises holds what the package comment promises of each design, at every
// prefix.
func checkPromises(t *rapid.T, s *study.Study, b *Balance) {
	t.Helper()
	within := 1
	if s.Serving.RandomBlocks() {
		within = largestBlock
	}
	var times []int
	for _, o := range b.Orders {
		times = append(times, o.Times)
	}
	if len(times) > 0 {
		if d := spreadOf(times); d.Max-d.Min > within {
			t.Fatalf("orders %v", b.Orders)
		}
		return
	}
	switch s.Serving.Design {
	case study.All:
		if b.Prefix.WorstPosition > within && !warned(b, "positions-uneven") {
			t.Fatalf("positions differ by up to %d", b.Prefix.WorstPosition)
		}
		if b.Prefix.WorstServed != 0 {
			t.Fatal("not every sample is served equally often")
		}
	case study.One:
		if s.Serving.Minimise {
			return
		}
		for _, x := range b.Strata {
			if d := spreadOf(x.Served); d.Max-d.Min > within*s.Serving.Replicates {
				t.Fatalf("stratum %v: %v", x.Levels, x.Served)
			}
		}
	case study.Some:
		if b.Blocks.Left == 0 && b.Blocks.B >= b.Blocks.Period && !b.Blocks.Balanced && len(s.Samples) <= 12 &&
			b.Blocks.B >= Smallest(len(s.Samples), b.Blocks.K).B {
			t.Fatalf("full repeats of a design that could be balanced are not: %+v", *b.Blocks)
		}
	}
}

func warned(b *Balance, code string) bool {
	for _, w := range b.Warnings {
		if w.Code == code {
			return true
		}
	}
	return false
}

func TestAssessorOutsideThePlan(t *testing.T) {
	p := mustDraw(t, tasting(2, 3), Options{Seed: 1})
	if p.Assessor(-1) != nil || p.Assessor(3) != nil {
		t.Error("servings of nobody")
	}
}

func TestStratumLevels(t *testing.T) {
	s := tasting(2, 6)
	s.Serving.Design = study.One
	s.Serving.Strata = []study.Stratum{{ID: "guest", Levels: []string{"regular", "new"}},
		{ID: "room", Levels: []string{"hall", "bar", "garden"}}}
	p := mustDraw(t, s, Options{Seed: 1})
	var got []string
	for _, c := range p.Stratum {
		got = append(got, fmt.Sprint(StratumLevels(s, c)))
	}
	want := "[[regular hall] [regular bar] [regular garden] [new hall] [new bar] [new garden]]"
	if fmt.Sprint(got) != want {
		t.Errorf("got %v, want %s", got, want)
	}
	levels := [][]int{{1, 2}, {0, 0}, {1, 0}, {0, 1}, {0, 2}, {1, 1}}
	p = mustDraw(t, s, Options{Seed: 1, Levels: levels})
	for i, c := range p.Stratum {
		if want := 3*levels[i][0] + levels[i][1]; int(c) != want {
			t.Errorf("assessor %d: combination %d, want %d", i, c, want)
		}
	}
	for _, bad := range [][][]int{{{0, 0}}, {{0, 3}, {0, 0}, {0, 0}, {0, 0}, {0, 0}, {0, 0}},
		{{0}, {0}, {0}, {0}, {0}, {0}}} {
		if _, err := Draw(s, Options{Levels: bad}); err == nil {
			t.Errorf("levels %v were taken", bad)
		}
	}
}

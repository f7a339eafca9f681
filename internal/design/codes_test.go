package design

import (
	"errors"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"cloche/internal/study"
)

func TestExcludedCodes(t *testing.T) {
	for _, c := range []int{111, 999, 123, 789, 987, 210, 100, 500, 900, 112, 911, 110, 119, 666, 420} {
		if ExcludedCodes[numbered(c)] == "" {
			t.Errorf("%v is allowed", c)
		}
	}
	for _, c := range []int{482, 735, 101 + 2, 998 - 2} {
		if why := ExcludedCodes[numbered(c)]; why != "" {
			t.Errorf("%v is excluded: %s", c, why)
		}
	}
	for c, why := range ExcludedCodes {
		if len(c) != 3 || c < "100" || c > "999" || why == "" {
			t.Errorf("%v is excluded for %q", c, why)
		}
	}
	if n := len(allowedCodes()); n+len(ExcludedCodes) != 900 || n < 830 {
		t.Errorf("%d codes are left", n)
	}
}

func TestCodesAreUniqueWithinASitting(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		k := rapid.IntRange(2, 6).Draw(t, "samples")
		n := rapid.IntRange(1, 110).Draw(t, "assessors")
		s := tasting(k, n)
		s.Panel.Sittings = rapid.IntRange(1, 3).Draw(t, "sittings")
		s.Serving.Codes = study.CodePerServing
		s.Serving.SpareCodes = rapid.IntRange(0, 40).Draw(t, "spare codes")
		s.Serving.WarmUp = "S1"
		p, err := Draw(s, Options{Seed: rapid.Uint64().Draw(t, "seed")})
		if err != nil {
			t.Fatal(err)
		}
		used := make([]map[Code]bool, p.Sittings)
		use := func(sitting int32, c Code) {
			if used[sitting-1] == nil {
				used[sitting-1] = map[Code]bool{}
			}
			if len(c) != 3 || c < "100" || c > "999" || ExcludedCodes[c] != "" || used[sitting-1][c] {
				t.Fatalf("code %s at sitting %d", c, sitting)
			}
			used[sitting-1][c] = true
		}
		for _, v := range p.Servings {
			use(v.Sitting, v.Code)
		}
		for i, spares := range p.Spares {
			if len(spares) != s.Serving.SpareCodes {
				t.Fatalf("%d spare codes", len(spares))
			}
			for _, c := range spares {
				use(int32(i+1), c)
			}
		}
	})
}

func TestCodesPerSample(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		question := rapid.SampledFrom([]study.Question{study.Rating, study.Triangle, study.DuoTrio}).Draw(t, "question")
		s := tasting(2, rapid.IntRange(1, 400).Draw(t, "assessors"))
		s.Question = question
		s.Serving.Codes = study.CodePerSample
		s.Serving.Replicates = rapid.IntRange(1, 2).Draw(t, "replicates")
		s.Serving.WarmUp = "S1"
		p := mustDraw(t, s, Options{Seed: rapid.Uint64().Draw(t, "seed")})
		means := map[Code]int32{}
		for i := range p.Assessors {
			met := map[Code]bool{}
			for _, v := range p.Assessor(i) {
				if met[v.Code] {
					t.Fatalf("assessor %d meets code %s twice: that tells that two servings are the same", i, v.Code)
				}
				met[v.Code] = true
				if other, ok := means[v.Code]; ok && other != v.Sample {
					t.Fatalf("code %s is sample %d and sample %d", v.Code, other, v.Sample)
				}
				means[v.Code] = v.Sample
			}
		}
		if !hasWarning(p, "codes-shared") {
			t.Fatal("no warning that neighbours can compare")
		}
	})
}

func TestTooFewCodesSaysHowManyFit(t *testing.T) {
	s := tasting(6, 200)
	s.Serving.Codes, s.Serving.SpareCodes = study.CodePerServing, 10
	_, err := Draw(s, Options{Seed: 1})
	if !errors.Is(err, ErrTooFewCodes) {
		t.Fatalf("got %v", err)
	}
	for _, want := range []string{
		"sitting 1 needs 1210 blinding codes (1200 servings and 10 spare)",
		"assessors with 6 servings each fit one sitting", "write panel.sittings: 2", "serving.codes: sample",
	} {
		if !strings.Contains(err.Error(), want) {
			t.Errorf("%v\ndoes not say %q", err, want)
		}
	}
	s.Panel.Sittings = 2
	if _, err := Draw(s, Options{Seed: 1}); err != nil {
		t.Errorf("the advice does not help: %v", err)
	}
}

// TestCodesOfSamplesRunOut: each sitting takes codes of its own for the samples; both ways out
// that are named help, and neither is fewer seats, which make more sittings.
func TestCodesOfSamplesRunOut(t *testing.T) {
	s := tasting(12, 120)
	s.Serving.Codes, s.Panel.Sittings = study.CodePerSample, 120
	_, err := Draw(s, Options{Seed: 1})
	var c *Conflict
	if !errors.As(err, &c) || c.Kind != ErrTooFewCodes || c.Field != FieldSittings || c.Or != FieldCodes ||
		c.Value.String() != "fewer than 120" {
		t.Fatalf("got %v, %+v", err, c)
	}
	s.Panel.Sittings = 40
	if _, err := Draw(s, Options{Seed: 1}); err != nil {
		t.Errorf("fewer sittings do not help: %v", err)
	}
	s.Panel.Sittings, s.Serving.Codes = 120, study.CodePerServing
	if _, err := Draw(s, Options{Seed: 1}); err != nil {
		t.Errorf("fresh codes do not help: %v", err)
	}
}

func TestAdviceOnCodesHelps(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := tasting(rapid.IntRange(2, 12).Draw(t, "samples"), rapid.IntRange(100, 2000).Draw(t, "assessors"))
		s.Serving.Codes = study.CodePerServing
		s.Serving.MaxPerSitting = rapid.SampledFrom([]int{0, 5}).Draw(t, "most")
		s.Panel.Sittings = rapid.IntRange(3, 6).Draw(t, "sittings")
		_, err := Draw(s, Options{Seed: 1})
		var c *Conflict
		if !errors.As(err, &c) || c.Kind != ErrTooFewCodes {
			return
		}
		at := strings.Index(c.Instead.String(), "panel.sittings: ")
		n := 0
		for _, x := range c.Instead.String()[at+len("panel.sittings: "):] {
			if x < '0' || x > '9' {
				break
			}
			n = 10*n + int(x-'0')
		}
		s.Panel.Sittings = n
		if _, err := Draw(s, Options{Seed: 1}); err != nil {
			t.Fatalf("%s: then %v", c.Instead, err)
		}
	})
}

package design

import (
	"testing"

	"pgregory.net/rapid"

	"cloche/internal/study"
)

// Of every four places two read names, of what is left half, rounded either way; everybody is as
// likely to. What is served, and what those who read read, is what it is without.
func TestHalfOfThePanelIsAsked(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(4, 40).Draw(t, "assessors")
		s := tasting(3, n)
		s.Names = []study.Name{{ID: "n", Text: "a name"}, {ID: "m", Text: "another"}}
		s.Samples[0].Name, s.Samples[1].Name = "n", "m"
		s.Serving.Expectation = true
		o := Options{Seed: rapid.Uint64().Draw(t, "seed")}
		all := mustDraw(t, s, o)
		s.Serving.AskHalf = true
		half := mustDraw(t, s, o)
		for from := 0; from < n; from += 4 {
			read, of := 0, min(4, n-from)
			for i := from; i < from+of; i++ {
				names, want := namesRead(half, i), namesRead(all, i)
				if len(names) > 0 {
					read++
				}
				if len(want) != 2 || len(names) > 0 && (names[0] != want[0] || names[1] != want[1]) {
					t.Fatalf("assessor %d reads %v, of %v", i, names, want)
				}
			}
			if read != of/2 && read != (of+1)/2 {
				t.Fatalf("of %d from %d on %d read", of, from, read)
			}
		}
		if len(plates(half)) != len(plates(all)) {
			t.Fatal("other plates")
		}
		for i, v := range plates(half) {
			if w := plates(all)[i]; v.Sample != w.Sample || v.Assessor != w.Assessor || v.Position != w.Position {
				t.Fatalf("plate %d is %+v, without it %+v", i, v, w)
			}
		}
	})
	asked := make([]int, 6)
	s := tasting(2, len(asked))
	s.Names = []study.Name{{ID: "n", Text: "a name"}}
	s.Samples[0].Name, s.Serving.Expectation, s.Serving.AskHalf = "n", true, true
	const plans = 2000
	for seed := range uint64(plans) {
		p := mustDraw(t, s, Options{Seed: seed})
		for i := range asked {
			asked[i] += len(namesRead(p, i))
		}
	}
	for i, k := range asked { // 4.5 standard errors of a coin
		if k < plans/2-100 || k > plans/2+100 {
			t.Errorf("assessor %d is asked in %d of %d plans", i, k, plans)
		}
	}
}

func namesRead(p *Plan, assessor int) (samples []int32) {
	for _, v := range p.Assessor(assessor) {
		if v.Role == Expected {
			samples = append(samples, v.Sample)
		}
	}
	return samples
}

func plates(p *Plan) (all []Serving) {
	for _, v := range p.Servings {
		if v.Role != Expected {
			all = append(all, v)
		}
	}
	return all
}

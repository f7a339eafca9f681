package design

import (
	"fmt"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"cloche/internal/study"
)

// shapes are studies of every kind of lottery.
func shapes() map[string]*study.Study {
	one := tasting(3, 30)
	one.Serving.Design = study.One
	one.Serving.Strata = []study.Stratum{{ID: "guest", Levels: []string{"regular", "new"}}}
	minimised := tasting(3, 30)
	minimised.Serving.Design, minimised.Serving.Minimise = study.One, true
	minimised.Serving.Strata = one.Serving.Strata
	some := tasting(7, 28)
	some.Serving.Design, some.Serving.PerAssessor, some.Serving.Replicates = study.Some, 3, 2
	apart := naming(2, 3, true, 30)
	apart.Panel.Sittings = 4
	apart.Serving.KeepDishesApart, apart.Serving.BlindFirst, apart.Serving.Expectation = true, true, true
	gaps := naming(3, 3, true, 30)
	gaps.Samples = append(gaps.Samples[:5], gaps.Samples[7:]...)
	gaps.Panel.Sittings = 4
	gaps.Serving.KeepDishesApart = true
	someApart := naming(3, 2, true, 36)
	someApart.Panel.Sittings = 3
	someApart.Serving.Design, someApart.Serving.PerAssessor = study.Some, 4
	someApart.Serving.KeepDishesApart, someApart.Serving.Expectation = true, true
	warm := tasting(5, 30)
	warm.Panel.Sittings = 2
	warm.Serving.WarmUp, warm.Serving.FixedReference, warm.Serving.MaxPerSitting = "S1", "S2", 5
	return map[string]*study.Study{
		"all": tasting(4, 60), "all, odd": tasting(5, 23), "all, replicated": replicated(tasting(4, 30), 3),
		"one": one, "minimised": minimised, "some": some, "kept apart": apart, "kept apart, gaps": gaps,
		"some kept apart":       someApart,
		"warm-up and reference": warm,
		"triangle":              difference(study.Triangle, 20, 2), "duo-trio": difference(study.DuoTrio, 20, 1),
		"a-not-a": difference(study.ANotA, 20, 3),
	}
}

func replicated(s *study.Study, n int) *study.Study {
	s.Serving.Replicates = n
	return s
}

// TestRedrawKeepsTheConstraints: with the codes, positions and sittings of the
// plan and the samples of a redraw, the outcome is a plan that the study allows:
// the same rules, each checked by what it says.
func TestRedrawKeepsTheConstraints(t *testing.T) {
	for name, s := range shapes() {
		t.Run(name, func(t *testing.T) {
			p := mustDraw(t, s, Options{Seed: 11})
			d, err := Redraw(s, p, 12)
			if err != nil {
				t.Fatal(err)
			}
			changed := false
			for range 20 {
				samples := d.Next()
				if len(samples) != len(p.Servings) {
					t.Fatalf("%d samples for %d servings", len(samples), len(p.Servings))
				}
				changed = changed || !sameSamples(p, samples)
				for i, v := range p.Servings {
					if v.Role == WarmUp || v.Role == Reference && s.Question != study.DuoTrio {
						if samples[i] != v.Sample {
							t.Fatalf("serving %+v became %d", v, samples[i])
						}
					}
				}
				if got, want := servedEach(p, samples), servedEach(p, nil); s.Serving.Design == study.All &&
					s.Question.CollectsRatings() && got != want {
					t.Fatalf("assessors get %s, want %s", got, want)
				}
			}
			if !changed {
				t.Error("20 redraws changed nothing")
			}
		})
	}
}

func sameSamples(p *Plan, samples []int32) bool {
	for i, v := range p.Servings {
		if v.Sample != samples[i] {
			return false
		}
	}
	return true
}

// servedEach spells the sorted rated samples of each assessor; nil stands for
// those of the plan.
func servedEach(p *Plan, samples []int32) string {
	each := make([][]int32, p.Assessors)
	for i, v := range p.Servings {
		if v.Role != Rated {
			continue
		}
		x := v.Sample
		if samples != nil {
			x = samples[i]
		}
		each[v.Assessor] = append(each[v.Assessor], x)
	}
	for _, row := range each {
		slices.Sort(row)
	}
	return fmt.Sprint(each)
}

// TestRedrawIsTheLotteryOfThePlan: a redraw from the plan's own stream of orders
// is the plan itself.
func TestRedrawIsTheLotteryOfThePlan(t *testing.T) {
	for name, s := range shapes() {
		t.Run(name, func(t *testing.T) {
			p := mustDraw(t, s, Options{Seed: 77})
			d, err := Redraw(s, p, 1)
			if err != nil {
				t.Fatal(err)
			}
			d.r.src.Seed(streamKey(77, "orders"))
			samples := d.Next()
			for i, v := range p.Servings {
				if v.Role != Expected && samples[i] != v.Sample {
					t.Fatalf("serving %d: sample %d, in the plan %d", i, samples[i], v.Sample)
				}
			}
		})
	}
}

func TestRedrawsOfOneSeedAreTheSame(t *testing.T) {
	s := tasting(4, 20)
	p := mustDraw(t, s, Options{Seed: 1})
	take := func() [][]int32 {
		d, err := Redraw(s, p, 5)
		if err != nil {
			t.Fatal(err)
		}
		var all [][]int32
		for samples := range d.All() {
			all = append(all, slices.Clone(samples))
			if len(all) == 10 {
				break
			}
		}
		return all
	}
	first, second := take(), take()
	if fmt.Sprint(first) != fmt.Sprint(second) {
		t.Error("two series of redraws differ")
	}
}

func TestRedrawRefusesAnotherStudy(t *testing.T) {
	p := mustDraw(t, tasting(4, 20), Options{Seed: 1})
	if _, err := Redraw(tasting(5, 20), p, 1); err == nil {
		t.Error("a plan of 4 samples was redrawn by a study of 5")
	}
	if _, err := Redraw(replicated(tasting(4, 20), 2), p, 1); err == nil {
		t.Error("a plan without replicates was redrawn by a study with them")
	}
}

func TestRedrawAllocatesNothing(t *testing.T) {
	for name, s := range shapes() {
		t.Run(name, func(t *testing.T) {
			p := mustDraw(t, s, Options{Seed: 1})
			d, err := Redraw(s, p, 1)
			if err != nil {
				t.Fatal(err)
			}
			if n := testing.AllocsPerRun(50, func() { d.Next() }); n != 0 {
				t.Errorf("%v allocations a draw", n)
			}
		})
	}
}

func TestRedrawsOfManySizes(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := tasting(rapid.IntRange(2, 9).Draw(t, "samples"), rapid.IntRange(1, 40).Draw(t, "assessors"))
		p := mustDraw(t, s, Options{Seed: rapid.Uint64().Draw(t, "seed")})
		d, err := Redraw(s, p, rapid.Uint64().Draw(t, "redraws"))
		if err != nil {
			t.Fatal(err)
		}
		k := len(s.Samples)
		at := newTable(k, k)
		for i, x := range d.Next() {
			at[x][p.Servings[i].Position-1]++
			if i%k == k-1 && columnSpread(at) > 1 {
				t.Fatalf("after %d assessors positions differ by %d", i/k+1, columnSpread(at))
			}
		}
	})
}

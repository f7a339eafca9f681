package design

import (
	"fmt"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"cloche/internal/study"
)

// TestTurnsAreTheServings holds, for studies of every kind, that the turns of an
// assessor are numbered from 1 without a gap, hold every serving once and in order,
// stay within a sitting, and are as large as the question says.
func TestTurnsAreTheServings(t *testing.T) {
	for _, name := range examples {
		s := example(t, name)
		p := mustDraw(t, s, Options{Seed: 3})
		for i := range p.Assessors {
			var all []Serving
			number := int32(0)
			for turn := range p.Turns(i) {
				if number++; turn.Number != number {
					t.Fatalf("%s, assessor %d: turn %d comes at place %d", name, i, turn.Number, number)
				}
				for _, v := range turn.Servings {
					if v.Sitting != turn.Sitting {
						t.Fatalf("%s, assessor %d: turn %d reaches over two sittings", name, i, number)
					}
				}
				if turn.Role == Rated && len(turn.Servings) != turnSize[name] {
					t.Fatalf("%s, assessor %d: turn %d has %d servings", name, i, number, len(turn.Servings))
				}
				all = append(all, turn.Servings...)
			}
			if !slices.Equal(all, p.Assessor(i)) {
				t.Fatalf("%s, assessor %d: the turns hold other servings than the plan", name, i)
			}
		}
	}
}

// turnSize is how many servings are given at once in each example.
var turnSize = map[string]int{
	"celeriac-custard": 1, "four-custards": 1, "seven-caramels": 1, "one-name-each": 1, "name-by-table": 1,
	"recipe-or-name": 1, "six-salts": 1, "made-yesterday": 3, "less-salt": 3, "house-custard": 3, "saltier-of-two": 2,
	"smokiest-of-three": 3, "two-creams": 4, "our-custard-or-not": 1, "same-or-different": 2, "browned-butter": 2,
	"four-crusts": 4, "salt-in-order": 4, "strained-twice": 1, "smooth-by-starch": 1,
	"little-smoke": 3, "sweet-enough": 1, "nutmeg-for-some": 1, "promised-sweet": 1,
	"roasted-first": 1, "darker-caramel": 1, "warmed-plates": 1, "sweet-alone": 1,
}

func TestRolesOfTurns(t *testing.T) {
	s := tasting(3, 6)
	s.Names = []study.Name{{ID: "n", Text: "a name"}}
	for i := range s.Samples {
		s.Samples[i].Name = "n"
	}
	s.Serving.WarmUp, s.Serving.FixedReference, s.Serving.Expectation = s.Samples[0].ID, s.Samples[1].ID, true
	p := mustDraw(t, s, Options{Seed: 1})
	var got []string
	for turn := range p.Turns(2) {
		got = append(got, fmt.Sprint(turn.Number, " ", turn.Role, " ", turn.Response(s.Question)))
	}
	want := []string{"1 expected rate", "2 warm-up rate", "3 reference rate", "4 rated rate", "5 rated rate",
		"6 rated rate"}
	if !slices.Equal(got, want) {
		t.Errorf("got %q, want %q", got, want)
	}

	duo := difference(study.DuoTrio, 4, 1)
	duo.Serving.WarmUp = duo.Samples[0].ID
	got = nil
	for turn := range mustDraw(t, duo, Options{Seed: 1}).Turns(0) {
		got = append(got, fmt.Sprint(turn.Role, " ", turn.Response(duo.Question), " ", turn.Servings[0].Role))
	}
	if want := []string{"warm-up taste warm-up", "rated choose reference"}; !slices.Equal(got, want) {
		t.Errorf("got %q, want %q", got, want)
	}
}

func TestTurnsAcrossSittings(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r := rapid.IntRange(2, 5).Draw(t, "replicates")
		s := difference(study.Triangle, rapid.IntRange(1, 20).Draw(t, "assessors"), r)
		s.Serving.MaxPerSitting, s.Panel.Sittings = 4, r
		s.Serving.WarmUp = s.Samples[0].ID
		p := mustDraw(t, s, Options{Seed: rapid.Uint64().Draw(t, "seed")})
		for i := range p.Assessors {
			last, warm := Turn{}, 0
			for turn := range p.Turns(i) {
				if turn.Number != last.Number+1 || (turn.Role == WarmUp) != (turn.Sitting != last.Sitting) {
					t.Fatalf("assessor %d: %+v after %+v", i, turn, last)
				}
				if turn.Role == WarmUp {
					warm++
				}
				last = turn
			}
			if int(last.Number) != 2*r || warm != r {
				t.Fatalf("assessor %d has %d turns, %d of them warm-ups", i, last.Number, warm)
			}
		}
	})
}

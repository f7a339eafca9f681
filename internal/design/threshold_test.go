package design

import (
	"fmt"
	"testing"

	"pgregory.net/rapid"

	"cloche/internal/study"
)

// rising is a study of so many amounts.
func rising(amounts, assessors int) *study.Study {
	s := tasting(amounts+1, assessors)
	s.Question = study.FromHowMuch
	for i := range s.Dishes {
		s.Dishes[i].Amount = float64(i)
	}
	return s
}

// TestTraysRise: each assessor gets a tray for each amount, from the least on, of two of the
// first sample and one with the amount; at every prefix of assessors that one stood at the
// three places equally often, give or take one (three with blocks of random size); portions
// are those that were weighed.
func TestTraysRise(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		amounts, n := rapid.IntRange(4, 6).Draw(t, "amounts"), rapid.IntRange(1, 40).Draw(t, "assessors")
		s := rising(amounts, n)
		allowed := 1
		if rapid.Bool().Draw(t, "random blocks") {
			s.Serving.Blocks, allowed = study.RandomBlocks, largestBlock
		}
		p, err := Draw(s, Options{Seed: rapid.Uint64().Draw(t, "seed")})
		if err != nil {
			t.Fatal(err)
		}
		places := newCounts(amounts, placesOfOne)
		for i := range n {
			k := 0
			for turn := range p.Turns(i) {
				at := -1
				for j, v := range turn.Servings {
					if v.Sample == int32(k+1) && at < 0 {
						at = j
					} else if v.Sample != 0 {
						t.Fatalf("assessor %d, tray %d holds %v", i, k+1, lettersOfTurn(turn))
					}
				}
				if at < 0 || len(turn.Servings) != placesOfOne {
					t.Fatalf("assessor %d, tray %d holds %v", i, k+1, lettersOfTurn(turn))
				}
				places[k][at]++
				k++
			}
			if k != amounts {
				t.Fatalf("assessor %d has %d trays", i, k)
			}
			for k, times := range places {
				if max(times[0], times[1], times[2])-min(times[0], times[1], times[2]) > allowed {
					t.Fatalf("after %d assessors amount %d stood at the places %v", i+1, k+1, times)
				}
			}
		}
		load, err := Weight(s)
		if err != nil || load.Turns != amounts || load.Rated != 3*amounts {
			t.Fatalf("%+v, %v", load, err)
		}
		b, err := p.CountBalance(s)
		if err != nil || fmt.Sprint(b.Dishes) != fmt.Sprint(load.Portions(n)) || len(b.Orders) != 3*amounts {
			t.Fatalf("%v, %v: %v", b.Dishes, load.Portions(n), err)
		}
	})
}

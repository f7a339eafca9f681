package design

import (
	"slices"
	"testing"

	"pgregory.net/rapid"
)

// TestWordOrdersAreBalanced: of every whole block of assessors each word stands at each place
// of the list equally often at every position, and comes right after each other word equally
// often; nobody reads one order twice before all rows of the square are used.
func TestWordOrdersAreBalanced(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		words := rapid.IntRange(2, 25).Draw(t, "words")
		seed := rapid.Uint64().Draw(t, "seed")
		block := words * (1 + words%2)
		first := block * rapid.IntRange(0, 3).Draw(t, "block")
		for position := 1; position <= 4; position++ {
			at, after := map[[2]int]int{}, map[[2]int]int{}
			for i := range block {
				order := WordOrder(words, seed, first+i, position)
				if sorted := slices.Sorted(slices.Values(order)); len(sorted) != words || sorted[0] != 0 ||
					sorted[words-1] != words-1 || len(slices.Compact(sorted)) != words {
					t.Fatalf("%v is no order of %d words", order, words)
				}
				for place, w := range order {
					at[[2]int{w, place}]++
					if place > 0 {
						after[[2]int{order[place-1], w}]++
					}
				}
			}
			for w := range words {
				for x := range words {
					if n := at[[2]int{w, x}]; n != block/words {
						t.Fatalf("position %d: word %d stands at place %d %d times, not %d", position, w, x, n,
							block/words)
					}
					if n := after[[2]int{w, x}]; w != x && n != block/words {
						t.Fatalf("position %d: word %d comes after %d %d times, not %d", position, x, w, n, block/words)
					}
				}
			}
		}
		if block > 2 && slices.Equal(WordOrder(words, seed, first, 1), WordOrder(words, seed, first, 2)) {
			t.Fatal("the second serving has the order of the first")
		}
	})
}

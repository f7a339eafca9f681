package design

import (
	"testing"

	"pgregory.net/rapid"

	"cloche/internal/study"
)

// TestRankingsAreServedTogetherAndBalanced: each assessor has one turn of all samples, and
// at every prefix each sample has stood at each position equally often, give or take one.
func TestRankingsAreServedTogetherAndBalanced(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		k := rapid.IntRange(3, 8).Draw(t, "samples")
		n := rapid.IntRange(1, 60).Draw(t, "assessors")
		s := tasting(k, n)
		s.Question = rapid.SampledFrom([]study.Question{study.RankingByLiking, study.RankingByAttribute}).Draw(t,
			"question")
		p := mustDraw(t, s, Options{Seed: rapid.Uint64().Draw(t, "seed")})
		at := newTable(k, k)
		for i := range n {
			turns := 0
			for turn := range p.Turns(i) {
				turns++
				seen := map[int32]bool{}
				for j, v := range turn.Servings {
					seen[v.Sample] = true
					at[v.Sample][j]++
				}
				if len(seen) != k || len(turn.Servings) != k || turn.Response(s.Question) != study.RankAll {
					t.Fatalf("assessor %d: a turn of %d servings, %d samples", i, len(turn.Servings), len(seen))
				}
			}
			if d := columnSpread(at); turns != 1 || d > 1 {
				t.Fatalf("assessor %d has %d turns; positions differ by %d", i, turns, d)
			}
		}
	})
}

func TestRankingsTakeThreeToEight(t *testing.T) {
	for _, k := range []int{2, 9} {
		s := tasting(k, 6)
		s.Question = study.RankingByLiking
		if _, err := Draw(s, Options{}); err == nil {
			t.Errorf("%d samples were drawn", k)
		}
	}
}

package design

import (
	"bytes"
	"fmt"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"cloche/internal/study"
)

func weigh(t interface {
	Helper()
	Fatal(...any)
}, p *Plan, s *study.Study) *Balance {
	t.Helper()
	b, err := p.CountBalance(s)
	if err != nil {
		t.Fatal(err)
	}
	return b
}

// handmade is a plan small enough to count by hand: AB, BA, AB.
func handmade() (*study.Study, *Plan) {
	s := tasting(2, 3)
	s.Serving.Codes = study.CodePerServing
	p := &Plan{Engine: 1, Samples: []study.SampleID{"S1", "S2"}, Assessors: 3, Sittings: 1, Spares: [][]Code{{"900"}}}
	for i, row := range [][2]int32{{0, 1}, {1, 0}, {0, 1}} {
		for j, x := range row {
			p.Servings = append(p.Servings, Serving{Assessor: int32(i), Sitting: 1, Position: int32(j + 1), Sample: x,
				Code: numbered(201 + 2*i + j)})
		}
	}
	return s, p
}

func TestBalanceOfAPlanCountedByHand(t *testing.T) {
	s, p := handmade()
	b := weigh(t, p, s)
	tests := []struct {
		name      string
		got, want any
	}{
		{"served", b.Served, []int{3, 3}},
		{"positions", b.Positions, [][]int{{2, 1}, {1, 2}}},
		{"following", b.Following, [][]int{{0, 2}, {1, 0}}},
		{"curve of positions", b.Prefix.Positions, []int{1, 0, 1}},
		{"curve of pairs", b.Prefix.Following, []int{1, 0, 1}},
		{"curve of servings", b.Prefix.Served, []int{0, 0, 0}},
		{"portions", b.Portions, []Portion{{1, 1, "dishS1", 2}, {1, 1, "dishS2", 1}, {1, 2, "dishS1", 1},
			{1, 2, "dishS2", 2}}},
		{"dishes", b.Dishes, []DishCount{{"dishS1", 3}, {"dishS2", 3}}},
		{"sittings", b.Sittings, []SittingLoad{{1, 3, 6}}},
		{"codes", b.Codes, CodeBalance{Allowed: len(allowedCodes()), Used: 7}},
	}
	for _, tc := range tests {
		if fmt.Sprint(tc.got) != fmt.Sprint(tc.want) {
			t.Errorf("%s: got %v, want %v", tc.name, tc.got, tc.want)
		}
	}
}

func TestBalanceFindsCollisions(t *testing.T) {
	s, p := handmade()
	p.Servings[3].Code = p.Servings[0].Code
	p.Spares[0][0] = p.Servings[5].Code
	if n := weigh(t, p, s).Codes.Collisions; n != 2 {
		t.Errorf("%d collisions, want 2", n)
	}
}

// TestBalanceOfEveryKind: every plate is counted once wherever plates are counted.
func TestBalanceOfEveryKind(t *testing.T) {
	for name, s := range shapes() {
		t.Run(name, func(t *testing.T) {
			p := mustDraw(t, s, Options{Seed: 4})
			b := weigh(t, p, s)
			plates, rated := 0, 0
			for _, v := range p.Servings {
				if v.Role != Expected {
					plates++
				}
				if v.Role == Rated {
					rated++
				}
			}
			if n := total(b.Served); n != rated {
				t.Errorf("served %d, want %d", n, rated)
			}
			positions := 0
			for _, row := range b.Positions {
				positions += total(row)
			}
			portions, dishes, loads := 0, 0, 0
			for _, x := range b.Portions {
				portions += x.Portions
			}
			for _, x := range b.Dishes {
				dishes += x.Portions
			}
			for _, x := range b.Sittings {
				loads += x.Plates
			}
			if positions != rated || portions != plates || dishes != plates || loads != plates {
				t.Errorf("%d at positions of %d rated; %d portions, %d by dish, %d by sitting of %d plates", positions,
					rated, portions, dishes, loads, plates)
			}
			if b.Codes.Collisions != 0 {
				t.Errorf("%d collisions of codes", b.Codes.Collisions)
			}
			var text bytes.Buffer
			if err := b.WriteText(&text); err != nil {
				t.Fatal(err)
			}
			for _, id := range p.Samples {
				if !strings.Contains(text.String(), string(id)) {
					t.Errorf("the report does not name %s", id)
				}
			}
		})
	}
}

func total(x []int) int {
	sum := 0
	for _, n := range x {
		sum += n
	}
	return sum
}

func TestBalanceOfOrders(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		q := rapid.SampledFrom([]study.Question{study.Triangle, study.DuoTrio, study.Tetrad, study.ANotA,
			study.ThreeAFC, study.TwoAFC, study.SameDifferent}).Draw(t, "question")
		r := rapid.IntRange(1, 4).Draw(t, "replicates")
		s := difference(q, rapid.IntRange(1, 40).Draw(t, "assessors"), r)
		b := weigh(t, mustDraw(t, s, Options{Seed: 2}), s)
		var times []int
		for _, o := range b.Orders {
			times = append(times, o.Times)
		}
		if d := spreadOf(times); d.Max-d.Min > 1 {
			t.Fatalf("orders %v", b.Orders)
		}
		want := s.Panel.Assessors * r
		if q == study.ANotA {
			want = s.Panel.Assessors
		}
		if total(times) != want {
			t.Fatalf("%d orders, want %d", total(times), want)
		}
	})
}

func TestBalanceKeepsThePromiseOfWilliams(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		k := rapid.IntRange(2, 12).Draw(t, "samples")
		s := tasting(k, rapid.IntRange(1, 60).Draw(t, "assessors"))
		b := weigh(t, mustDraw(t, s, Options{Seed: rapid.Uint64().Draw(t, "seed")}), s)
		if b.Prefix.WorstPosition > 1 || b.Prefix.WorstServed != 0 || b.Prefix.WorstPair > len(squareFor(k))/k {
			t.Fatalf("worst: %d served, %d at a position, %d pairs", b.Prefix.WorstServed, b.Prefix.WorstPosition,
				b.Prefix.WorstPair)
		}
	})
}

func TestBalanceOfBlocks(t *testing.T) {
	s := tasting(7, 10)
	s.Serving.Design, s.Serving.PerAssessor = study.Some, 3
	x := weigh(t, mustDraw(t, s, Options{Seed: 1}), s).Blocks
	if x.Balanced || x.Period != 7 || x.Left != 4 || x.R.Equal() {
		t.Errorf("10 of 14 blocks: %+v", *x)
	}
	s.Panel.Assessors = 14
	x = weigh(t, mustDraw(t, s, Options{Seed: 1}), s).Blocks
	want := BlockBalance{T: 7, K: 3, B: 14, R: Spread{6, 6}, Lambda: Spread{2, 2}, Balanced: true, Period: 7}
	x.Method = ""
	if e := x.Efficiency; e < 0.7777 || e > 0.7778 {
		t.Errorf("E = %v, want 7/9", e)
	}
	x.Efficiency = 0
	if *x != want {
		t.Errorf("got %+v, want %+v", *x, want)
	}
}

func TestBlindSamplesAreComparedAmongThemselves(t *testing.T) {
	s := naming(2, 2, true, 24)
	s.Serving.BlindFirst = true
	b := weigh(t, mustDraw(t, s, Options{Seed: 5}), s)
	if b.Prefix.WorstPosition > 1 {
		t.Errorf("worst: %d at a position", b.Prefix.WorstPosition)
	}
	blind := [][]int{{0, b.Following[2][5]}, {b.Following[5][2], 0}}
	if d := pairSpread(blind); d > 1 {
		t.Errorf("blind samples follow each other %v", blind)
	}
}

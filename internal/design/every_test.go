package design

import (
	"fmt"
	"math"
	"testing"

	"cloche/internal/study"
)

// Everything that a lottery can draw has the share of random draws that its probability
// says.
func TestEveryDrawHasItsProbability(t *testing.T) {
	one := tasting(2, 5)
	one.Serving.Design = study.One
	mixed := tasting(2, 6)
	mixed.Serving.Blocks = study.RandomBlocks
	for name, s := range map[string]*study.Study{"two": tasting(2, 5), "three": tasting(3, 3), "four": tasting(4, 4),
		"groups": one, "blocks of random size": mixed, "replicated": replicated(tasting(2, 2), 2)} {
		t.Run(name, func(t *testing.T) {
			p := mustDraw(t, s, Options{Seed: 3})
			d, err := Redraw(s, p, 4)
			if err != nil {
				t.Fatal(err)
			}
			want, total := map[string]float64{}, 0.0
			if !d.Every(100_000, func(sample []int32, probability float64) {
				want[fmt.Sprint(sample)] += probability
				total += probability
			}) {
				t.Fatal("too many draws")
			}
			if math.Abs(total-1) > 1e-9 {
				t.Errorf("the probabilities add up to %g", total)
			}
			const draws = 20_000
			got := map[string]float64{}
			for range draws {
				got[fmt.Sprint(d.Next())] += 1.0 / draws
			}
			for plan, share := range got {
				if want[plan] == 0 {
					t.Fatalf("drawn, and not among all: %s", plan)
				}
				if se := math.Sqrt(want[plan] / draws); math.Abs(share-want[plan]) > 5.5*se {
					t.Errorf("%s has probability %g and was drawn with %g", plan, want[plan], share)
				}
			}
		})
	}
}

func TestEveryStopsAtMost(t *testing.T) {
	s := tasting(2, 40)
	d, err := Redraw(s, mustDraw(t, s, Options{Seed: 3}), 4)
	if err != nil {
		t.Fatal(err)
	}
	if used := 0; d.Every(1000, func([]int32, float64) { used++ }) || used > 0 {
		t.Errorf("went through %d draws of far too many", used)
	}
	before := fmt.Sprint(d.Next())
	if again := fmt.Sprint(d.Next()); again == before {
		t.Error("draws no more at random")
	}
}

// A lottery of swaps is what its sets say: every draw swaps whole sets, and all ways to do
// so are equally likely.
func TestSwapsAreTheLottery(t *testing.T) {
	for n := 2; n <= 7; n++ {
		s := tasting(2, n)
		p := mustDraw(t, s, Options{Seed: 5})
		d, err := Redraw(s, p, 6)
		if err != nil {
			t.Fatal(err)
		}
		sets, ok := d.Swaps()
		if !ok {
			t.Fatal("no swaps")
		}
		ways := map[string]float64{}
		d.Every(1<<17, func(sample []int32, probability float64) {
			key := ""
			for _, set := range sets {
				swapped := sample[2*set[0]] != p.Servings[2*set[0]].Sample
				for _, i := range set {
					if (sample[2*i] != p.Servings[2*i].Sample) != swapped {
						t.Fatalf("%d assessors: %v do not swap together", n, set)
					}
				}
				key += fmt.Sprint(swapped)
			}
			ways[key] += probability
		})
		if len(ways) != 1<<len(sets) {
			t.Errorf("%d assessors: %d ways with %d sets", n, len(ways), len(sets))
		}
		for way, probability := range ways {
			if math.Abs(probability*float64(len(ways))-1) > 1e-9 {
				t.Errorf("%d assessors: %s has probability %g", n, way, probability)
			}
		}
	}
}

func TestOtherLotteriesAreNoSwaps(t *testing.T) {
	one, mixed, first := tasting(2, 8), tasting(2, 8), naming(1, 1, true, 8)
	one.Serving.Design = study.One
	mixed.Serving.Blocks = study.RandomBlocks
	first.Serving.BlindFirst = true
	for name, s := range map[string]*study.Study{"three": tasting(3, 6), "groups": one, "blocks of random size": mixed,
		"replicated": replicated(tasting(2, 8), 2), "blind first": first} {
		d, err := Redraw(s, mustDraw(t, s, Options{Seed: 5}), 6)
		if err != nil {
			t.Fatal(name, err)
		}
		if sets, ok := d.Swaps(); ok {
			t.Errorf("%s: %v", name, sets)
		}
	}
}

package dist

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"
)

// tiedRanks are the doubled mid-ranks of n values of so many points.
func tiedRanks(n, points int, random *rand.Rand) []run {
	count := make([]int, points)
	for range n {
		count[random.IntN(points)]++
	}
	var runs []run
	before := 0
	for _, c := range count {
		if c > 0 {
			runs = append(runs, run{2*before + c + 1, c})
		}
		before += c
	}
	return runs
}

func TestTiltedTailsAgreeWithConvolution(t *testing.T) {
	random := rand.New(rand.NewPCG(5, 6))
	inverted := 0
	for range 150 {
		n, points := 120+random.IntN(180), 20+random.IntN(400)
		runs := tiedRanks(n, points, random)
		total := 0
		for _, r := range runs {
			total += r.value * r.count
		}
		s := int(float64(total) / 2 * (1 - math.Pow(random.Float64(), 2)*0.8))
		tail, point, ok := tiltedTail(runs, s)
		if !ok {
			continue
		}
		inverted++
		array := newSumArray(runs, s)
		wantTail, wantPoint := 0.0, array.p[s]
		for _, v := range array.p {
			wantTail += v
		}
		array.release()
		if math.Abs(tail/wantTail-1) > 1e-12 || math.Abs(point-wantPoint) > 1e-12*wantTail {
			t.Errorf("%d parts of %d runs at %d of %d: inverted %v and %v, counted %v and %v", n, len(runs), s, total,
				tail, point, wantTail, wantPoint)
		}
	}
	if inverted < 100 {
		t.Errorf("only %d of 150 were inverted", inverted)
	}
}

// The characteristic function of few runs comes back to nearly 1 far from 0: to
// leave that out would be wrong in the first digits.
func TestTiltingRefusesFunctionsThatComeBack(t *testing.T) {
	for _, runs := range [][]run{
		{{2, 150}, {3, 1}},
		{{100, 200}, {101, 2}},
		{{30, 80}, {60, 60}, {91, 3}},
	} {
		total := 0
		for _, r := range runs {
			total += r.value * r.count
		}
		s := total * 45 / 100
		array := newSumArray(runs, s)
		want := 0.0
		for _, v := range array.p {
			want += v
		}
		array.release()
		if tail, _, ok := tiltedTail(runs, s); ok && math.Abs(tail/want-1) > 1e-12 {
			t.Errorf("%v: %v where counting gives %v", runs, tail, want)
		}
	}
}

func BenchmarkSubsetSumTails(b *testing.B) {
	for _, n := range []int{25, 50, 100, 150, 200, 300} {
		runs := tiedRanks(n, 100, rand.New(rand.NewPCG(1, 2)))
		var parts []int
		total := 0
		for _, r := range runs {
			for range r.count {
				parts = append(parts, r.value)
			}
			total += r.value * r.count
		}
		b.Run(fmt.Sprintf("parts=%d", n), func(b *testing.B) {
			for b.Loop() {
				SubsetSumTails(parts, total*9/20)
			}
		})
		b.Run(fmt.Sprintf("tilted/parts=%d", n), func(b *testing.B) {
			for b.Loop() {
				if _, _, ok := tiltedTail(runs, total*9/20); !ok {
					b.Skip("does not apply")
				}
			}
		})
	}
}

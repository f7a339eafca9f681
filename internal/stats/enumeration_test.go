package stats

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

// drawPairs draws ratings of the same assessors that tie often.
func drawPairs(t *rapid.T, least, most int) (x, y []float64) {
	n := rapid.IntRange(least, most).Draw(t, "assessors")
	rating := rapid.Custom(func(t *rapid.T) float64 { return float64(rapid.IntRange(2, 18).Draw(t, "half points")) / 2 })
	return rapid.SliceOfN(rating, n, n).Draw(t, "x"), rapid.SliceOfN(rating, n, n).Draw(t, "y")
}

func agree(got, want, rel float64) bool {
	return math.Abs(got-want) <= rel*math.Abs(want)+1e-15 || math.IsNaN(got) && math.IsNaN(want)
}

// enumerateSigns calls f with the sum of the parts under each sign pattern and
// returns the share of patterns for which f holds.
func enumerateSigns(parts []float64, holds func(plus float64) bool) float64 {
	count := 0
	for pattern := range 1 << len(parts) {
		plus := 0.0
		for i, v := range parts {
			if pattern>>i&1 == 1 {
				plus += v
			}
		}
		if holds(plus) {
			count++
		}
	}
	return float64(count) / float64(int(1)<<len(parts))
}

func TestSignedRankEqualsEnumeration(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		x, y := drawPairs(t, 1, 10)
		for _, zeros := range []ZeroMethod{Pratt, WilcoxonZeros} {
			r, err := SignedRank(x, y, SignedRankOptions{Zeros: zeros})
			if err != nil {
				t.Fatal(err)
			}
			if r.NUsed == 0 {
				continue
			}
			ranks := ranksByCounting(x, y, zeros)
			greater := enumerateSigns(ranks, func(w float64) bool { return w >= r.WPlus })
			less := enumerateSigns(ranks, func(w float64) bool { return w <= r.WPlus })
			if !agree(r.ExactGreater, greater, 1e-13) || !agree(r.ExactLess, less, 1e-13) || !agree(r.P, min(1, 2*min(greater, less)), 1e-13) {
				t.Fatalf("zeros %v: got %v %v %v, enumeration %v %v", zeros, r.ExactGreater, r.ExactLess, r.P, greater, less)
			}
		}
	})
}

// ranksByCounting returns the mid-ranks of the non-zero differences, each as
// (values below) + (values equal + 1)/2.
func ranksByCounting(x, y []float64, zeros ZeroMethod) []float64 {
	var size []float64
	for i := range x {
		if d := math.Abs(x[i] - y[i]); d > 0 || zeros == Pratt {
			size = append(size, d)
		}
	}
	var ranks []float64
	for _, a := range size {
		below, equal := 0.0, 0.0
		for _, b := range size {
			if b < a {
				below++
			}
			if b == a {
				equal++
			}
		}
		if a > 0 {
			ranks = append(ranks, below+(equal+1)/2)
		}
	}
	return ranks
}

func TestSignFlipEqualsEnumeration(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		x, y := drawPairs(t, 1, 10)
		r, err := SignFlip(x, y, SignFlipOptions{})
		if err != nil {
			t.Fatal(err)
		}
		var size []float64
		sum, total := 0.0, 0.0
		for i := range x {
			d := x[i] - y[i]
			size = append(size, math.Abs(d))
			sum += d
			total += math.Abs(d)
		}
		if total == 0 {
			return
		}
		greater := enumerateSigns(size, func(plus float64) bool { return 2*plus-total >= sum })
		two := enumerateSigns(size, func(plus float64) bool { return math.Abs(2*plus-total) >= math.Abs(sum) })
		if !r.Exact || !agree(r.Greater, greater, 1e-13) || !agree(r.TwoSided, two, 1e-13) {
			t.Fatalf("got %+v, enumeration %v %v", r, greater, two)
		}
	})
}

func TestSubsetSumsAgreeOnTwoRoutes(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		value := rapid.IntRange(1, rapid.SampledFrom([]int{4, 9, 300}).Draw(t, "largest"))
		parts := rapid.SliceOfN(value, 1, 24).Draw(t, "parts")
		f := flipSteps{size: parts}
		for _, v := range parts {
			f.total += v
			f.sum += v
			if rapid.Bool().Draw(t, "negative") {
				f.sum -= 2 * v
			}
		}
		least, most := f.convolve()
		leastJoined, mostJoined := f.joinHalves()
		if !agree(least, leastJoined, 1e-12) || !agree(most, mostJoined, 1e-12) {
			t.Fatalf("convolved %v %v, joined %v %v", least, most, leastJoined, mostJoined)
		}
	})
}

func TestMannWhitneyEqualsEnumeration(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		rating := rapid.Custom(func(t *rapid.T) float64 { return float64(rapid.IntRange(1, 6).Draw(t, "rating")) })
		x := rapid.SliceOfN(rating, 1, 6).Draw(t, "x")
		y := rapid.SliceOfN(rating, 1, 6).Draw(t, "y")
		r, err := MannWhitney(x, y, MannWhitneyOptions{})
		if err != nil {
			t.Fatal(err)
		}
		if math.IsNaN(r.Z) {
			return
		}
		greater, less, far := enumerateSplits(append(append([]float64{}, x...), y...), len(x), r.U)
		if !agree(r.ExactGreater, greater, 1e-12) || !agree(r.ExactLess, less, 1e-12) || !agree(r.ExactTwoSided, far, 1e-12) {
			t.Fatalf("got %v %v %v, enumeration %v %v %v", r.ExactGreater, r.ExactLess, r.ExactTwoSided, greater, less, far)
		}
	})
}

// enumerateSplits gives every choice of m values to x and counts the pairs won.
func enumerateSplits(pooled []float64, m int, u float64) (greater, less, far float64) {
	n := len(pooled)
	all := 0.0
	for choice := range 1 << n {
		var x, y []float64
		for i, v := range pooled {
			if choice>>i&1 == 1 {
				x = append(x, v)
				continue
			}
			y = append(y, v)
		}
		if len(x) != m {
			continue
		}
		all++
		won := pairsWon(x, y)
		greater += indicator(won >= u)
		less += indicator(won <= u)
		middle := float64(m*(n-m)) / 2
		far += indicator(math.Abs(won-middle) >= math.Abs(u-middle))
	}
	return greater / all, less / all, far / all
}

func pairsWon(x, y []float64) float64 {
	won := 0.0
	for _, a := range x {
		for _, b := range y {
			won += indicator(a > b) + indicator(a == b)/2
		}
	}
	return won
}

func TestRankDistributionsAgreeAcrossMethods(t *testing.T) {
	// The convolution and the inverted characteristic function must meet.
	for _, n := range []int{100, 119, 120} {
		for _, w := range []int{0, n, n * n / 8, n * (n + 1) / 4} {
			runs := make([]run, n)
			for i := range runs {
				runs[i] = run{i + 1, 1}
			}
			counted, _ := lowerTail(runs, w)
			if inverted := invertSignedRank(w, n); math.Abs(counted-inverted) > 1e-14 {
				t.Errorf("n=%d w=%d: counted %v, inverted %v", n, w, counted, inverted)
			}
		}
	}
}

// mannWhitneyByRecurrence returns P(U = 0 … last) by the recurrence on the largest
// value: it belongs to x and beats all n values of y, or to y
// (Mann & Whitney 1947, eq. 2). The recurrence runs on probabilities, so
// nothing overflows. Cost: m·n·last.
func mannWhitneyByRecurrence(m, n, last int) []float64 {
	if m > n {
		m, n = n, m
	}
	rows := make([][]float64, m+1) // rows[i] is the distribution for i against j
	for i := range rows {
		rows[i] = make([]float64, last+1)
		rows[i][0] = 1 // against nobody
	}
	for j := 1; j <= n; j++ {
		for i := 1; i <= m; i++ {
			fromX := float64(i) / float64(i+j)
			row, less := rows[i], rows[i-1]
			for u := min(last, i*j); u >= 0; u-- {
				v := row[u] * (1 - fromX)
				if u >= j {
					v += less[u-j] * fromX
				}
				row[u] = v
			}
		}
	}
	return rows[m]
}

func TestMannWhitneyInversionAgrees(t *testing.T) {
	for _, size := range [][2]int{{64, 64}, {70, 90}, {64, 500}} {
		m, n := size[0], size[1]
		cdf := cumulate(mannWhitneyPMF(m, n, m*n/2))
		for _, u := range []int{0, m, m * n / 4, m * n * 2 / 5, m * n / 2} {
			if got := invertMannWhitney(u, m, n); math.Abs(got-cdf[u]) > 1e-13 {
				t.Errorf("%d against %d at %d: inverted %v, counted %v", m, n, u, got, cdf[u])
			}
		}
	}
}

func TestMannWhitneyDistributionAgreesWithRecurrence(t *testing.T) {
	for _, size := range [][2]int{{1, 1}, {1, 9}, {2, 3}, {7, 7}, {12, 30}, {60, 60}, {5, 400}, {90, 100}} {
		m, n := size[0], size[1]
		got, want := mannWhitneyPMF(m, n, m*n/2), mannWhitneyByRecurrence(m, n, m*n/2)
		worst := 0.0
		for u := range want {
			worst = max(worst, math.Abs(got[u]-want[u])/want[u])
		}
		if worst > 1e-10 {
			t.Errorf("%d against %d: relative difference %v", m, n, worst)
		}
		t.Logf("%d against %d: relative difference %.2g", m, n, worst)
	}
}

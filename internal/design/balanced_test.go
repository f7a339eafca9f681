package design

import (
	"errors"
	"math"
	"strings"
	"testing"
	"time"
)

// TestBalancedForEveryAdmissibleSize holds the promise of the package comment:
// every (t ≤ 13, k ≤ 8) that the counting conditions admit with b ≤ 200 has a
// balanced design, built in under a second, and so has every multiple of it with
// b ≤ 200 (by repeating blocks).
func TestBalancedForEveryAdmissibleSize(t *testing.T) {
	found := 0
	for tt := 3; tt <= 13; tt++ {
		for k := 2; k < min(tt, 9); k++ {
			p := Smallest(tt, k)
			if p.B > 200 {
				continue
			}
			start := time.Now()
			b, err := Balanced(tt, k, 200)
			if err != nil {
				t.Errorf("%v: %v", p, err)
				continue
			}
			if d := time.Since(start); d > time.Second {
				t.Logf("%v took %v", p, d)
			}
			checkBalanced(t, b, p)
			found++
		}
	}
	if found < 50 {
		t.Errorf("only %d sizes were looked at", found)
	}
}

// checkBalanced holds b to the definition of a balanced incomplete block design.
func checkBalanced(t *testing.T, b *Blocks, p Parameters) {
	t.Helper()
	if len(b.Rows) != p.B {
		t.Errorf("%v: %d blocks", p, len(b.Rows))
	}
	for _, row := range b.Rows {
		seen := map[int32]bool{}
		for _, x := range row {
			if x < 0 || int(x) >= p.T || seen[x] {
				t.Fatalf("%v: block %v", p, row)
			}
			seen[x] = true
		}
		if len(row) != p.K {
			t.Fatalf("%v: block %v", p, row)
		}
	}
	if r := b.R(); r != (Spread{p.R, p.R}) {
		t.Errorf("%v: replications %v", p, r)
	}
	if l := b.Lambda(); l != (Spread{p.Lambda, p.Lambda}) {
		t.Errorf("%v: concurrences %v", p, l)
	}
	want := float64(p.Lambda*p.T) / float64(p.R*p.K)
	if e := b.Efficiency(); math.Abs(e-want) > 1e-12 {
		t.Errorf("%v: E = %v, want λt/(rk) = %v", p, e, want)
	}
}

// The list of designs.
func TestPublishedParameters(t *testing.T) {
	const source = "Cochran & Cox 1957, Experimental Designs, ch. 11 (list from memory; every row meets bk = tr " +
		"and λ(t−1) = r(k−1))"
	published := map[int][][4]int{ // t → (k, r, b, λ)
		4:  {{2, 3, 6, 1}, {3, 3, 4, 2}},
		5:  {{2, 4, 10, 1}, {3, 6, 10, 3}, {4, 4, 5, 3}},
		6:  {{2, 5, 15, 1}, {3, 5, 10, 2}, {3, 10, 20, 4}, {4, 10, 15, 6}, {5, 5, 6, 4}},
		7:  {{2, 6, 21, 1}, {3, 3, 7, 1}, {4, 4, 7, 2}, {6, 6, 7, 5}},
		8:  {{2, 7, 28, 1}, {4, 7, 14, 3}, {7, 7, 8, 6}},
		9:  {{2, 8, 36, 1}, {3, 4, 12, 1}, {4, 8, 18, 3}, {5, 10, 18, 5}, {6, 8, 12, 5}},
		10: {{3, 9, 30, 2}, {4, 6, 15, 2}, {5, 9, 18, 4}, {6, 9, 15, 5}},
		11: {{5, 5, 11, 2}, {6, 6, 11, 3}},
		13: {{3, 6, 26, 1}, {4, 4, 13, 1}, {9, 9, 13, 6}},
		15: {{3, 7, 35, 1}, {7, 7, 15, 3}},
		16: {{4, 5, 20, 1}, {6, 6, 16, 2}, {10, 10, 16, 6}},
		21: {{5, 5, 21, 1}},
	}
	for tt, rows := range published {
		for _, row := range rows {
			k, r, b, lambda := row[0], row[1], row[2], row[3]
			p := Parameters{tt, k, r, b, lambda}
			design, err := Balanced(tt, k, b)
			if err != nil {
				t.Errorf("%v: %v (%s)", p, err, source)
				continue
			}
			times := b / len(design.Rows)
			once := Parameters{tt, k, r / times, b / times, lambda / times}
			if once.Times(times) != p {
				t.Errorf("%v: found %d blocks (%s)", p, len(design.Rows), source)
			}
			checkBalanced(t, design, once)
		}
	}
}

func TestEfficiencyFactors(t *testing.T) {
	tests := []struct {
		t, k   int
		want   float64
		source string
	}{
		{4, 2, 0.667, "Cochran & Cox 1957, ch. 11: E = λt/(rk)"},
		{5, 3, 0.833, "same"},
		{6, 3, 0.800, "same"},
		{6, 4, 0.900, "same"},
		{7, 3, 0.778, "same"},
		{7, 4, 0.875, "same"},
		{9, 3, 0.750, "same"},
		{13, 4, 0.813, "same"},
	}
	for _, tc := range tests {
		b, err := Balanced(tc.t, tc.k, 200)
		if err != nil {
			t.Fatal(err)
		}
		if e := b.Efficiency(); math.Abs(e-tc.want) > 0.0006 {
			t.Errorf("t=%d k=%d: E = %.4f, want %.3f (%s)", tc.t, tc.k, e, tc.want, tc.source)
		}
	}
}

func TestEfficiencyOfUnbalancedBlocks(t *testing.T) {
	tests := []struct {
		name   string
		t, k   int
		rows   string
		want   float64
		source string
	}{
		{"a ring of four pairs", 4, 2, "AB BC CD DA", 0.6,
			"by hand: the canonical factors are 1/2, 1/2, 1"},
		{"unequal replication", 4, 3, "ABC ABD ACD ABC ABD", 0.879581151832,
			"R 4.2.2, base: N <- t(sapply(rows, tabulate, nbins = t)); r <- colSums(N); e <- eigen(diag(t) - " +
				"diag(1/sqrt(r)) %*% t(N) %*% N %*% diag(1/sqrt(r)) / k)$values; 1/mean(1/e[-t])"},
		{"cyclic, t = 8", 8, 3, "ABD BCE CDF DEG EFH FGA GHB HAC", 0.746666666667, "R, as above"},
	}
	for _, tc := range tests {
		b := &Blocks{T: tc.t, K: tc.k, Rows: sequences(tc.rows)}
		if e := b.Efficiency(); math.Abs(e-tc.want) > 1e-9 {
			t.Errorf("%s: E = %.10f, want %.10f (%s)", tc.name, e, tc.want, tc.source)
		}
	}
}

func TestEfficiencyOfUnconnectedBlocksIsZero(t *testing.T) {
	b := &Blocks{T: 4, K: 2, Rows: [][]int32{{0, 1}, {2, 3}}}
	if e := b.Efficiency(); e != 0 {
		t.Errorf("E = %v: samples 1 and 3 were never compared, not even by way of others", e)
	}
}

func TestImpossible(t *testing.T) {
	tests := []struct {
		name string
		p    Parameters
		want string
	}{
		{"fewer blocks than samples (Fisher 1940)", Parameters{16, 6, 3, 8, 1}, "Fisher"},
		{"fewer blocks than samples (Fisher 1940)", Parameters{21, 6, 4, 14, 1}, "Fisher"},
		{"fewer blocks than samples (Fisher 1940)", Parameters{25, 10, 8, 20, 3}, "Fisher"},
		{"even, 7 − 2 is no square (Chowla & Ryser 1950)", Parameters{22, 7, 7, 22, 2}, "k − λ is not a square"},
		{"plane of order 6 (Bruck & Ryser 1949)", Parameters{43, 7, 7, 43, 1}, "the equation"},
		{"plane of order 14 (Bruck & Ryser 1949)", Parameters{211, 15, 15, 211, 1}, "the equation"},
		{"biplane with k = 8 (Chowla & Ryser 1950)", Parameters{29, 8, 8, 29, 2}, "the equation"},
		{"residual of (22, 7, 2) (Hall & Connor 1954)", Parameters{15, 5, 7, 21, 2}, "Hall–Connor"},
		{"affine plane of order 6", Parameters{36, 6, 7, 42, 1}, "Hall–Connor"},
		{"residual of (29, 8, 2)", Parameters{21, 6, 8, 28, 2}, "Hall–Connor"},
		{"projective plane of order 4 exists", Parameters{21, 5, 5, 21, 1}, ""},
		{"biplane with k = 6 exists", Parameters{16, 6, 6, 16, 2}, ""},
		{"biplane with k = 9 exists", Parameters{37, 9, 9, 37, 2}, ""},
		{"Paley designs exist", Parameters{23, 11, 11, 23, 5}, ""},
	}
	for _, tc := range tests {
		got := tc.p.Impossible()
		if tc.want == "" && got != "" || !strings.Contains(got, tc.want) {
			t.Errorf("%s: %v: got %q, want %q", tc.name, tc.p, got, tc.want)
		}
	}
}

func TestNoAdmissibleSizeIsImpossibleUpTo13(t *testing.T) {
	for tt := 3; tt <= 13; tt++ {
		for k := 2; k < min(tt, 9); k++ {
			if why := Smallest(tt, k).Impossible(); why != "" {
				t.Errorf("%v: %s", Smallest(tt, k), why)
			}
		}
	}
}

func TestBalancedSaysWhyNot(t *testing.T) {
	_, err := Balanced(15, 5, 40)
	if !errors.Is(err, ErrNoDesign) || !strings.Contains(err.Error(), "Hall–Connor") {
		t.Errorf("t=15, k=5, b ≤ 40: %v", err)
	}
	b, err := Balanced(15, 5, 42)
	if err != nil || !b.IsBalanced() || len(b.Rows) != 42 {
		t.Errorf("t=15, k=5, b ≤ 42: %v", err)
	}
	if _, err := Balanced(5, 5, 100); !errors.Is(err, ErrNoDesign) {
		t.Errorf("complete blocks: %v", err)
	}
}

func TestFieldsAreFields(t *testing.T) {
	for _, f := range fields {
		x, seen := 1, map[int]bool{}
		for range f.q - 1 {
			seen[x] = true
			x = f.timesX(x)
		}
		if len(seen) != f.q-1 || x != 1 || seen[0] {
			t.Errorf("field of %d: x does not generate its non-zero elements", f.q)
		}
		for a := range f.q {
			for b := range f.q {
				if f.timesX(f.add(a, b)) != f.add(f.timesX(a), f.timesX(b)) {
					t.Fatalf("field of %d: x(%d + %d) is not distributive", f.q, a, b)
				}
			}
		}
	}
}

func TestArrangeBalancesPositions(t *testing.T) {
	for tt := 3; tt <= 13; tt++ {
		for k := 2; k < min(tt, 9); k++ {
			b, err := Balanced(tt, k, 200)
			if err != nil {
				continue
			}
			p := Smallest(tt, k)
			b.Arrange()
			checkBalanced(t, b, p)
			at := newTable(tt, k)
			follows := newTable(tt, tt)
			for _, row := range b.Rows {
				for j, x := range row {
					at[x][j]++
					if j > 0 {
						follows[row[j-1]][x]++
					}
				}
			}
			want := 1
			if p.R%k == 0 {
				want = 0
			}
			if d := columnSpread(at); d > want {
				t.Errorf("%v: positions differ by %d, want %d", p, d, want)
			}
			if d := pairSpread(follows); d > 3 {
				t.Errorf("%v: ordered pairs differ by %d", p, d)
			}
		}
	}
}

func TestNearlyBalanced(t *testing.T) {
	tests := []struct{ t, k, b, spread int }{
		{8, 3, 8, 1}, {9, 4, 27, 2}, {14, 4, 28, 1}, {20, 4, 40, 1}, {24, 8, 72, 2},
	}
	for _, tc := range tests {
		b := Nearly(tc.t, tc.k, tc.b)
		if !b.R().Equal() || len(b.Rows) != tc.b {
			t.Errorf("t=%d k=%d b=%d: %d rows, replications %v", tc.t, tc.k, tc.b, len(b.Rows), b.R())
		}
		if l := b.Lambda(); l.Max-l.Min > tc.spread {
			t.Errorf("t=%d k=%d b=%d: concurrences %v", tc.t, tc.k, tc.b, l)
		}
	}
}

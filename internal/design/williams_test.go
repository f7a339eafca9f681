package design

import (
	"slices"
	"strings"
	"testing"
)

// sequences reads rows of letters.
func sequences(text string) [][]int32 {
	var rows [][]int32
	for _, word := range strings.Fields(text) {
		row := make([]int32, len(word))
		for j, x := range word {
			row[j] = x - 'A'
		}
		rows = append(rows, row)
	}
	return rows
}

// sameDesign reports whether some relabelling of samples turns the rows of a, in
// any order, into those of b.
func sameDesign(a, b [][]int32, t int) bool {
	want := sortedRows(b)
	label := make([]int32, t)
	ordinals(label)
	found := false
	permute(label, 0, func() {
		rows := make([][]int32, len(a))
		for i, row := range a {
			for _, x := range row {
				rows[i] = append(rows[i], label[x])
			}
		}
		found = found || slices.EqualFunc(sortedRows(rows), want, slices.Equal[[]int32])
	})
	return found
}

func sortedRows(rows [][]int32) [][]int32 {
	sorted := slices.Clone(rows)
	slices.SortFunc(sorted, slices.Compare[[]int32])
	return sorted
}

func permute(x []int32, from int, f func()) {
	if from == len(x) {
		f()
		return
	}
	for i := from; i < len(x); i++ {
		x[from], x[i] = x[i], x[from]
		permute(x, from+1, f)
		x[from], x[i] = x[i], x[from]
	}
}

func TestWilliamsSquares(t *testing.T) {
	tests := []struct {
		t            int
		rows, source string
	}{
		{3, "ABC BCA CAB CBA ACB BAC", "Williams 1949, Aust. J. Sci. Res. A 2, 149–168; zig-zag construction, " +
			"restated"},
		{4, "ABDC BCAD CDBA DACB", "same, order 4"},
		{5, "ABECD BCADE CDBEA DECAB EADBC DCEBA EDACB AEBDC BACED CBDAE", "same, pair of order 5"},
		{6, "ABFCED BCADFE CDBEAF DECFBA EFDACB FAEBDC", "same, order 6"},
	}
	for _, tc := range tests {
		if !sameDesign(williamsSquare(tc.t), sequences(tc.rows), tc.t) {
			t.Errorf("t=%d: %v is not a relabelling of %s (%s)", tc.t, williamsSquare(tc.t), tc.rows, tc.source)
		}
	}
	if sameDesign(williamsSquare(4), sequences("ABCD BCDA CDAB DABC"), 4) {
		t.Error("a cyclic square passes for Williams'")
	}
}

// A square is row complete when every ordered pair of different samples stands
// next to each other, in that order, exactly once (Dénes & Keedwell 1974, Latin
// Squares and their Applications, 2.3).
func TestSquaresByDefinition(t *testing.T) {
	for k := 2; k <= maxSamples; k++ {
		square := squareFor(k)
		want := 1
		if _, ok := rowComplete[k]; k%2 == 1 && !ok {
			want = 2
		}
		if len(square) != want*k {
			t.Fatalf("t=%d: %d rows", k, len(square))
		}
		pairs := newTable(k, k)
		for h := 0; h < len(square); h += k {
			half := square[h : h+k]
			for j := range k {
				column, row := make([]bool, k), make([]bool, k)
				for i := range k {
					column[half[i][j]], row[half[j][i]] = true, true
				}
				if slices.Contains(column, false) || slices.Contains(row, false) {
					t.Errorf("t=%d: row or column %d lacks a sample", k, j)
				}
			}
		}
		for _, row := range square {
			for j := 1; j < k; j++ {
				pairs[row[j-1]][row[j]]++
			}
		}
		for x := range k {
			for y := range k {
				if x != y && pairs[x][y] != want {
					t.Errorf("t=%d: %d follows %d %d times, want %d", k, y, x, pairs[x][y], want)
				}
			}
		}
	}
}

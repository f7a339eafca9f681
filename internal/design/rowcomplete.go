package design

// rowComplete holds starting rows of row-complete Latin squares of odd order: a
// Latin square in which every ordered pair of neighbours occurs once. No cyclic
// one exists for odd order; these are made of c starting rows of t = c·h samples,
// to which 1, 2, …, h−1 are added modulo h within each run of h samples. That
// such squares exist for 9, 15, 21 and 27 is long known (Mertz 1971 for 9;
// Archdeacon, Dinitz, Stinson & Tillson 1980, J. Combin. Theory A 29, 395–398 for
// 15; both cited from memory). The rows here come from our own search; a test
// holds them to the definition.
var rowComplete = map[int][][]int32{
	9: {
		{3, 0, 6, 5, 1, 8, 2, 7, 4},
		{0, 5, 3, 8, 6, 4, 7, 2, 1},
		{6, 8, 1, 2, 5, 0, 4, 3, 7},
	},
	15: {
		{0, 5, 12, 11, 14, 7, 9, 3, 13, 8, 6, 10, 1, 2, 4},
		{10, 4, 8, 3, 5, 11, 1, 13, 9, 2, 0, 6, 7, 12, 14},
		{5, 13, 1, 9, 0, 4, 12, 6, 3, 14, 10, 2, 11, 8, 7},
	},
}

// squareFor returns the rows of a block of complete orders of t samples: t rows
// of a row-complete Latin square where one is at hand, else Williams' 2t.
func squareFor(t int) [][]int32 {
	starts, ok := rowComplete[t]
	if !ok {
		return williamsSquare(t)
	}
	h := int32(t / len(starts))
	rows := make([][]int32, 0, t)
	for _, start := range starts {
		for a := range h {
			row := make([]int32, t)
			for j, x := range start {
				row[j] = x/h*h + (x%h+a)%h
			}
			rows = append(rows, row)
		}
	}
	return rows
}

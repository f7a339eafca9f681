package anova

import (
	"testing"

	"cloche/internal/stats/ranks"
	"cloche/internal/stats/statstest"
)

func FuzzTables(f *testing.F) {
	f.Add([]byte{1, 2, 3, 4, 5, 6, 7, 8, 9}, byte(3))
	f.Add([]byte{248, 2, 3, 4, 249, 6, 7, 8, 9, 1, 2, 3}, byte(3))
	f.Add([]byte{5, 5, 5, 5, 5, 5}, byte(2))
	f.Add([]byte{251, 252, 253, 254, 255, 1, 2, 3}, byte(2))
	f.Add([]byte("012\xfd"), byte('%')) // a variance that underflows
	f.Add([]byte{255, 1, 1, 255, 255, 1, 1, 1, 2}, byte(3))
	f.Fuzz(func(t *testing.T, data []byte, columns byte) {
		k := int(columns%6) + 1
		if len(data) > 120 {
			return
		}
		values := statstest.FuzzValues(data)
		var rows [][]float64
		for len(values) >= k {
			rows, values = append(rows, values[:k]), values[k:]
		}
		if r, err := Repeated(rows, RepeatedOptions{}); err == nil {
			statstest.CheckP(t, "rm anova", r.P, r.Warnings)
		}
		if r, err := ranks.Friedman(rows); err == nil {
			statstest.CheckP(t, "friedman", r.P, r.Warnings)
		}
		if r, err := ranks.Page(rows); err == nil {
			statstest.CheckP(t, "page", r.P, r.Warnings)
		}
		if r, err := OneWay(rows); err == nil {
			statstest.CheckP(t, "one-way", r.P, r.Warnings)
			statstest.CheckP(t, "welch", r.WelchP, r.Warnings)
			statstest.CheckP(t, "kruskal", r.Kruskal.P, r.Warnings)
		}
		var y []float64
		var a, b []int
		for i, row := range rows {
			for j, v := range row {
				y, a, b = append(y, v), append(a, i), append(b, j)
			}
		}
		if r, err := IncompleteBlocks(y, a, b); err == nil {
			statstest.CheckP(t, "blocks", r.P, r.Warnings)
		}
		if r, err := TwoWay(y, a, b); err == nil {
			statstest.CheckP(t, "two-way", r.TypeII[0].P, r.Warnings)
		}
	})
}

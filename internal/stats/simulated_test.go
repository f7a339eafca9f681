package stats

import (
	"math"
	"math/rand/v2"
	"strconv"
	"testing"
)

func newTestRand(seed uint64) *rand.Rand { return rand.New(rand.NewPCG(seed, 0x636c6f636865)) }

func itoa(n int) string { return strconv.Itoa(n) }

func nan64() float64 { return math.NaN() }

// simulatedTable draws n assessors with their own level and k samples that
// differ by step from one to the next.
func simulatedTable(rng *rand.Rand, n, k int, step float64) [][]float64 {
	rows := make([][]float64, n)
	for i := range rows {
		level := rng.NormFloat64()
		for j := range k {
			rows[i] = append(rows[i], level+step*float64(j)+rng.NormFloat64())
		}
	}
	return rows
}

// fatal ends the test when err is not nil.
func fatal(t *testing.T, err error) {
	t.Helper()
	if err != nil {
		t.Fatal(err)
	}
}

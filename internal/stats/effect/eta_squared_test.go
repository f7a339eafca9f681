package effect

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	_ "cloche/internal/draws"
	"cloche/internal/stats/dist"
	"cloche/internal/stats/statstest"
)

func TestEtaSquaredIntervalProperties(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		f := rapid.Float64Range(0, 40).Draw(t, "F")
		df1, df2 := float64(rapid.IntRange(1, 8).Draw(t, "df1")), float64(rapid.IntRange(3, 200).Draw(t, "df2"))
		level := rapid.SampledFrom([]float64{0.8, 0.9, 0.95}).Draw(t, "level")
		i, err := EtaSquaredInterval(f, df1, df2, level)
		if err != nil {
			t.Fatal(err)
		}
		if !(0 <= i.Lo && i.Lo <= i.Hi && i.Hi < 1) {
			t.Fatalf("interval %+v", i)
		}
		// The lower end leaves zero exactly when the test rejects.
		if p := dist.FSurvival(f, df1, df2); math.Abs(p-(1-level)/2) > 1e-6 && (i.Lo > 0) != (p < (1-level)/2) {
			t.Fatalf("p %v, lower end %v", p, i.Lo)
		}
		// One df: F = t², and λ is the noncentrality of t, squared, as long as
		// t's other tail does not count.
		if lo, _ := dist.NoncentralTInterval(math.Sqrt(f), df2, level); df1 == 1 && lo > 2 {
			if want := lo * lo / (lo*lo + df2 + 2); !statstest.Near(i.Lo, want, 1e-3) {
				t.Fatalf("lower end %v, from t %v", i.Lo, want)
			}
		}
	})
}

func TestEtaSquaredIntervalRefuses(t *testing.T) {
	for _, c := range [][4]float64{{-1, 2, 3, 0.9}, {math.NaN(), 2, 3, 0.9}, {1, 0, 3, 0.9}, {1, 2, math.Inf(1), 0.9},
		{1, 2, 3, 1}} {
		if _, err := EtaSquaredInterval(c[0], c[1], c[2], c[3]); err == nil {
			t.Errorf("%v was accepted", c)
		}
	}
}

package stats_test

import (
	"encoding/binary"
	"math"
	"testing"

	"cloche/internal/stats"
	"cloche/internal/stats/effect"
	"cloche/internal/stats/ranks"
	"cloche/internal/stats/statstest"
	"cloche/internal/stats/ttest"
)

// floatsOf reads numbers from bytes: ratings for small bytes, any bit pattern
// after a byte of 255.
func floatsOf(data []byte) []float64 {
	var x []float64
	for len(data) > 0 {
		b := data[0]
		data = data[1:]
		if b == 255 && len(data) >= 8 {
			x = append(x, math.Float64frombits(binary.LittleEndian.Uint64(data)))
			data = data[8:]
			continue
		}
		x = append(x, float64(b)/10)
	}
	return x
}

func bytesOf(x ...float64) []byte {
	var data []byte
	for _, v := range x {
		data = append(data, 255)
		data = binary.LittleEndian.AppendUint64(data, math.Float64bits(v))
	}
	return data
}

// explained fails when a number is absent without a warning, or no probability.
func explained(t *testing.T, name string, warnings []stats.Warning, p ...float64) {
	t.Helper()
	for _, v := range p {
		if math.IsNaN(v) && len(warnings) == 0 {
			t.Errorf("%s: NaN without a warning", name)
		}
		if !math.IsNaN(v) && !(v >= 0 && v <= 1) {
			t.Errorf("%s: p = %v", name, v)
		}
	}
	for _, w := range warnings {
		if w.Code == "" || w.Text == "" {
			t.Errorf("%s: empty warning", name)
		}
	}
}

func FuzzPairedMethods(f *testing.F) {
	f.Add([]byte{10, 20, 30}, []byte{10, 25, 20})
	f.Add([]byte{10, 20, 30}, []byte{10, 20, 30})
	f.Add([]byte{50}, []byte{40})
	f.Add([]byte{}, []byte{})
	f.Add(bytesOf(math.NaN(), 1), bytesOf(1, 2))
	f.Add(bytesOf(math.Inf(1), 1), bytesOf(1, 2))
	f.Add(bytesOf(1e308, -1e308, 3), bytesOf(-1e308, 1e308, 3))
	f.Add(bytesOf(1e139, -1e139, 3), bytesOf(-1e139, 1e139, 3))
	f.Add(bytesOf(5e-324, 1e-300, 0), bytesOf(0, 2e-300, 0))
	f.Add(bytesOf(1e15+1, 1e15, 3), bytesOf(1e15, 1e15, 3))
	f.Fuzz(func(t *testing.T, a, b []byte) {
		x, y := floatsOf(a), floatsOf(b)
		if len(x) > 200 {
			return
		}
		valid := stats.CheckPairs(x, y) == nil
		r, err := ttest.Paired(x, y, ttest.PairedOptions{})
		if (err == nil) != valid {
			t.Fatalf("PairedT: error %v for valid %v", err, valid)
		}
		if !valid {
			_, e1 := ranks.SignedRank(x, y, ranks.SignedRankOptions{})
			_, e2 := effect.Paired(x, y, 0)
			_, e3 := ranks.HodgesLehmannPaired(x, y, 0)
			_, e4 := ttest.SignFlip(x, y, ttest.SignFlipOptions{})
			if e1 == nil || e2 == nil || e3 == nil || e4 == nil {
				t.Errorf("malformed pairs accepted: %v %v %v %v", e1, e2, e3, e4)
			}
			return
		}
		explained(t, "PairedT", r.Warnings, r.P)
		if !r.CI.Absent() && !(r.CI.Lo <= r.Diff && r.Diff <= r.CI.Hi) {
			t.Errorf("PairedT: %+v leaves out %v", r.CI, r.Diff)
		}
		w, err := ranks.SignedRank(x, y, ranks.SignedRankOptions{})
		statstest.Fatal(t, err)
		explained(t, "SignedRank", w.Warnings, w.P, w.NormalTwoSided, w.ExactTwoSided)
		s, err := ranks.SignTest(x, y, ranks.SignTestOptions{})
		statstest.Fatal(t, err)
		explained(t, "SignTest", s.Warnings, s.P, s.ProportionUp)
		flip, err := ttest.SignFlip(x, y, ttest.SignFlipOptions{Draws: 100})
		statstest.Fatal(t, err)
		explained(t, "SignFlip", flip.Warnings, flip.P)
		e, err := effect.Paired(x, y, 0)
		statstest.Fatal(t, err)
		explained(t, "PairedEffects", append(e.Warnings, e.Dz.Warnings...), e.Superiority, e.CommonLanguageNormal)
		h, err := ranks.HodgesLehmannPaired(x, y, 0)
		statstest.Fatal(t, err)
		if !(h.CI.Lo <= h.Estimate && h.Estimate <= h.CI.Hi) {
			t.Errorf("HodgesLehmannPaired: %+v", h)
		}
	})
}

func FuzzTwoSampleMethods(f *testing.F) {
	f.Add([]byte{10, 20, 30}, []byte{10, 25})
	f.Add([]byte{10, 10}, []byte{10})
	f.Add([]byte{50}, []byte{40})
	f.Add([]byte{}, []byte{1})
	f.Add(bytesOf(math.NaN()), bytesOf(1, 2))
	f.Add(bytesOf(1e308, -1e308), bytesOf(-1e308))
	f.Add(bytesOf(5e-324, 1e-300, 0), bytesOf(0, 2e-300))
	f.Fuzz(func(t *testing.T, a, b []byte) {
		x, y := floatsOf(a), floatsOf(b)
		if len(x) > 60 || len(y) > 60 {
			return
		}
		valid := len(x) > 0 && len(y) > 0 && stats.CheckSize(x, y) == nil
		w, err := ttest.Welch(x, y, ttest.TwoSampleOptions{})
		if (err == nil) != valid {
			t.Fatalf("WelchT: error %v for valid %v", err, valid)
		}
		if !valid {
			return
		}
		explained(t, "WelchT", w.Warnings, w.P)
		p, err := ttest.Pooled(x, y, ttest.TwoSampleOptions{})
		statstest.Fatal(t, err)
		explained(t, "PooledT", p.Warnings, p.P)
		m, err := ranks.MannWhitney(x, y, ranks.MannWhitneyOptions{})
		statstest.Fatal(t, err)
		explained(t, "MannWhitney", m.Warnings, m.P, m.ExactTwoSided)
		e, err := effect.TwoSample(x, y, 0)
		statstest.Fatal(t, err)
		explained(t, "TwoSampleEffects", e.Ds.Warnings, e.CommonLanguageNormal)
		explained(t, "TwoSampleEffects", e.CliffsDelta.Warnings, e.Superiority)
		h, err := ranks.HodgesLehmann(x, y, 0)
		statstest.Fatal(t, err)
		if !(h.CI.Lo <= h.Estimate && h.Estimate <= h.CI.Hi) {
			t.Errorf("HodgesLehmann: %+v", h)
		}
	})
}

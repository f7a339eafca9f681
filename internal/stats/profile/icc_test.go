package profile

import (
	"errors"
	"math"
	"math/rand/v2"
	"testing"

	"pgregory.net/rapid"

	_ "cloche/internal/draws"
	"cloche/internal/simulated"
	"cloche/internal/stats"
)

// Six targets judged by four judges: Shrout & Fleiss (1979), Psychol. Bull. 86,
// table 2 and the printed correlations (from memory).
func TestShroutFleiss(t *testing.T) {
	t.Parallel()
	table := [][]float64{{9, 2, 5, 8}, {6, 1, 3, 2}, {8, 4, 6, 8}, {7, 1, 2, 6}, {10, 5, 6, 9}, {6, 2, 4, 7}}
	r, err := IntraclassCorrelations(table, 0)
	if err != nil {
		t.Fatal(err)
	}
	for name, c := range map[string][2]float64{
		"1,1": {r.Single1.Value, 0.17}, "2,1": {r.Single2.Value, 0.29}, "3,1": {r.Single3.Value, 0.71},
		"1,k": {r.Average1.Value, 0.44}, "2,k": {r.Average2.Value, 0.62}, "3,k": {r.Average3.Value, 0.91},
	} {
		if math.Abs(c[0]-c[1]) > 0.005 {
			t.Errorf("ICC(%s) = %.4f, printed %.2f", name, c[0], c[1])
		}
	}
	if math.Abs(r.Alpha-r.Average3.Value) > 1e-12 {
		t.Errorf("alpha %v differs from ICC(3,k) %v", r.Alpha, r.Average3.Value)
	}
}

func TestICCEdges(t *testing.T) {
	t.Parallel()
	constant, err := IntraclassCorrelations([][]float64{{3, 3}, {3, 3}, {3, 3}}, 0)
	if err != nil || !math.IsNaN(constant.Single1.Value) || !math.IsNaN(constant.Alpha) || len(constant.Warnings) == 0 {
		t.Errorf("constant: %+v %v", constant, err)
	}
	shifted, err := IntraclassCorrelations([][]float64{{1, 2}, {2, 3}, {5, 6}}, 0)
	if err != nil || shifted.Single3.Value != 1 || shifted.Single3.CI.Lo != 1 || shifted.Single3.CI.Hi != 1 ||
		shifted.PBetween != 0 {
		t.Errorf("judges in step: %+v %v", shifted, err)
	}
	equal, err := IntraclassCorrelations([][]float64{{1, 1}, {2, 2}, {5, 5}}, 0)
	if err != nil || equal.Single1.Value != 1 || equal.Single2.Value != 1 || equal.Single2.CI.Lo != 1 {
		t.Errorf("judges alike: %+v %v", equal, err)
	}
	two, err := IntraclassCorrelations([][]float64{{1, 4}, {2, 3}}, 0)
	if err != nil || math.IsNaN(two.Single1.Value) {
		t.Errorf("two by two: %+v %v", two, err)
	}
	for name, table := range map[string][][]float64{
		"empty": nil, "one row": {{1, 2}}, "one column": {{1}, {2}}, "ragged": {{1, 2}, {3}},
		"missing": {{1, math.NaN()}, {2, 3}},
	} {
		if _, err := IntraclassCorrelations(table, 0); err == nil {
			t.Errorf("%s accepted", name)
		}
	}
	if _, err := IntraclassCorrelations([][]float64{{1, 2}, {3}}, 0); !errors.Is(err, stats.ErrShape) {
		t.Errorf("ragged: %v", err)
	}
}

// Shift and scale leave every correlation where it is; limits hold the value.
func TestICCInvariance(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		n, k := rapid.IntRange(3, 12).Draw(t, "n"), rapid.IntRange(2, 6).Draw(t, "k")
		table, moved := make([][]float64, n), make([][]float64, n)
		for i := range table {
			for range k {
				v := rapid.Float64Range(1, 9).Draw(t, "v")
				table[i], moved[i] = append(table[i], v), append(moved[i], 3*v-7)
			}
		}
		a, errA := IntraclassCorrelations(table, 0)
		b, errB := IntraclassCorrelations(moved, 0)
		if errA != nil || errB != nil {
			t.Fatal(errA, errB)
		}
		pairs := [][2]ICC{{a.Single1, b.Single1}, {a.Single2, b.Single2}, {a.Single3, b.Single3},
			{a.Average1, b.Average1}, {a.Average3, b.Average3}}
		for i, p := range pairs {
			if math.IsNaN(p[0].Value) {
				continue
			}
			if math.Abs(p[0].Value-p[1].Value) > 1e-6*(1+math.Abs(p[0].Value)) {
				t.Errorf("form %d: %v, shifted and scaled %v", i, p[0], p[1])
			}
			// The limits of the two-way random form rest on a separate degrees-of-freedom
			// formula and may miss a negative estimate.
			if i != 1 && !(p[0].CI.Lo <= p[0].Value && p[0].Value <= p[0].CI.Hi) {
				t.Errorf("form %d: %v outside its interval", i, p[0])
			}
		}
	})
}

// Intervals cover at about their level when targets, judges and errors are
// normal; 20,000 simulated panels in the full run.
func TestICCCalibration(t *testing.T) {
	t.Parallel()
	rng := rand.New(rand.NewPCG(9, 10))
	const n, k = 12, 5
	panels := simulated.Studies(20_000)
	// Variances 1 (targets), 0.5 (judges), 1 (error).
	truth := map[string]float64{"1,1": 1 / 2.5, "2,1": 1 / 2.5, "3,1": 0.5}
	covered := map[string]float64{}
	table := squareTable(n)
	for range panels {
		var judge [k]float64
		for j := range judge {
			judge[j] = math.Sqrt(0.5) * rng.NormFloat64()
		}
		for i := range table {
			target := rng.NormFloat64()
			table[i] = table[i][:0]
			for j := range k {
				table[i] = append(table[i], target+judge[j]+rng.NormFloat64())
			}
		}
		r, err := IntraclassCorrelations(table, 0)
		if err != nil {
			t.Fatal(err)
		}
		for name, c := range map[string]ICC{"2,1": r.Single2, "3,1": r.Single3} {
			if c.CI.Lo <= truth[name] && truth[name] <= c.CI.Hi {
				covered[name] += 1 / float64(panels)
			}
		}
	}
	t.Logf("coverage of 95 %%: ICC(2,1) %.4f, ICC(3,1) %.4f", covered["2,1"], covered["3,1"])
	if margin := simulated.Margin(0.05, panels); math.Abs(covered["3,1"]-0.95) > margin ||
		math.Abs(covered["2,1"]-0.95) > margin+0.019 {
		t.Errorf("coverage %v", covered)
	}
}

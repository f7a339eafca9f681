package stats

import "testing"

type pairsOfReference struct{ X, Y []float64 }

type testOfReference struct {
	Conf, Mu, Lower, Upper, Alpha float64
	Alternative, Zero             string
}

type referenceMethod func(t *testing.T, e referenceEntry) map[string]any

// twoSampleMethods recomputes the entries of tests and effects of two samples.
var twoSampleMethods = map[string]referenceMethod{
	"paired_t": func(t *testing.T, e referenceEntry) map[string]any {
		d, in := pick[pairsOfReference](t, e.Data), pick[testOfReference](t, e.Inputs)
		r, err := PairedT(d.X, d.Y, PairedTOptions{Mu: in.Mu, Level: in.Conf, Alternative: sideOf(t, in.Alternative)})
		if err != nil {
			t.Fatal(err)
		}
		return map[string]any{"n": r.N, "mean_x": r.MeanX, "mean_y": r.MeanY, "mean_diff": r.Diff, "sd_diff": r.SD,
			"se": r.SE, "t": r.T, "df": r.DF, "p": r.P, "ci": ends(r.CI), "r_xy": r.R}
	},
	"signed_rank": func(t *testing.T, e referenceEntry) map[string]any {
		d, in := pick[pairsOfReference](t, e.Data), pick[testOfReference](t, e.Inputs)
		zeros := map[string]ZeroMethod{"wilcoxon": WilcoxonZeros, "pratt": Pratt}[in.Zero]
		r, err := SignedRank(d.X, d.Y, SignedRankOptions{Zeros: zeros})
		if err != nil {
			t.Fatal(err)
		}
		return map[string]any{"n": r.N, "n_zero": r.Zeros, "n_used": r.NUsed, "w_plus": r.WPlus, "w_minus": r.WMinus,
			"exact_p_two_sided": r.ExactTwoSided, "exact_p_greater": r.ExactGreater, "exact_p_less": r.ExactLess,
			"mean_w_plus": r.MeanWPlus, "var_w_plus": r.VarWPlus, "z": r.Z, "normal_p_two_sided": r.NormalTwoSided,
			"z_corrected": r.ZCorrected, "normal_p_two_sided_corrected": r.NormalTwoSidedCorrected,
			"normal_p_greater_corrected": r.NormalGreaterCorrected, "normal_p_less_corrected": r.NormalLessCorrected}
	},
	"sign_test": func(t *testing.T, e referenceEntry) map[string]any {
		d := pick[pairsOfReference](t, e.Data)
		r, err := SignTest(d.X, d.Y, SignTestOptions{})
		if err != nil {
			t.Fatal(err)
		}
		return map[string]any{"n_up": r.Up, "n_down": r.Down, "n_same": r.Same, "p_two_sided": r.TwoSided,
			"p_greater": r.Greater, "p_less": r.Less, "proportion_up": r.ProportionUp,
			"clopper_pearson": ends(r.ProportionCI), "median_diff": r.Median, "median_ci": ends(r.MedianCI),
			"median_ci_conf": r.MedianCI.Level}
	},
	"two_sample_t": func(t *testing.T, e referenceEntry) map[string]any {
		d, in := pick[pairsOfReference](t, e.Data), pick[testOfReference](t, e.Inputs)
		w, err := WelchT(d.X, d.Y, TwoSampleOptions{Level: in.Conf})
		if err != nil {
			t.Fatal(err)
		}
		p, err := PooledT(d.X, d.Y, TwoSampleOptions{Level: in.Conf})
		if err != nil {
			t.Fatal(err)
		}
		test := func(r TwoSampleTResult) map[string]any {
			return map[string]any{"t": r.T, "df": r.DF, "p": r.P, "ci": ends(r.CI)}
		}
		return map[string]any{"n_x": w.NX, "n_y": w.NY, "mean_x": w.MeanX, "mean_y": w.MeanY, "diff": w.Diff,
			"welch": test(w), "pooled": test(p)}
	},
	"p_adjust": func(t *testing.T, e referenceEntry) map[string]any {
		p := pick[struct{ P []float64 }](t, e.Data).P
		return map[string]any{"holm": list(Holm(p)), "bh": list(BenjaminiHochberg(p)), "bonferroni": list(Bonferroni(p)),
			"hochberg": list(Hochberg(p)), "hommel": list(Hommel(p)), "by": list(BenjaminiYekutieli(p))}
	},
	"cdf_noncentral_t": func(t *testing.T, e referenceEntry) map[string]any {
		return gridOf(t, e, func(row map[string]any) map[string]any {
			return map[string]any{"value": NoncentralTCDF(number(row, "t"), number(row, "df"), number(row, "ncp"))}
		})
	},
	"quantile_t": func(t *testing.T, e referenceEntry) map[string]any {
		return gridOf(t, e, func(row map[string]any) map[string]any {
			return map[string]any{"value": TQuantile(number(row, "p"), number(row, "df"))}
		})
	},
}

func TestReferenceTwoSamples(t *testing.T) {
	seen := map[string]bool{}
	for _, e := range referenceEntries(t) {
		method, ok := twoSampleMethods[e.Method]
		if !ok {
			continue
		}
		seen[e.Method] = true
		t.Run(e.ID, func(t *testing.T) {
			if e.Source == "" {
				t.Error("entry without a source")
			}
			compareFields(t, e.Tolerance, e.ID, e.Expected, method(t, e))
		})
	}
	for name := range twoSampleMethods {
		if !seen[name] {
			t.Errorf("no reference entry of method %q was checked", name)
		}
	}
}

package stats

import (
	"maps"
	"testing"
)

type pairsOfReference struct{ X, Y []float64 }

type testOfReference struct {
	Conf, Mu, Lower, Upper, Alpha float64
	Alternative, Zero             string
}

type referenceMethod func(t *testing.T, e referenceEntry) map[string]any

// twoSampleMethods recomputes the entries of tests of two samples.
var twoSampleMethods = map[string]referenceMethod{
	"paired_t": func(t *testing.T, e referenceEntry) map[string]any {
		d, in := pick[pairsOfReference](t, e.Data), pick[testOfReference](t, e.Inputs)
		r, err := PairedT(d.X, d.Y, PairedTOptions{Mu: in.Mu, Level: in.Conf, Alternative: sideOf(t, in.Alternative)})
		fatal(t, err)
		return map[string]any{"n": r.N, "mean_x": r.MeanX, "mean_y": r.MeanY, "mean_diff": r.Diff, "sd_diff": r.SD,
			"se": r.SE, "t": r.T, "df": r.DF, "p": r.P, "ci": ends(r.CI), "r_xy": r.R}
	},
	"signed_rank": func(t *testing.T, e referenceEntry) map[string]any {
		d, in := pick[pairsOfReference](t, e.Data), pick[testOfReference](t, e.Inputs)
		zeros := map[string]ZeroMethod{"wilcoxon": WilcoxonZeros, "pratt": Pratt}[in.Zero]
		r, err := SignedRank(d.X, d.Y, SignedRankOptions{Zeros: zeros})
		fatal(t, err)
		return map[string]any{"n": r.N, "n_zero": r.Zeros, "n_used": r.NUsed, "w_plus": r.WPlus, "w_minus": r.WMinus,
			"exact_p_two_sided": r.ExactTwoSided, "exact_p_greater": r.ExactGreater, "exact_p_less": r.ExactLess,
			"mean_w_plus": r.MeanWPlus, "var_w_plus": r.VarWPlus, "z": r.Z, "normal_p_two_sided": r.NormalTwoSided,
			"z_corrected": r.ZCorrected, "normal_p_two_sided_corrected": r.NormalTwoSidedCorrected,
			"normal_p_greater_corrected": r.NormalGreaterCorrected, "normal_p_less_corrected": r.NormalLessCorrected}
	},
	"sign_test": func(t *testing.T, e referenceEntry) map[string]any {
		d := pick[pairsOfReference](t, e.Data)
		r, err := SignTest(d.X, d.Y, SignTestOptions{})
		fatal(t, err)
		return map[string]any{"n_up": r.Up, "n_down": r.Down, "n_same": r.Same, "p_two_sided": r.TwoSided,
			"p_greater": r.Greater, "p_less": r.Less, "proportion_up": r.ProportionUp,
			"clopper_pearson": ends(r.ProportionCI), "median_diff": r.Median, "median_ci": ends(r.MedianCI),
			"median_ci_conf": r.MedianCI.Level}
	},
	"sign_flip_exact": func(t *testing.T, e referenceEntry) map[string]any {
		d := pick[pairsOfReference](t, e.Data)
		r, err := SignFlip(d.X, d.Y, SignFlipOptions{})
		fatal(t, err)
		return map[string]any{"n": r.N, "sum_diff": r.Sum, "mean_diff": r.Mean,
			"p_two_sided": r.TwoSided, "p_greater": r.Greater, "p_less": r.Less}
	},
	"tost_paired": func(t *testing.T, e referenceEntry) map[string]any {
		d, in := pick[pairsOfReference](t, e.Data), pick[testOfReference](t, e.Inputs)
		r, err := TOSTPaired(d.X, d.Y, TOSTOptions{Lower: in.Lower, Upper: in.Upper, Alpha: in.Alpha})
		fatal(t, err)
		return map[string]any{"mean_diff": r.Diff, "t_lower": r.TLower, "p_lower": r.PLower, "t_upper": r.TUpper,
			"p_upper": r.PUpper, "df": r.DF, "p": r.P, "ci_1_minus_2alpha": ends(r.CI), "equivalent": r.Equivalent}
	},
	"mann_whitney": func(t *testing.T, e referenceEntry) map[string]any {
		d := pick[pairsOfReference](t, e.Data)
		r, err := MannWhitney(d.X, d.Y, MannWhitneyOptions{})
		fatal(t, err)
		return map[string]any{"n_x": r.NX, "n_y": r.NY, "u": r.U, "u_other": r.UOther, "ties": r.Ties,
			"exact_p_two_sided": r.ExactTwoSided, "exact_p_greater": r.ExactGreater, "exact_p_less": r.ExactLess,
			"exact_p_doubled": r.ExactDoubled, "z": r.Z, "normal_p_two_sided": r.NormalTwoSided,
			"z_corrected": r.ZCorrected, "normal_p_two_sided_corrected": r.NormalTwoSidedCorrected}
	},
	"hodges_lehmann_paired": func(t *testing.T, e referenceEntry) map[string]any {
		d := pick[pairsOfReference](t, e.Data)
		r, err := HodgesLehmannPaired(d.X, d.Y, pick[testOfReference](t, e.Inputs).Conf)
		fatal(t, err)
		return hodgesLehmannFields(r)
	},
	"hodges_lehmann_two_sample": func(t *testing.T, e referenceEntry) map[string]any {
		d := pick[pairsOfReference](t, e.Data)
		r, err := HodgesLehmann(d.X, d.Y, pick[testOfReference](t, e.Inputs).Conf)
		fatal(t, err)
		return hodgesLehmannFields(r)
	},
	"two_sample_t": func(t *testing.T, e referenceEntry) map[string]any {
		d, in := pick[pairsOfReference](t, e.Data), pick[testOfReference](t, e.Inputs)
		w, err := WelchT(d.X, d.Y, TwoSampleOptions{Level: in.Conf})
		fatal(t, err)
		p, err := PooledT(d.X, d.Y, TwoSampleOptions{Level: in.Conf})
		fatal(t, err)
		test := func(r TwoSampleTResult) map[string]any {
			return map[string]any{"t": r.T, "df": r.DF, "p": r.P, "ci": ends(r.CI)}
		}
		return map[string]any{"n_x": w.NX, "n_y": w.NY, "mean_x": w.MeanX, "mean_y": w.MeanY, "diff": w.Diff,
			"welch": test(w), "pooled": test(p)}
	},
}

// effectMethods recomputes the entries of effect sizes and Bayes factors.
var effectMethods = map[string]referenceMethod{
	"effect_sizes_paired": func(t *testing.T, e referenceEntry) map[string]any {
		d := pick[pairsOfReference](t, e.Data)
		r, err := PairedEffects(d.X, d.Y, pick[testOfReference](t, e.Inputs).Conf)
		fatal(t, err)
		return map[string]any{"d_z": r.Dz.Value, "d_z_ci": ends(r.Dz.CI), "j": r.J, "j_approx": r.JApprox,
			"g_z": r.Gz.Value, "g_z_ci": ends(r.Gz.CI), "d_av": r.Dav, "g_av": r.Gav,
			"d_av_root_mean_square": r.DavRootMeanSquare, "d_rm": r.Drm, "g_rm": r.Grm,
			"rank_biserial": r.RankBiserial.Value, "rank_biserial_ci": ends(r.RankBiserial.CI),
			"prob_superiority_paired": r.Superiority, "common_language_normal": r.CommonLanguageNormal}
	},
	"effect_sizes_two_sample": func(t *testing.T, e referenceEntry) map[string]any {
		d := pick[pairsOfReference](t, e.Data)
		r, err := TwoSampleEffects(d.X, d.Y, pick[testOfReference](t, e.Inputs).Conf)
		fatal(t, err)
		return map[string]any{"d_s": r.Ds.Value, "d_s_ci": ends(r.Ds.CI), "j": r.J, "g_s": r.Gs.Value,
			"g_s_ci": ends(r.Gs.CI), "cliffs_delta": r.CliffsDelta.Value, "cliffs_delta_ci": ends(r.CliffsDelta.CI),
			"prob_superiority": r.Superiority, "common_language_normal": r.CommonLanguageNormal}
	},
	"jzs_bayes_factor_paired": func(t *testing.T, e referenceEntry) map[string]any {
		in := pick[struct {
			T, RScale float64
			N         int
		}](t, e.Inputs)
		r, err := BayesFactorPaired(in.T, in.N, in.RScale)
		fatal(t, err)
		return map[string]any{"bf10": r.BF10, "log_bf10": r.LogBF}
	},
	"jzs_bayes_factor_two_sample": func(t *testing.T, e referenceEntry) map[string]any {
		in := pick[struct {
			T, RScale float64
			N, N2     int
		}](t, e.Inputs)
		r, err := BayesFactorTwoSample(in.T, in.N, in.N2, in.RScale)
		fatal(t, err)
		return map[string]any{"bf10": r.BF10, "log_bf10": r.LogBF}
	},
	"p_adjust": func(t *testing.T, e referenceEntry) map[string]any {
		p := pick[struct{ P []float64 }](t, e.Data).P
		return map[string]any{"holm": list(Holm(p)), "bh": list(BenjaminiHochberg(p)), "bonferroni": list(Bonferroni(p)),
			"hochberg": list(Hochberg(p)), "hommel": list(Hommel(p)), "by": list(BenjaminiYekutieli(p))}
	},
}

func hodgesLehmannFields(r HodgesLehmannResult) map[string]any {
	return map[string]any{"estimate": r.Estimate, "n_averages": r.NAverages, "k": r.K, "ci": ends(r.CI), "achieved_conf": r.Achieved}
}

func fatal(t *testing.T, err error) {
	t.Helper()
	if err != nil {
		t.Fatal(err)
	}
}

func TestReferenceTwoSamples(t *testing.T) {
	methods := maps.Clone(twoSampleMethods)
	maps.Copy(methods, effectMethods)
	checkReference(t, methods)
}

// checkReference runs every entry of the methods and fails when a method has
// no entry.
func checkReference(t *testing.T, methods map[string]referenceMethod) {
	t.Helper()
	seen := map[string]bool{}
	for _, e := range referenceEntries(t) {
		method, ok := methods[e.Method]
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
	for name := range methods {
		if !seen[name] {
			t.Errorf("no reference entry of method %q was checked", name)
		}
	}
}

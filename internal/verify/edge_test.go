package verify

import (
	"math"
	"slices"
	"strconv"
	"testing"

	"pgregory.net/rapid"

	_ "cloche/internal/draws"
)

// edgeCases are harsh data whose answers can be worked out by hand.
const edgeCases = "testdata/edge_cases.json"

func TestEdgeCases(t *testing.T) {
	t.Parallel()
	checkFile(t, edgeCases, 100, 517)
}

// anyRating draws a rating, sometimes a missing one.
func anyRating(t *rapid.T) any {
	if rapid.IntRange(0, 11).Draw(t, "missing?") == 0 {
		return nil
	}
	return float64(rapid.IntRange(1, rapid.SampledFrom([]int{1, 2, 5, 9}).Draw(t, "scale")).Draw(t, "rating"))
}

func listOf(t *rapid.T, n int, draw func(*rapid.T) any) []any {
	out := make([]any, n)
	for i := range out {
		out[i] = draw(t)
	}
	return out
}

func newObject(pairs ...any) object {
	o := object{}
	for i := 0; i < len(pairs); i += 2 {
		o[pairs[i].(string)] = pairs[i+1]
	}
	return o
}

// harsh draws small harsh data for a method: ties, constants, gaps, nothing.
func harsh(t *rapid.T, name string) (data, inputs object) {
	n := rapid.IntRange(0, 7).Draw(t, "n")
	count := func(most int) float64 { return float64(rapid.IntRange(0, most).Draw(t, "count")) }
	name1 := func(letters string) func(*rapid.T) any {
		return func(t *rapid.T) any { return string(rapid.SampledFrom([]rune(letters)).Draw(t, "name")) }
	}
	fraction := func(t *rapid.T) any { return rapid.SampledFrom([]float64{0, 0.01, 0.04, 0.5, 1}).Draw(t, "p") }
	level := rapid.SampledFrom([]float64{0.5, 0.9, 0.95, 0.999}).Draw(t, "level")
	conf := newObject("conf", level)
	switch name {
	case "friedman", "page", "rm_anova", "icc", "cochran_q", "pca_correlation":
		k := rapid.IntRange(0, 5).Draw(t, "k")
		if name == "pca_correlation" {
			conf = newObject()
		}
		table := listOf(t, n, func(t *rapid.T) any { return listOf(t, k, anyRating) })
		if name == "cochran_q" || name == "friedman" || name == "page" {
			conf = newObject()
		}
		return newObject("values", table), conf
	case "discrimination":
		protocol := rapid.SampledFrom([]string{"triangle", "duo_trio", "two_afc", "three_afc", "tetrad"}).Draw(t,
			"protocol")
		return newObject("correct", count(12), "n", count(12)), newObject("protocol", protocol, "conf", level)
	case "a_not_a":
		return newObject("hits", count(5), "n_a", count(5), "false_alarms", count(5), "n_not_a", count(5)), conf
	case "same_different":
		return newObject("same_said_same", count(5), "n_same", count(5), "different_said_same", count(5), "n_different",
			count(5)), conf
	case "binomial_test":
		return newObject("x", count(5), "n", count(5)), newObject("p0", 0.3, "conf", level)
	case "mcnemar":
		return newObject("table", []any{[]any{count(3), count(3)}, []any{count(3), count(3)}}), conf
	case "p_adjust":
		return newObject("p", listOf(t, n, fraction)), newObject()
	case "meta_random":
		return newObject("yi", listOf(t, n, anyRating), "vi", listOf(t, n, anyRating)), conf
	case "meta_few_studies":
		return newObject("yi", listOf(t, n, anyRating), "vi", listOf(t, n, anyRating)),
			newObject("conf", level, "tau_scale", rapid.SampledFrom([]float64{0, 0.3, 5}).Draw(t, "scale"))
	case "oneway_anova":
		return newObject("value", listOf(t, n, anyRating), "group", listOf(t, n, name1("abc"))), conf
	case "twoway_anova", "rm_anova_two_way", "incomplete_blocks", "lmm", "clm", "clmm":
		n = rapid.IntRange(0, 14).Draw(t, "rows")
		data = newObject("value", listOf(t, n, anyRating), "A", listOf(t, n, name1("ab")), "B",
			listOf(t, n, name1("xyz")),
			"assessor", listOf(t, n, name1("pqr")), "block", listOf(t, n, name1("mno")), "sample", listOf(t, n,
				name1("abc")))
		formulas := map[string]string{"lmm": "value ~ A * B + (1 | assessor)", "clm": "value ~ A + B",
			"clmm": "value ~ A + (1 | assessor)"}
		if text, ok := formulas[name]; ok {
			return data, newObject("formula_r", text)
		}
		return data, newObject()
	case "crossover_2x2":
		group := func() any {
			return listOf(t, rapid.IntRange(0, 4).Draw(t, "group"),
				func(t *rapid.T) any { return listOf(t, 2, anyRating) })
		}
		return newObject("ab", group(), "ba", group()), conf
	}
	x, y := listOf(t, n, anyRating), listOf(t, n, anyRating)
	inputs = map[string]object{
		"signed_rank":         newObject("zero", rapid.SampledFrom([]string{"pratt", "wilcoxon"}).Draw(t, "zero")),
		"tost_paired":         newObject("lower", -1.0, "upper", 1.0, "alpha", 1-level),
		"calibration_fieller": newObject("y0", 2.0, "m", 1.0, "conf", level),
		"mann_whitney":        newObject(), "sign_flip_exact": newObject(),
	}[name]
	if inputs == nil {
		inputs = conf
	}
	return newObject("x", x, "y", y), inputs
}

// Whatever the data, a method breaks nothing, and what is absent comes with an
// error or a warning that says why.
func TestAbsenceHasAReason(t *testing.T) {
	t.Parallel()
	var names []string
	for _, name := range sortedKeys(methods()) {
		// These take no ratings, or what harsh data are not drawn for.
		if m := methods()[name]; !m.grid && !slices.Contains([]string{"dprime_to_pc", "pc_to_dprime", "partial_f",
			"people_differ", "blinding_index", "assimilation_ratio", "penalty", "marginal_homogeneity", "rank_worths",
			"randomisation_test", "monte_carlo_p", "friedman_exact",
			"correspondence_analysis", "cochran_q_exact", "ratio_fieller", "equivalent_dose", "psychometric_curve",
			"curve_of_people", "best_estimate_threshold", "gs_bounds", "gs_classical", "gs_exit", "gs_inference",
			"anytime_t", "anytime_betting",
			"min_correct_table", "power_binomial_exact", "jzs_bayes_factor_paired", "jzs_bayes_factor_two_sample"},
			name) {
			names = append(names, name)
		}
	}
	for _, name := range names {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			rapid.Check(t, func(t *rapid.T) {
				data, inputs := harsh(t, name)
				e := &entry{ID: "drawn", Method: name, Data: data, Inputs: inputs}
				a := methods()[name].answer(newCall(e, ""))
				if a.mistake != nil && longest(data) > 0 {
					t.Fatalf("not a sound entry: %v", a.mistake)
				}
				if a.err == nil && len(a.warnings) == 0 {
					if at := firstAbsent("", a.fields); at != "" {
						t.Errorf("%s is absent without a reason; data %v, inputs %v", at, data, inputs)
					}
				}
			})
		})
	}
}

func longest(o object) int {
	most := 0
	for _, v := range o {
		if list, ok := v.([]any); ok {
			most = max(most, len(list))
		}
	}
	return most
}

// firstAbsent returns the path of a NaN among computed values.
func firstAbsent(path string, v any) string {
	switch v := v.(type) {
	case float64:
		if math.IsNaN(v) {
			return path
		}
	case fields:
		for _, k := range sortedKeys(v) {
			if at := firstAbsent(path+"."+k, v[k]); at != "" {
				return at
			}
		}
	case rows:
		for i, row := range v.list {
			if at := firstAbsent(path+"["+strconv.Itoa(i)+"]", row); at != "" {
				return at
			}
		}
	case []any:
		for i, item := range v {
			if at := firstAbsent(path+"["+strconv.Itoa(i)+"]", item); at != "" {
				return at
			}
		}
	}
	return ""
}

package verify_test

import (
	"fmt"
	"math"
	"testing"

	"cloche/internal/design"
	"cloche/internal/stats"
	"cloche/internal/stats/anova"
	"cloche/internal/stats/choice"
	"cloche/internal/stats/dist"
	"cloche/internal/stats/effect"
	"cloche/internal/stats/profile"
	"cloche/internal/stats/ranks"
	"cloche/internal/stats/size"
	"cloche/internal/stats/ttest"
	"cloche/internal/study"
)

// value is one number of a check: computed, expected and how close.
type value struct {
	name           string
	got, want, tol float64
}

// handbook are check values of the trade: 27 groups, each with where its
// expectation comes from. "Memory" marks what was not looked up again;
// "printed" what a source prints.
var handbook = []struct {
	name, source string
	values       func(*testing.T) []value
}{
	{"1 triangle, fewest correct of 24", "exact binomial; ISO 4120 table A.1 (memory)", func(t *testing.T) []value {
		return []value{
			{"α .05", least(t, 24, 1./3, 0.05), 13, 0}, {"α .01", least(t, 24, 1./3, 0.01), 15, 0},
			{"α .001", least(t, 24, 1./3, 0.001), 16, 0},
			{"P(X≥13)", dist.BinomialSurvival(12, 24, 1./3), 0.0284411, 5e-8},
			// By exact fractions.
			{"P(X≥12)", dist.BinomialSurvival(11, 24, 1./3), 0.0676588, 5e-8},
		}
	}},
	{"2 chance one half, fewest correct at .05", "printed, equal: ISO 10399 table A.1, ISO 5495 table A.1",
		func(t *testing.T) []value {
			return []value{
				{"n 24", least(t, 24, 0.5, 0.05), 17, 0}, {"n 40", least(t, 40, 0.5, 0.05), 26, 0},
				{"n 60", least(t, 60, 0.5, 0.05), 37, 0}, {"n 88", least(t, 88, 0.5, 0.05), 53, 0},
			}
		}},
	{"3 paired comparison, 21 of 30", "ISO 5495 Amd 1 (2016), first example: pd 0.40, s 0.167, lower limit 0.125 " +
		"printed", func(t *testing.T) []value {
		r := paired(t, 21, 30)
		s := 2 * math.Sqrt(r.PC*(1-r.PC)/30)
		return []value{
			{"one-sided p", r.PDifference, 0.0213870, 5e-8}, {"pd", r.Discriminators, 0.4, 1e-12},
			{"s", s, 0.167332, 5e-7},
			{"lower limit", r.Discriminators - 1.644854*s, 0.124763, 1e-6},
		}
	}},
	{"4 paired comparison, 32 of 44", "ISO 5495 Amd 1 (2016), third example: pd 0.45, s 0.134, 0.19 to 0.71 " +
		"printed from rounded figures", func(t *testing.T) []value {
		r := paired(t, 32, 44)
		s := 2 * math.Sqrt(r.PC*(1-r.PC)/44)
		return []value{
			{"two-sided p", 2 * r.PDifference, 0.00365777, 5e-9}, {"pd", r.Discriminators, 0.454545, 5e-7},
			{"s", s, 0.134282, 1e-6},
			{"lower", r.Discriminators - 1.96*s, 0.191354, 1e-6}, {"upper", r.Discriminators + 1.96*s, 0.717737, 1e-6},
			{"exact lower Pc", r.PCCI.Lo, 0.572104, 5e-7}, {"exact upper Pc", r.PCCI.Hi, 0.850423, 5e-7},
		}
	}},
	{"5 sequential duo-trio", "GOST ISO 16820-2015 table A.1: stops printed, p₀ .5, p₁ .7, α = β = .1 inferred",
		func(t *testing.T) []value {
			d := choice.SequentialDesign{P0: 0.5, P1: 0.7, Alpha: 0.1, Beta: 0.1}
			lines, err := d.Lines()
			must(t, err)
			out := []value{{"low", lines.Low, -2.593214, 5e-7}, {"high", lines.High, 2.593214, 5e-7},
				{"slope", lines.Slope, 0.602888, 5e-7}}
			for _, c := range []struct {
				answers string
				state   choice.SequentialState
				n       float64
			}{{"WWWCWCWCWCW", choice.DecidedSimilar, 11}, {"WCWCWCWCCCCWCCCCWWCCWWWCWCCCCC", choice.Undecided,
				30}, {"CCCCWCCCWCCC", choice.DecidedDifferent, 12}} {
				var correct []bool
				for _, a := range c.answers {
					correct = append(correct, a == 'C')
				}
				r, err := choice.Sequential(correct, d)
				must(t, err)
				out = append(out, value{c.answers, float64(r.State), float64(c.state), 0},
					value{"stop of " + c.answers, float64(len(r.Steps)), c.n, 0})
			}
			return out
		}},
	{"6 paired similarity, n 132, β .05", "printed, equal: ISO 5495 table A.3", func(t *testing.T) []value {
		var out []value
		for i, pd := range []float64{0.2, 0.3, 0.4, 0.5} {
			most, _, err := choice.MaxCorrectSimilar(132, 0.5, pd, 0.05)
			must(t, err)
			out = append(out, value{fmt.Sprintf("pd %g", pd), float64(most), []float64{69, 76, 83, 90}[i], 0})
		}
		return out
	}},
	{"7 triangle, α = β = .05, pd 30 %", "ISO 4120 table A.3 (memory); stable n computed in R",
		func(t *testing.T) []value {
			r, err := size.Binomial(0.95, 0, size.BinomialDesign{P0: 1.0 / 3, P1: 1.0/3 + 0.3*2/3,
				Alternative: stats.Greater})
			must(t, err)
			return []value{
				{"first n", float64(r.First.N), 66, 0}, {"stable n", float64(r.Stable.N), 73, 0},
				{"power at 66", r.First.Power, 0.950728, 5e-7}, {"true α", r.First.Alpha, 0.0469199, 5e-8},
			}
		}},
	{"8 proportion correct at d′ = 1", "Thurstonian forms (Ennis 1993), computed in R; triangle, duo-trio and " +
		"tetrad simulated too", func(*testing.T) []value {
		var out []value
		for p, want := range map[choice.Protocol]float64{choice.Triangle: 0.4180, choice.DuoTrio: 0.5825,
			choice.TwoAFC: 0.7602, choice.ThreeAFC: 0.6337, choice.Tetrad: 0.4938} {
			out = append(out, value{p.String(), p.PC(1), want, 5e-5})
		}
		return out
	}},
	{"9 d′ from counts", "inverse of the forms above, computed in R", func(t *testing.T) []value {
		return []value{
			{"triangle 13/24", distance(t, 13, 24, choice.Triangle).DPrime, 1.68070, 1e-5},
			{"2-AFC 21/30", distance(t, 21, 30, choice.TwoAFC).DPrime, 0.741614, 1e-6},
			{"duo-trio 23/36", distance(t, 23, 36, choice.DuoTrio).DPrime, 1.35450, 1e-5},
			{"3-AFC 13/24", distance(t, 13, 24, choice.ThreeAFC).DPrime, 0.692133, 1e-6},
		}
	}},
	{"10 variance of d′ times n at d′ = 1", "delta method, computed in R", func(t *testing.T) []value {
		// At a million answers the count nearest to Pc(1) stands for it.
		const n = 1_000_000
		var out []value
		for p, want := range map[choice.Protocol]float64{choice.Triangle: 9.998, choice.DuoTrio: 11.160,
			choice.TwoAFC: 3.776, choice.ThreeAFC: 2.773} {
			r := distance(t, int(math.Round(n*p.PC(1))), n, p)
			out = append(out, value{p.String(), r.DPrimeSE * r.DPrimeSE * n, want, 6e-4})
		}
		return out
	}},
	{"11 sleep data, paired t", "R, sleep (Student 1908, Biometrika 6); g_z with J = 1 − 3/(4·9 − 1)",
		func(t *testing.T) []value {
			r, err := ttest.Paired(sleep1, sleep2, ttest.PairedOptions{})
			must(t, err)
			e, err := effect.Paired(sleep1, sleep2, 0)
			must(t, err)
			return []value{
				{"t", r.T, -4.0621, 5e-5}, {"df", r.DF, 9, 0}, {"p", r.P, 0.0028329, 5e-8},
				{"lower", r.CI.Lo, -2.45989, 5e-6},
				{"upper", r.CI.Hi, -0.70011, 5e-6}, {"d_z", e.Dz.Value, -1.28456, 5e-6},
				{"g_z", e.Dz.Value * e.JApprox, -1.17445, 5e-6},
			}
		}},
	{"12 sleep data, signed rank", "R, wilcox.test", func(t *testing.T) []value {
		r, err := ranks.SignedRank(sleep1, sleep2, ranks.SignedRankOptions{Zeros: ranks.WilcoxonZeros})
		must(t, err)
		return []value{{"V", r.WPlus, 0, 0}, {"p", r.NormalTwoSided, 0.0076324, 5e-8},
			{"p corrected", r.NormalTwoSidedCorrected, 0.0090907, 5e-8}}
	}},
	{"13 sleep data, JZS Bayes factor", "r √2/2: documentation of a general Bayes-factor package gives 17.25888 " +
		"(memory); own quadrature in R", func(t *testing.T) []value {
		r, err := ttest.Paired(sleep1, sleep2, ttest.PairedOptions{})
		must(t, err)
		a, err := ttest.BayesFactorPaired(r.T, 10, math.Sqrt2/2)
		must(t, err)
		b, err := ttest.BayesFactorPaired(r.T, 10, 1)
		must(t, err)
		return []value{{"r √2/2", a.BF10, 17.25888, 5e-6}, {"r 1", b.BF10, 18.41521, 5e-6}}
	}},
	{"14 two samples of 20, t 2.5, JZS", "own quadrature in R", func(t *testing.T) []value {
		b, err := ttest.BayesFactorTwoSample(2.5, 20, 20, math.Sqrt2/2)
		must(t, err)
		return []value{{"BF10", b.BF10, 3.33785, 5e-6}}
	}},
	{"15 rounding first base, 22 × 3", "R, example of friedman.test (Hollander & Wolfe 1973)",
		func(t *testing.T) []value {
			r, err := ranks.Friedman(baseRunning)
			must(t, err)
			return []value{
				{"χ²", r.ChiSq, 11.14286, 5e-6}, {"p", r.P, 0.003805, 5e-7}, {"rank sum 1", r.RankSums[0], 53, 0},
				{"rank sum 2", r.RankSums[1], 47, 0}, {"rank sum 3", r.RankSums[2], 32, 0}, {"W", r.W, 0.253247, 5e-7},
			}
		}},
	{"16 Friedman from rank sums 33 14 20 43, n 11", "formula without ties", func(t *testing.T) []value {
		r, err := ranks.Friedman(elevenRankings())
		must(t, err)
		return []value{{"rank sum", r.RankSums[0], 33, 0}, {"χ²", r.ChiSq, 27.76364, 5e-6}}
	}},
	{"17 potash and cotton, predicted rising", "Hollander & Wolfe 1973 (data from memory)", func(t *testing.T) []value {
		r, err := ranks.Page([][]float64{{7.46, 7.17, 7.76, 8.14, 7.63}, {7.68, 7.57, 7.73, 8.15, 8.00},
			{7.21, 7.80, 7.74, 7.87, 7.93}})
		must(t, err)
		return []value{{"L", r.L, 158, 0}, {"z", r.Z, 2.65581, 5e-6}}
	}},
	{"18 approval of the President, 86 against 150", "Agresti 1990 p. 350; R, mcnemar.test",
		func(t *testing.T) []value {
			r, err := choice.McNemar([2][2]int{{794, 150}, {86, 570}}, 0)
			must(t, err)
			return []value{
				{"χ²", r.Chi2, 17.35593, 5e-6}, {"p", r.P, 3.099e-5, 5e-9},
				{"χ² corrected", r.Chi2Corrected, 16.81780, 5e-6},
				{"exact p", r.ExactP, 3.716e-5, 5e-9},
			}
		}},
	{"19 Cochran's Q of eight rows", "hand data, computed in R", func(t *testing.T) []value {
		var rows [][]bool
		for _, s := range []string{"110", "110", "100", "010", "111", "100", "110", "000"} {
			rows = append(rows, []bool{s[0] == '1', s[1] == '1', s[2] == '1'})
		}
		r, err := choice.CochranQ(rows)
		must(t, err)
		return []value{{"Q", r.Q, 7, 1e-12}, {"df", float64(r.DF), 2, 0}, {"p", r.P, 0.0301974, 5e-8}}
	}},
	{"20 effort to rise from a stool, 9 × 4", "Pinheiro & Bates 2000, data ergoStool (written down from memory; " +
		"the means and F confirm them)", func(t *testing.T) []value {
		r, err := anova.Repeated(stool, anova.RepeatedOptions{})
		must(t, err)
		subject := math.Sqrt((r.SSAssessor/8 - r.MSError) / 4)
		hsd := dist.StudentizedRangeQuantile(0.95, 4, 24) * math.Sqrt(r.MSError/9)
		return []value{
			{"F", r.F, 22.35564, 5e-6}, {"df1", r.DF1, 3, 0}, {"df2", r.DF2, 24, 0},
			{"mean 1", r.Means[0], 8.5556, 5e-5},
			{"mean 2", r.Means[1], 12.4444, 5e-5}, {"mean 3", r.Means[2], 10.7778, 5e-5},
			{"mean 4", r.Means[3], 9.2222, 5e-5},
			{"σ subject", subject, 1.332465, 5e-7}, {"σ residual", math.Sqrt(r.MSError), 1.100295, 5e-7},
			{"HSD", hsd, 1.43085, 5e-6}, {"LSD", r.LSD, 1.07051, 5e-6},
		}
	}},
	{"21 studentized range, .95, 4 means, 24 df", "R, qtukey", func(*testing.T) []value {
		return []value{{"q", dist.StudentizedRangeQuantile(0.95, 4, 24), 3.901262, 5e-6}}
	}},
	{"22 six targets, four judges", "Shrout & Fleiss 1979 print .17 .29 .71 .44 .62 .91 (memory)",
		func(t *testing.T) []value {
			r, err := profile.IntraclassCorrelations([][]float64{{9, 2, 5, 8}, {6, 1, 3, 2}, {8, 4, 6, 8}, {7, 1, 2, 6},
				{10, 5, 6, 9}, {6, 2, 4, 7}}, 0)
			must(t, err)
			return []value{
				{"1,1", r.Single1.Value, 0.1657, 5e-5}, {"2,1", r.Single2.Value, 0.2898, 5e-5},
				{"3,1", r.Single3.Value, 0.7148, 5e-5},
				{"1,k", r.Average1.Value, 0.4428, 5e-5}, {"2,k", r.Average2.Value, 0.6201, 5e-5},
				{"3,k", r.Average3.Value, 0.9093, 5e-5},
			}
		}},
	{"23 adjusted p of .01 .04 .03 .005", "R, p.adjust", func(*testing.T) []value {
		p := []float64{0.01, 0.04, 0.03, 0.005}
		var out []value
		for i := range p {
			out = append(out, value{fmt.Sprintf("Holm %d", i), stats.Holm(p)[i], []float64{0.03, 0.06, 0.06, 0.02}[i],
				1e-15},
				value{fmt.Sprintf("BH %d", i), stats.BenjaminiHochberg(p)[i], []float64{0.02, 0.04, 0.04, 0.02}[i],
					1e-15})
		}
		return out
	}},
	{"24 people for RMSL .23, difference .1, 5 %, 90 %",
		"Hough et al. 2006 (memory): 112 by the normal formula; 113 by t, computed in R", func(t *testing.T) []value {
			r := people(t, 0.1/0.23, 0.9)
			return []value{{"normal", float64(r.NNormal), 112, 0}, {"t", float64(r.N), 113, 0}}
		}},
	{"25 people per group, d .2 .5 .8, 80 %", "Cohen 1988 tables; R", func(t *testing.T) []value {
		var out []value
		for i, d := range []float64{0.2, 0.5, 0.8} {
			r := people(t, d, 0.8)
			out = append(out, value{fmt.Sprintf("n at %g", d), float64(r.N), []float64{394, 64, 26}[i], 0},
				value{fmt.Sprintf("fraction at %g", d), r.NFractional, []float64{393.407, 63.766, 25.525}[i], 2e-3})
		}
		return out
	}},
	{"26 intervals of 21 of 30", "R, prop.test and binom.test", func(t *testing.T) []value {
		w, c := choice.WilsonInterval(21, 30, 0.95), dist.ClopperPearson(21, 30, 0.95)
		return []value{
			{"Wilson lower", w.Lo, 0.521242, 5e-7}, {"Wilson upper", w.Hi, 0.833353, 5e-7},
			{"exact lower", c.Lo, 0.506041, 5e-7}, {"exact upper", c.Hi, 0.852655, 5e-7},
		}
	}},
	{"27 Williams designs of 3 to 8 samples", "Williams 1949: n rows when even, 2n when odd; every ordered " +
		"neighbour pair once, or twice when odd", func(t *testing.T) []value {
		var out []value
		for i, rows := range []int{6, 4, 10, 6, 14, 8} {
			samples := i + 3
			lo, hi := neighbourPairs(t, samples, rows)
			want := float64(1 + samples%2)
			out = append(out, value{fmt.Sprintf("%d samples, rarest pair", samples), lo, want, 0},
				value{fmt.Sprintf("%d samples, commonest pair", samples), hi, want, 0})
		}
		return out
	}},
}

func TestHandbookValues(t *testing.T) {
	t.Parallel()
	if len(handbook) != 27 {
		t.Errorf("%d groups, want 27", len(handbook))
	}
	for _, h := range handbook {
		t.Run(h.name, func(t *testing.T) {
			if h.source == "" {
				t.Error("no source")
			}
			for _, v := range h.values(t) {
				if !(math.Abs(v.got-v.want) <= v.tol) {
					t.Errorf("%s: %v, want %v ± %v (%s)", v.name, v.got, v.want, v.tol, h.source)
				}
			}
		})
	}
}

func must(t *testing.T, err error) {
	t.Helper()
	if err != nil {
		t.Fatal(err)
	}
}

func least(t *testing.T, n int, p0, alpha float64) float64 {
	t.Helper()
	x, _, err := choice.MinCorrect(n, p0, alpha)
	must(t, err)
	return float64(x)
}

func distance(t *testing.T, correct, n int, p choice.Protocol) choice.DiscriminationResult {
	t.Helper()
	r, err := choice.Discrimination(correct, n, p, choice.DiscriminationOptions{})
	must(t, err)
	return r
}

func paired(t *testing.T, correct, n int) choice.DiscriminationResult {
	t.Helper()
	return distance(t, correct, n, choice.TwoAFC)
}

func people(t *testing.T, d, power float64) size.SampleSize {
	t.Helper()
	r, err := size.T(power, size.TDesign{Independent: true, Effect: d, Alpha: 0.05})
	must(t, err)
	return r
}

// Student (1908): hours of sleep gained under two drugs.
var (
	sleep1 = []float64{0.7, -1.6, -0.2, -1.2, -0.1, 3.4, 3.7, 0.8, 0, 2}
	sleep2 = []float64{1.9, 0.8, 1.1, 0.1, -0.1, 4.4, 5.5, 1.6, 4.6, 3.4}
)

// Hollander & Wolfe (1973), p. 140: seconds to second base by three ways of
// rounding first base.
var baseRunning = [][]float64{
	{5.40, 5.50, 5.55}, {5.85, 5.70, 5.75}, {5.20, 5.60, 5.50}, {5.55, 5.50, 5.40}, {5.90, 5.85, 5.70},
	{5.45, 5.55, 5.60},
	{5.40, 5.40, 5.35}, {5.45, 5.50, 5.35}, {5.25, 5.15, 5.00}, {5.85, 5.80, 5.70}, {5.25, 5.20, 5.10},
	{5.65, 5.55, 5.45},
	{5.60, 5.35, 5.45}, {5.05, 5.00, 4.95}, {5.50, 5.50, 5.40}, {5.45, 5.55, 5.50}, {5.55, 5.55, 5.35},
	{5.45, 5.50, 5.55},
	{5.50, 5.45, 5.25}, {5.65, 5.60, 5.40}, {5.70, 5.65, 5.55}, {6.30, 6.30, 6.25},
}

// elevenRankings are rankings of four samples with rank sums 33, 14, 20, 43.
func elevenRankings() [][]float64 {
	rows := [][]float64{{4, 1, 2, 3}, {2, 1, 3, 4}}
	for i := range 9 {
		if i < 3 {
			rows = append(rows, []float64{3, 2, 1, 4})
			continue
		}
		rows = append(rows, []float64{3, 1, 2, 4})
	}
	return rows
}

// Wretenberg, Arborelius & Lindberg (1993), in Pinheiro & Bates (2000): effort
// (Borg scale) of nine people to rise from four kinds of stool.
var stool = [][]float64{
	{12, 15, 12, 10}, {10, 14, 13, 12}, {7, 14, 13, 9}, {7, 11, 10, 9}, {8, 11, 8, 7},
	{9, 11, 11, 10}, {8, 12, 12, 11}, {7, 11, 8, 7}, {9, 13, 10, 8},
}

// neighbourPairs draws a plan for as many assessors as a Williams design has
// rows and returns how often the rarest and the commonest ordered pair of
// samples follow each other.
func neighbourPairs(t *testing.T, samples, rows int) (lo, hi float64) {
	t.Helper()
	s := &study.Study{Question: study.Rating, Panel: study.Panel{Assessors: rows, Sittings: 1},
		Serving: study.Serving{Design: study.All, Replicates: 1, Codes: study.CodePerSample}}
	for i := range samples {
		dish := study.DishID(fmt.Sprintf("dish%d", i))
		s.Dishes = append(s.Dishes, study.Dish{ID: dish, Allergens: []study.Allergen{}})
		s.Samples = append(s.Samples, study.Sample{ID: study.SampleID(fmt.Sprintf("s%d", i)), Dish: dish})
	}
	plan, err := design.Draw(s, design.Options{Seed: 1})
	must(t, err)
	follows := make([]float64, samples*samples)
	for i := range rows {
		served := plan.Assessor(i)
		for j := 1; j < len(served); j++ {
			follows[int(served[j-1].Sample)*samples+int(served[j].Sample)]++
		}
	}
	lo, hi = math.Inf(1), 0
	for k, n := range follows {
		if k%(samples+1) != 0 { // not the pair of a sample with itself
			lo, hi = math.Min(lo, n), math.Max(hi, n)
		}
	}
	return lo, hi
}

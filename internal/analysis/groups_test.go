package analysis_test

import (
	"encoding/json"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"cloche/internal/analysis"
	"cloche/internal/method"
	"cloche/internal/simulated"
	"cloche/internal/study"
)

// oneEach is a study that gives one sample of two to each assessor.
func oneEach(test study.Test) *study.Study {
	s := panelOf(2)
	s.Attributes[0].Scale = study.Scale{Kind: study.Line, Low: "not", High: "very", From: -1000, To: 2000}
	s.Serving.Design, s.Plan.Test = study.One, test
	return s
}

// inGroups are ratings of people who got A and of others who got B.
func inGroups(a, b []float64) []analysis.Rating {
	var all []analysis.Rating
	for k, group := range [2][]float64{a, b} {
		for i, v := range group {
			all = append(all, analysis.Rating{Assessor: fmt.Sprint(1000*k + i + 1), Position: 1,
				Sample: study.SampleID(rune('A' + k)), Attribute: "salt", Value: v})
		}
	}
	return all
}

type groupsReference struct {
	ID, Method string
	Data       struct{ X, Y []float64 }
	Expected   struct {
		Welch struct {
			T, DF, P float64
			CI       [2]float64
		}
		U             float64
		ExactP        float64 `json:"exact_p_two_sided"`
		Estimate      float64
		CI            [2]float64
		Gs            float64    `json:"g_s"`
		GsCI          [2]float64 `json:"g_s_ci"`
		Superiority   float64    `json:"prob_superiority"`
		CliffsDeltaCI [2]float64 `json:"cliffs_delta_ci"`
	}
	Inputs struct{ Conf float64 }
}

// A finding on two groups has the numbers of testdata/reference (t.test, wilcox.test and
// exact counts in R 4.2 on published data; each entry names its source).
func TestGroupsEqualTheReference(t *testing.T) {
	text, err := os.ReadFile("../../testdata/reference/reference.json")
	if err != nil {
		t.Fatal(err)
	}
	var file struct{ Entries []json.RawMessage }
	if err := json.Unmarshal(text, &file); err != nil {
		t.Fatal(err)
	}
	compared := map[string]int{}
	for _, raw := range file.Entries {
		var e groupsReference
		if json.Unmarshal(raw, &e) != nil {
			continue
		}
		test := study.WelchT
		if e.Method == "mann_whitney" || e.Method == "hodges_lehmann_two_sample" {
			test = study.RankSum
		}
		s := oneEach(test)
		if e.Inputs.Conf > 0 {
			s.Plan.Alpha = 1 - e.Inputs.Conf
		}
		var pairs [][2]float64
		x := e.Expected
		switch e.Method {
		case "two_sample_t", "mann_whitney", "hodges_lehmann_two_sample", "effect_sizes_two_sample":
		default:
			continue
		}
		f := analyse(t, s, inGroups(e.Data.X, e.Data.Y)).Findings[0]
		switch e.Method {
		case "two_sample_t":
			pairs = [][2]float64{{f.Test.Statistic, x.Welch.T}, {f.Test.DF, x.Welch.DF}, {f.Test.P, x.Welch.P},
				{f.CI.Lo, x.Welch.CI[0]}, {f.CI.Hi, x.Welch.CI[1]}}
		case "mann_whitney":
			pairs = [][2]float64{{f.Test.Statistic, x.U}, {f.Test.P, x.ExactP}}
		case "hodges_lehmann_two_sample":
			pairs = [][2]float64{{f.Value, x.Estimate}, {f.CI.Lo, x.CI[0]}, {f.CI.Hi, x.CI[1]}}
		default:
			g := f.Effects[0]
			pairs = [][2]float64{{g.Value, x.Gs}, {g.CI.Lo, x.GsCI[0]}, {g.CI.Hi, x.GsCI[1]},
				{f.Groups.Above.Value, x.Superiority}, {f.Groups.Above.CI.Lo, (1 + x.CliffsDeltaCI[0]) / 2},
				{f.Groups.Above.CI.Hi, (1 + x.CliffsDeltaCI[1]) / 2}}
		}
		compared[e.Method]++
		for i, p := range pairs {
			if !near(p[0], p[1], 1e-8, 1e-12) {
				t.Errorf("%s, number %d: got %.15g, want %.15g", e.ID, i, p[0], p[1])
			}
		}
	}
	if compared["two_sample_t"] < 5 || compared["mann_whitney"] < 6 || compared["hodges_lehmann_two_sample"] < 3 ||
		compared["effect_sizes_two_sample"] < 4 {
		t.Errorf("compared only %v", compared)
	}
}

// stratifiedStudy keeps the groups even within regular and new guests of two rooms.
func stratifiedStudy() *study.Study {
	s := oneEach(study.WelchT)
	s.Serving.Strata = []study.Stratum{{ID: "guest", Levels: []string{"regular", "new"}},
		{ID: "room", Levels: []string{"front", "back"}}}
	return s
}

func stratifiedRatings(n int, seed uint64) []analysis.Rating {
	random := rand.New(rand.NewPCG(seed, 4))
	var all []analysis.Rating
	for i := range n {
		h := random.IntN(4)
		x := random.IntN(2)
		all = append(all, analysis.Rating{Assessor: fmt.Sprint(i + 1), Position: 1,
			Sample:    study.SampleID(rune('A' + x)),
			Attribute: "salt", Value: 50 + 8*float64(h) - 3*float64(x) + 10*random.NormFloat64(),
			Stratum: []string{"regular, front", "regular, back", "new, front", "new, back"}[h]})
	}
	return all
}

// Within strata, and beside it without them, against lm(), t.test and wilcox.test of R.
func TestGroupsAgainstR(t *testing.T) {
	ratings := stratifiedRatings(45, 11)
	var b strings.Builder
	b.WriteString("sample,stratum,value\n")
	for _, r := range ratings {
		fmt.Fprintf(&b, "%s,\"%s\",%.17g\n", r.Sample, r.Stratum, r.Value)
	}
	want := inR(t, `d$sample <- relevel(factor(d$sample), "B"); m <- lm(value ~ sample + stratum, d)
x <- d$value[d$sample == "A"]; y <- d$value[d$sample == "B"]; w <- t.test(x, y); u <- wilcox.test(x, y, conf.int = `+
		`TRUE, exact = TRUE)
say(coef(summary(m))["sampleA", ], confint(m)["sampleA", ], m$df.residual, confint(m, level = 0.9)["sampleA", ])
say(w$statistic, w$parameter, w$p.value, u$p.value)
say(u$statistic, u$p.value, u$estimate, u$conf.int)`, b.String())
	s := stratifiedStudy()
	s.Plan.SmallestEffect = 5
	f := analyse(t, s, ratings).Findings[0]
	if f.Test.Method != method.StratifiedT || f.Groups.Strata != 4 || f.Kind != analysis.KindGroups {
		t.Fatalf("%+v within %d strata", f.Test, f.Groups.Strata)
	}
	se := f.Value / f.Test.Statistic
	got := []float64{f.Value, se, f.Test.Statistic, f.Test.P, f.CI.Lo, f.CI.Hi, f.Test.DF, f.EquivalenceCI.Lo,
		f.EquivalenceCI.Hi,
		f.Also[1].Statistic, f.Also[1].DF, f.Also[1].P, f.Also[2].P}
	s.Plan.Test, s.Serving.Strata = study.RankSum, nil
	f = analyse(t, s, ratings).Findings[0]
	agree(t, "groups", append(got, f.Test.Statistic, f.Test.P, f.Value, f.CI.Lo, f.CI.Hi), want)
}

// Changing the samples over turns every number round, and the order of rows is without
// effect. What a finding says follows from the two groups alone.
func TestGroupsSwap(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		test := rapid.SampledFrom([]study.Test{study.WelchT, study.RankSum}).Draw(t, "test")
		s := oneEach(test)
		s.Plan.SmallestEffect = float64(rapid.IntRange(0, 6).Draw(t, "smallest effect"))
		whole := rapid.Map(rapid.IntRange(0, 12), func(v int) float64 { return float64(v) })
		a := rapid.SliceOfN(whole, 1, 12).Draw(t, "a")
		b := rapid.SliceOfN(whole, 1, 12).Draw(t, "b")
		f, g := mustAnalyse(t, s, inGroups(a, b)).Findings[0], mustAnalyse(t, s, inGroups(b, a)).Findings[0]
		for _, x := range [][2]float64{{f.Value, -g.Value}, {f.CI.Lo, -g.CI.Hi}, {f.Test.P, g.Test.P},
			{f.Groups.Above.Value, 1 - g.Groups.Above.Value}} {
			if !sameOrBothNaN(x[0], x[1]) {
				t.Errorf("%v turned round is %v", x[0], x[1])
			}
		}
		if f.Verdict.Code != g.Verdict.Code || f.Verdict.Direction != -g.Verdict.Direction ||
			f.Verdict.Next != g.Verdict.Next {
			t.Errorf("verdict %+v turned round is %+v", f.Verdict, g.Verdict)
		}
		if few := min(len(a), len(b)) < 4; few != (f.Verdict.Code == analysis.TooFew) ||
			few != hasWarning(f.Warnings, analysis.WarnFewPairs) {
			t.Errorf("groups of %d and %d: %s", len(a), len(b), f.Verdict.Code)
		}
		if f.N != len(a)+len(b) || f.Groups.Ns != [2]int{len(a), len(b)} {
			t.Errorf("%d people in %v", f.N, f.Groups.Ns)
		}
	})
}

func TestGroupsLeaveOutWhoIsInBoth(t *testing.T) {
	ratings := inGroups([]float64{1, 2, 3, 4, 5}, []float64{4, 5, 6, 7, 8})
	ratings = append(ratings, analysis.Rating{Assessor: "1", Position: 2, Sample: "B", Attribute: "salt", Value: 9})
	r := analyse(t, oneEach(study.WelchT), ratings)
	f := r.Findings[0]
	want := analysis.Exclusion{Reason: analysis.ReasonBoth, Count: 1}
	if f.Groups.Ns != [2]int{4, 5} || len(f.Excluded) != 1 || f.Excluded[0] != want || len(r.Excluded) != 1 {
		t.Errorf("groups of %v, left out %v", f.Groups.Ns, f.Excluded)
	}
}

// Each way in which groups are told to be other than planned.
func TestGroupsRemarks(t *testing.T) {
	bare := stratifiedRatings(30, 2)
	for i := range bare {
		bare[i].Stratum = ""
	}
	apart := inGroups([]float64{1, 2, 3, 4, 5}, []float64{4, 5, 6, 7, 8})
	for i := range apart {
		apart[i].Stratum = string(apart[i].Sample)
	}
	flat := inGroups([]float64{5, 5, 5, 5}, []float64{7, 7, 7, 7})
	for _, tc := range []struct {
		name, code string
		s          *study.Study
		ratings    []analysis.Rating
		test       method.ID
	}{
		{"strata not known", analysis.WarnStrataOpen, stratifiedStudy(), bare, method.WelchT},
		{"strata apart", analysis.WarnStrataApart, stratifiedStudy(), apart, method.WelchT},
		{"no scatter", analysis.WarnRanksInstead, oneEach(study.WelchT), flat, method.RankSum},
	} {
		f := analyse(t, tc.s, tc.ratings).Findings[0]
		if !hasWarning(f.Warnings, tc.code) || f.Test.Method != tc.test {
			t.Errorf("%s: %v by %s", tc.name, f.Warnings, f.Test.Method)
		}
	}
}

// The people that are asked for find the smallest effect as often as is said, and panels
// sized for it do: between groups, by the test that is planned.
func TestGroupsAreFoundAsOftenAsSized(t *testing.T) {
	z := findSize(t, analysis.Sizing{Test: "welch-t", Difference: 8, Spread: analysis.GivenSpread(10)})
	n, want := z.Needed.Comparisons, z.Needed.Power
	studies := simulated.Analyses(10_000)
	random := rand.New(rand.NewPCG(1947, 1))
	found, more := 0, 0
	for range studies {
		a, b := make([]float64, n), make([]float64, n)
		for i := range a {
			a[i], b[i] = 8+10*random.NormFloat64(), 10*random.NormFloat64()
		}
		s := oneEach(study.WelchT)
		f := analyse(t, s, inGroups(a, b)).Findings[0]
		if f.Test.P < s.Plan.Alpha {
			found++
		}
		if f.CI.Lo <= 8 && f.CI.Hi >= 8 {
			more++
		}
	}
	if share := float64(found) / float64(studies); math.Abs(share-want) > simulated.Margin(want, studies)+0.005 {
		t.Errorf("%d in each group find it in %.3f of studies, sized for %.3f", n, share, want)
	}
	if share := float64(more) / float64(studies); math.Abs(share-0.95) > simulated.Margin(0.95, studies) {
		t.Errorf("intervals cover the difference in %.3f of studies", share)
	}
}

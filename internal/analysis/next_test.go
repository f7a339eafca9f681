package analysis_test

import (
	"math"
	"strings"
	"testing"

	"gonum.org/v1/gonum/stat/distuv"
	"pgregory.net/rapid"

	"cloche/internal/analysis"
	"cloche/internal/stats"
	"cloche/internal/stats/dist"
	"cloche/internal/stats/size"
	"cloche/internal/study"
)

// What to do next follows from the verdict and the numbers that stand with it.
func TestNextFollowsFromTheVerdict(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s, a, b := drawPlan(t)
		f := mustAnalyse(t, s, paired(a, b)).Findings[0]
		v, n := f.Verdict, f.Verdict.Next
		var want analysis.NextCode
		switch {
		case v.Code == analysis.TooFew:
			if want = analysis.NextRepeat; n.More != analysis.Fewest(s.Plan.Alpha)-f.N || n.Chance != 0 {
				t.Errorf("%d people: %+v", f.N, n)
			}
		case v.Sameness:
			checkSameness(t, s, f)
			return
		case v.Code == analysis.Alike, v.Code == analysis.DifferentSmall:
			want = analysis.NextRest
		case v.Against, v.Code == analysis.Open && v.Margin == 0:
			want = analysis.NextRepeat
		case v.Code == analysis.DifferentAct, v.Margin == 0:
			want = analysis.NextChange
		default:
			checkMore(t, s, f)
			return
		}
		if n.Code != want {
			t.Errorf("%s, against %t, margin %g: %s, want %s", v.Code, v.Against, v.Margin, n.Code, want)
		}
	})
}

// checkMore holds the people to add against what they are to reach, and one fewer.
func checkMore(t *rapid.T, s *study.Study, f analysis.Finding) {
	v, n := f.Verdict, f.Verdict.Next
	half := (f.CI.Hi - f.CI.Lo) / 2
	sd := half / dist.TQuantile((1+f.CI.Level)/2, float64(f.N-1)) * math.Sqrt(float64(f.N))
	if v.Code == analysis.DifferentSizeOpen && half <= v.Margin/2 {
		want := analysis.NextRest
		if math.Abs(f.Value) >= v.Margin {
			want = analysis.NextChange
		}
		if n.Code != want || n.More != 0 {
			t.Errorf("half width %g, margin %g, difference %g: %+v", half, v.Margin, f.Value, n)
		}
		return
	}
	if math.IsNaN(sd) || sd == 0 {
		return
	}
	if rest := n.More > 10*f.N; rest != (n.Code == analysis.NextRest) || !rest && n.Code != analysis.NextRepeat ||
		n.Chance != 0.8 {
		t.Errorf("%d people more than %d: %+v", n.More, f.N, n)
	}
	chance := func(people int) float64 {
		return min(chanceToFind(s, v.Margin/sd, people), chanceOnAverage(s, v.Margin/sd, f.N, people))
	}
	if v.Code == analysis.DifferentSizeOpen {
		chance = func(people int) float64 { return chanceToNarrow(f.CI.Level, sd, v.Margin/2, people) }
	}
	if n.More < 6 {
		t.Errorf("%d more people are asked for", n.More)
	}
	if reached, before := chance(f.N+n.More), chance(f.N+n.More-1); reached < 0.77 || n.More > 6 && before > 0.83 {
		t.Errorf("%s: %d more people reach a chance of %.3f, one fewer %.3f", v.Code, n.More, reached, before)
	}
}

// checkSameness holds what follows where the plan asks whether the two are the same.
func checkSameness(t *rapid.T, s *study.Study, f analysis.Finding) {
	v, n := f.Verdict, f.Verdict.Next
	switch {
	case v.Code == analysis.Alike:
		if n.Code != analysis.NextChange {
			t.Errorf("the same: %+v", n)
		}
	case math.Abs(f.Value) >= v.Margin:
		if n.Code != analysis.NextRest || n.More != 0 {
			t.Errorf("difference %g, margin %g: %+v", f.Value, v.Margin, n)
		}
	case n.More > 0:
		half := (f.CI.Hi - f.CI.Lo) / 2
		sd := half / dist.TQuantile((1+f.CI.Level)/2, float64(f.N-1)) * math.Sqrt(float64(f.N))
		d := size.EquivalenceDesign{Lower: -v.Margin / sd, Upper: v.Margin / sd, Difference: f.Value / sd,
			Alpha: s.Plan.Alpha}
		p, err := size.PowerTOST(f.N+n.More, d)
		before, err2 := size.PowerTOST(f.N+n.More-1, d)
		if err != nil || err2 != nil || p < 0.8-1e-9 || n.More > 6 && before >= 0.8 {
			t.Errorf("%d people more than %d have power %g, one fewer %g", n.More, f.N, p, before)
		}
	}
}

func chanceToFind(s *study.Study, effect float64, people int) float64 {
	side := map[study.Sides]stats.Alternative{study.Greater: stats.Greater, study.Less: stats.Greater}[s.Plan.Sides]
	p, err := size.PowerT(max(2, people), size.TDesign{Effect: effect, Alpha: s.Plan.Alpha, Alternative: side})
	if err != nil {
		return math.NaN()
	}
	return p.Power
}

// chanceOnAverage is the power that n people's spread is a guess for, averaged over what it may
// stand for: over the quantiles of (n−1)s²/σ², which is chi-squared.
func chanceOnAverage(s *study.Study, effect float64, n, people int) float64 {
	const parts = 2000
	tail := s.Plan.Alpha
	if s.Plan.Sides == study.TwoSided {
		tail /= 2
	}
	least, df, sum := dist.TQuantile(1-tail, float64(people-1)), float64(n-1), 0.0
	for i := range parts {
		of := distuv.ChiSquared{K: df}.Quantile((float64(i) + 0.5) / parts)
		sum += dist.NormalCDF(math.Sqrt(float64(people)*of/df)*effect - least)
	}
	return sum / parts
}

// chanceToNarrow is exact: (n−1)s²/σ² is chi-squared with n−1 degrees of freedom.
func chanceToNarrow(level, sd, half float64, people int) float64 {
	df := float64(people - 1)
	most := half * math.Sqrt(float64(people)) / dist.TQuantile((1+level)/2, df)
	return distuv.ChiSquared{K: df}.CDF(df * most * most / (sd * sd))
}

func TestSecondaryFindingsChangeNothing(t *testing.T) {
	s := panelOf(3)
	var ratings []analysis.Rating
	for i := range 12 {
		for k, x := range s.Samples {
			ratings = append(ratings, analysis.Rating{Assessor: string(rune('a' + i)), Position: 1 + (i+k)%3,
				Sample: x.ID, Attribute: "salt", Value: float64(1 + 3*k + i%2*(1-k%2))})
		}
	}
	for _, f := range analyse(t, s, ratings).Findings {
		if f.Role == analysis.Primary || f.Kind != analysis.KindPair {
			continue
		}
		if got := f.Verdict.Next.Code; f.Verdict.Different() && got != analysis.NextRepeat || !f.Verdict.Different() &&
			got != analysis.NextRest {
			t.Errorf("%v %s: %s", f.Comparison, f.Verdict.Code, got)
		}
	}
}

func TestReadTurns(t *testing.T) {
	for _, tc := range []struct {
		name, text string
		turn       int
		problem    string
	}{
		{"a turn", "assessor,turn,position,code,dish,name,attribute,value\n1,3,1,553,custard,brulee,saltiness,62.5\n",
			3, ""},
		{"an empty turn", "assessor,turn,position,code,dish,name,attribute,value\n1,,1,553,custard,brulee,saltiness," +
			"62.5\n", 0, ""},
		{"neither turn nor code", "assessor,position,dish,name,attribute,value\n1,1,custard,brulee,saltiness,62.5\n", 0,
			""},
		{"no number", "assessor,turn,position,code,dish,name,attribute,value\n1,first,1,553,custard,brulee,saltiness," +
			"62.5\n", 0, `r.csv:2:3: "first" is not a turn`},
		{"turn 0", "assessor,turn,position,code,dish,name,attribute,value\n1,0,1,553,custard,brulee,saltiness,62.5\n",
			0, `r.csv:2:3: "0" is not a turn`},
	} {
		t.Run(tc.name, func(t *testing.T) {
			got, problems := readString(t, tc.text, false)
			if tc.problem != "" {
				if len(problems) != 1 || !strings.HasPrefix(problems[0].Error(), tc.problem) {
					t.Errorf("got %v, want %s", problems, tc.problem)
				}
				return
			}
			if len(problems) > 0 || len(got) != 1 || got[0].Turn != tc.turn {
				t.Errorf("got %+v, %v; want turn %d", got, problems, tc.turn)
			}
		})
	}
}

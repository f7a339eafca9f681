package analysis_test

import (
	"encoding/json"
	"os"
	"strconv"
	"testing"

	"cloche/internal/analysis"
	"cloche/internal/method"
	"cloche/internal/study"
)

func TestSleepData(t *testing.T) {
	s := parseStudy(t, sleepFile)
	f := analyse(t, s, readRatings(t, sleepRatings, s)).Findings[0]
	for _, tc := range []struct {
		name      string
		got, want float64
		abs       float64
		source    string
	}{
		{"t", f.Test.Statistic, -4.0621, 5e-5, "R datasets::sleep, t.test(paired = TRUE), as printed; Student (1908)"},
		{"df", f.Test.DF, 9, 0, "same"},
		{"p", f.Test.P, 0.002833, 5e-7, "same"},
		{"difference", f.Value, -1.58, 1e-12, "same; Student (1908) p. 21 gives 1.58"},
		{"lower end", f.CI.Lo, -2.4598858, 5e-8, "R 4.2, t.test(paired = TRUE)$conf.int"},
		{"upper end", f.CI.Hi, -0.7001142, 5e-8, "same"},
		{"d_z", f.Effects[0].Value, -1.284558, 5e-7, "t/√10 by hand from R's t"},
		{"signed-rank p, zero ranked and left out", f.Also[0].P, 2.0 / 512, 1e-15,
			"all 9 non-zero differences negative: 2/2⁹, Pratt (1959)"},
		{"sign test p", f.Also[1].P, 2.0 / 512, 1e-15, "9 of 9: 2·(1/2)⁹"},
	} {
		t.Run(tc.name, func(t *testing.T) {
			if tc.source == "" {
				t.Fatal("no source")
			}
			if !near(tc.got, tc.want, 0, tc.abs) {
				t.Errorf("got %.8g, want %.8g (%s)", tc.got, tc.want, tc.source)
			}
		})
	}
	if want := (analysis.Moved{Up: 0, Down: 9, Same: 1}); f.Pair.Moved != want {
		t.Errorf("moved %+v, want %+v", f.Pair.Moved, want)
	}
}

type crossoverEntry struct {
	ID       string
	Method   string
	Source   string
	Data     struct{ AB, BA [][2]float64 }
	Expected map[string]json.RawMessage
}

type crossoverExpected struct {
	Estimate, T, DF, P float64
	CI                 [2]float64
}

// The entries are in testdata/reference/reference.json with their sources: the
// data of Hills & Armitage (1979) and an invented panel, computed in R.
func TestCrossoverReference(t *testing.T) {
	text, err := os.ReadFile("../../testdata/reference/reference.json")
	if err != nil {
		t.Fatal(err)
	}
	var file struct{ Entries []json.RawMessage }
	if err := json.Unmarshal(text, &file); err != nil {
		t.Fatal(err)
	}
	seen := 0
	for _, raw := range file.Entries {
		var head struct{ Method string }
		if err := json.Unmarshal(raw, &head); err != nil {
			t.Fatal(err)
		}
		if head.Method != "crossover_2x2" {
			continue
		}
		var e crossoverEntry
		if err := json.Unmarshal(raw, &e); err != nil {
			t.Fatal(err)
		}
		seen++
		t.Run(e.ID, func(t *testing.T) { checkCrossover(t, e) })
	}
	if seen < 2 {
		t.Fatalf("found %d crossover entries, want at least 2", seen)
	}
}

func checkCrossover(t *testing.T, e crossoverEntry) {
	s := panelOf(2)
	s.Attributes[0].Scale = study.Scale{Kind: study.Line, Low: "none", High: "all", From: -1000, To: 1000}
	var ratings []analysis.Rating
	add := func(rows [][2]float64, first, second study.SampleID) {
		for _, row := range rows {
			who := strconv.Itoa(len(ratings))
			ratings = append(ratings,
				analysis.Rating{Assessor: who, Position: 1, Sample: first, Attribute: "salt", Value: row[0]},
				analysis.Rating{Assessor: who, Position: 2, Sample: second, Attribute: "salt", Value: row[1]})
		}
	}
	add(e.Data.AB, "A", "B")
	add(e.Data.BA, "B", "A")
	f := analyse(t, s, ratings).Findings[0]
	for check, field := range map[method.ID]string{
		method.PeriodAdjusted: "treatment_a_minus_b",
		method.Period:         "period_1_minus_2",
		method.CarryOver:      "carryover_sum_ab_minus_ba",
	} {
		var want crossoverExpected
		if err := json.Unmarshal(e.Expected[field], &want); err != nil {
			t.Fatal(err)
		}
		got, ok := checkOf(f, check)
		if !ok {
			t.Fatalf("no check %s", check)
		}
		for _, v := range [][2]float64{{got.Estimate, want.Estimate}, {got.Statistic, want.T}, {got.DF, want.DF},
			{got.P, want.P}, {got.CI.Lo, want.CI[0]}, {got.CI.Hi, want.CI[1]}} {
			if !near(v[0], v[1], 1e-8, 1e-12) {
				t.Errorf("%s: got %.15g, want %.15g (%s)", check, v[0], v[1], e.Source)
			}
		}
	}
}

// orchard is R's datasets::OrchardSprays (Finney 1947): rows are assessors
// here, columns positions, sprays samples.
var orchard = struct {
	sprays [8]string
	values [8][8]float64
}{
	[8]string{"DCFHEABG", "EBHADCGF", "BHAEGFCD", "HDECAGFB", "GEDFCBAH", "FACGBDHE", "CFGBHEDA", "AGBDFHEC"},
	[8][8]float64{
		{57, 84, 87, 130, 43, 12, 8, 80}, {95, 6, 72, 4, 28, 29, 72, 114},
		{8, 127, 5, 114, 60, 44, 13, 39}, {69, 36, 39, 9, 5, 77, 57, 14},
		{92, 51, 22, 20, 17, 4, 4, 86}, {90, 2, 16, 24, 7, 27, 81, 55},
		{15, 69, 72, 10, 81, 47, 20, 3}, {2, 71, 4, 51, 71, 76, 61, 19},
	},
}

func TestPositionReference(t *testing.T) {
	for _, tc := range []struct {
		name        string
		dropped     int // of the first column, from the top
		f, p        float64
		df1, df2    float64
		source      string
		assessorsIn int
	}{
		{"Latin square", 0, 1.05304813837218, 0.410037174499237, 7, 42,
			"R 4.2.2, anova(lm(decrease ~ factor(rowpos) + treatment + factor(colpos), OrchardSprays)), last row", 8},
		{"five cells missing", 5, 0.903053027331979, 0.514585387693204, 7, 37,
			"R 4.2.2, anova of the model without and with factor(colpos) on OrchardSprays[-(1:5), ]", 8},
	} {
		t.Run(tc.name, func(t *testing.T) {
			s := panelOf(8)
			s.Attributes[0].Scale = study.Scale{Kind: study.Line, From: 0, To: 200}
			var ratings []analysis.Rating
			for i, row := range orchard.values {
				for j, v := range row {
					if j == 0 && i < tc.dropped {
						continue
					}
					ratings = append(ratings, analysis.Rating{Assessor: strconv.Itoa(i), Position: j + 1,
						Sample: study.SampleID(orchard.sprays[i][j : j+1]), Attribute: "salt", Value: v})
				}
			}
			check, ok := checkOf(analyse(t, s, ratings).Findings[0], method.Position)
			if !ok {
				t.Fatal("no check of position")
			}
			for _, v := range [][2]float64{{check.Statistic, tc.f}, {check.P, tc.p}, {check.DF, tc.df1},
				{check.DF2, tc.df2}} {
				if !near(v[0], v[1], 1e-10, 0) {
					t.Errorf("got %.15g, want %.15g (%s)", v[0], v[1], tc.source)
				}
			}
		})
	}
}

// With two samples the additive model of position is the crossover: F = t².
func TestPositionOfTwoIsPeriodSquared(t *testing.T) {
	s, _, ratings := custard(t, 3)
	two := analyse(t, s, ratings).Findings[0]
	third := *s
	third.Samples = append(third.Samples[:2:2], study.Sample{ID: "C", Dish: "custard"})
	three := analyse(t, &third, ratings).Findings[0]
	period, _ := checkOf(two, method.Period)
	position, ok := checkOf(three, method.Position)
	if !ok || !near(position.Statistic, period.Statistic*period.Statistic, 1e-9, 0) {
		t.Errorf("F = %g, t² = %g", position.Statistic, period.Statistic*period.Statistic)
	}
}

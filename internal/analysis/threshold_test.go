package analysis_test

import (
	"bytes"
	"flag"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"reflect"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"cloche/internal/analysis"
	"cloche/internal/analysis/analysistest"
	"cloche/internal/design"
	"cloche/internal/simulated"
	"cloche/internal/stats/choice"
	"cloche/internal/stats/dose"
	"cloche/internal/study"
)

const (
	smokeFile    = "../../studies/little-smoke.yaml"
	smokeAnswers = "../../studies/little-smoke-ratings.csv"
)

var writeSmoke = flag.Bool("write-smoke", false, "write the invented answers of studies/little-smoke.yaml anew")

// smokeSeed is the first from 1 with which both intervals hold the truth and somebody misses
// the largest amount.
const smokeSeed = 1

// smokeTruth is what holds in the invented panel: half of the people taste it from 0.8 g on.
var smokeTruth = analysis.TrueThreshold{Middle: 0.8, Spread: 0.25, Slope: 12}

func smokeStudy(t testing.TB) (*study.Study, *design.Plan) {
	t.Helper()
	s := parseStudy(t, smokeFile)
	plan, err := design.Draw(s, design.Options{Seed: s.Serving.Seed})
	if err != nil {
		t.Fatal(err)
	}
	return s, plan
}

func thresholdOf(t testing.TB, s *study.Study, answers []analysis.Rating) analysis.Finding {
	t.Helper()
	r, err := analysis.Analyse(s, answers, analysis.Options{})
	if err != nil {
		t.Fatal(err)
	}
	if len(r.Findings) != 1 || r.Findings[0].Kind != analysis.KindThreshold {
		t.Fatalf("findings %+v", r.Findings)
	}
	return r.Findings[0]
}

// The invented answers are those of the truth that the study file states, and what is found
// holds it.
func TestSmokeFindsItsTruth(t *testing.T) {
	s, plan := smokeStudy(t)
	answers := analysis.SimulateThreshold(s, plan, smokeTruth, smokeSeed)
	if *writeSmoke {
		var b bytes.Buffer
		if err := analysistest.WriteCSV(&b, s, answers); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(smokeAnswers, b.Bytes(), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	f := thresholdOf(t, s, readRatings(t, smokeAnswers, s))
	if again := thresholdOf(t, s, answers); !reflect.DeepEqual(again.Threshold, f.Threshold) {
		t.Error("the file holds other answers than the truth gives")
	}
	if !f.Verdict.Different() || !f.Threshold.Inside || !f.Threshold.CurveInside {
		t.Errorf("%s, %v", f.Verdict.Code, f.Warnings)
	}
	if ci := f.Threshold.Curve.CI; !(ci.Lo < 0.8 && 0.8 < ci.Hi) {
		t.Errorf("by the curve %v (%v), in truth 0.8", f.Threshold.Curve.Value, ci)
	}
	// guesses pull best estimates down by up to half a step, and a step is a factor of two
	if !(f.Value > 0.8/2 && f.Value < 0.8*math.Sqrt2) {
		t.Errorf("best estimates %v, in truth 0.8", f.Value)
	}
}

// TestThresholdIsTheReferencedOne: what the analysis says is what the functions of packages
// dose and choice say, which stand against reference values; who left out a tray has no
// threshold and counts in the curve; the order of rows is without effect.
func TestThresholdIsTheReferencedOne(t *testing.T) {
	s, plan := smokeStudy(t)
	rapid.Check(t, func(rt *rapid.T) {
		seed := rapid.Uint64().Draw(rt, "seed")
		random := rand.New(rand.NewPCG(seed, 5))
		truth := smokeTruth
		if rapid.Bool().Draw(rt, "nobody tastes it") {
			truth.Middle = 0
		}
		var kept []analysis.Rating
		left := map[string]bool{}
		for i, all := 0, analysis.SimulateThreshold(s, plan, truth, seed); i < len(all); i += 3 {
			if random.Float64() < 0.05 {
				left[all[i].Assessor] = true
				continue
			}
			kept = append(kept, all[i:i+3]...)
		}
		f := foundAlone(t, s, kept)
		var whole [][]bool
		var rows [][]float64
		right, n := 0, 0
		for _, x := range f.Threshold.Each {
			rows = append(rows, x.Right)
			row := make([]bool, len(x.Right))
			for j, v := range x.Right {
				row[j] = v == 1
				if !math.IsNaN(v) {
					n++
					right += int(v)
				}
			}
			if !left[x.Assessor] {
				whole = append(whole, row)
			} else if !math.IsNaN(x.Threshold) {
				rt.Errorf("assessor %s left out a tray and has the threshold %v", x.Assessor, x.Threshold)
			}
		}
		amounts := []float64{0.2, 0.4, 0.8, 1.6, 3.2}
		best, err := dose.BestEstimateThreshold(amounts, whole, 0.95)
		if err != nil || f.Value != best.Threshold || f.CI != best.CI || f.N != len(whole) {
			rt.Errorf("%v (%v), want %v (%v) %v", f.Value, f.CI, best.Threshold, best.CI, err)
		}
		curve, err := dose.CurveOfPeople(amounts, rows, 1./3, 0.95)
		if got := f.Threshold.Curve; err != nil || !same(got.Value, curve.Threshold) || !same(got.CI.Lo,
			curve.ThresholdCI.Lo) {
			rt.Errorf("curve %+v, want %v (%v) %v", got, curve.Threshold, curve.ThresholdCI, err)
		}
		test, err := choice.Discrimination(right, n, choice.ThreeAFC, choice.DiscriminationOptions{})
		if err != nil || f.Test.P != test.PDifference || f.Threshold.Right != right || f.Threshold.Answers != n {
			rt.Errorf("p %v, want %v; %v", f.Test.P, test.PDifference, err)
		}
		random.Shuffle(len(kept), func(i, j int) { kept[i], kept[j] = kept[j], kept[i] })
		if again := thresholdOf(t, s, kept); again.Value != f.Value || again.Test.P != f.Test.P {
			rt.Error("the order of rows changes what is found")
		}
	})
}

func same(a, b float64) bool { return a == b || math.IsNaN(a) && math.IsNaN(b) }

// TestThresholdAtItsEnds: where nobody misses anything, or everybody the largest amount, the
// series does not reach, and no amount is named.
func TestThresholdAtItsEnds(t *testing.T) {
	t.Parallel()
	s, plan := smokeStudy(t)
	for name, tc := range map[string]struct {
		middle  float64
		verdict bool
		code    string
	}{"all taste it": {1e-9, true, analysis.WarnAllRight}, "only far above": {1e9, false, analysis.WarnAllMissed}} {
		t.Run(name, func(t *testing.T) {
			answers := analysis.SimulateThreshold(s, plan, analysis.TrueThreshold{Middle: tc.middle, Slope: 50}, 4)
			f := thresholdOf(t, s, answers)
			if f.Verdict.Different() != tc.verdict || !hasWarning(f.Warnings, tc.code) || f.Threshold.CurveInside ||
				!hasWarning(f.Warnings, analysis.WarnCurveOpen) {
				t.Errorf("%s, %v", f.Verdict.Code, f.Warnings)
			}
			if tc.verdict && (f.Threshold.Inside || !hasWarning(f.Warnings, analysis.WarnNoThreshold) ||
				f.Threshold.Below != 30) {
				t.Errorf("%v within the series", f.Value)
			}
		})
	}
}

// TestReadTrays: what is wrong with the trays of a file is refused at its line.
func TestReadTrays(t *testing.T) {
	t.Parallel()
	const head = "assessor,turn,position,code,dish,name,attribute,value\n"
	s := parseStudy(t, smokeFile)
	tray := func(turn int, dishes [3]string, chosen int) (rows string) {
		for i, d := range dishes {
			rows += fmt.Sprintf("1,%d,%d,,%s,,choice,%d\n", turn, 3*turn-2+i, d, map[bool]int{true: 1}[i == chosen])
		}
		return rows
	}
	for _, tc := range []struct{ name, rows, want string }{
		{"two trays", tray(1, [3]string{"w", "t", "w"}, 1) + tray(2, [3]string{"v", "w", "w"}, 1), ""},
		{"three without", tray(1, [3]string{"w", "w", "w"}, 1), "not two of the first sample and one of another in " +
			"turn 1"},
		{"two amounts", tray(1, [3]string{"w", "t", "v"}, 1), "not two of the first sample and one of another in " +
			"turn 1"},
		{"the same amount twice", tray(1, [3]string{"w", "t", "w"}, 1) + tray(2, [3]string{"w", "w", "t"}, 1),
			"assessor 1 answers a second tray with sample B; write one tray for each amount"},
		{"none chosen", tray(1, [3]string{"w", "t", "w"}, 9), "no serving is chosen in turn 1"},
		{"two servings", "1,1,1,,w,,choice,1\n1,1,2,,t,,choice,0\n", "2 of the 3 servings stand in turn 1"},
	} {
		_, problems := analysis.ReadCSV("f.csv", strings.NewReader(head+tc.rows), s, nil)
		got := ""
		if len(problems) > 0 {
			got = problems[0].Error()
		}
		if !strings.Contains(got, tc.want) || tc.want == "" && got != "" {
			t.Errorf("%s: got %q, want %q", tc.name, got, tc.want)
		}
	}
}

// TestThresholdCalibration: where nobody tastes anything, a threshold is found no more often
// than alpha; where half taste it from an amount on, the interval of the curve holds it about
// as often as it says, and best estimates lie lower by no more than half a step on average.
func TestThresholdCalibration(t *testing.T) {
	t.Parallel()
	s, plan := smokeStudy(t)
	n := simulated.Analyses(4000)
	alarms, held, named, below := 0, 0, 0, 0.0
	for i := range n {
		none := foundAlone(t, s, analysis.SimulateThreshold(s, plan, analysis.TrueThreshold{}, uint64(i)))
		if none.Verdict.Different() {
			alarms++
		}
		f := foundAlone(t, s, analysis.SimulateThreshold(s, plan, smokeTruth, uint64(i)))
		below += math.Log2(smokeTruth.Middle/f.Value) / float64(n)
		if !f.Threshold.Curve.CI.Absent() {
			named++
			if ci := f.Threshold.Curve.CI; ci.Lo <= smokeTruth.Middle && smokeTruth.Middle <= ci.Hi {
				held++
			}
		}
	}
	t.Logf("%d false alarms of %d; %d of %d curves hold the truth; best estimates %.2f steps "+
		"low", alarms, n, held, named,
		below)
	if rate := float64(alarms) / float64(n); rate > 0.05+simulated.Margin(0.05, n) {
		t.Errorf("%d false alarms of %d", alarms, n)
	}
	if share := float64(held) / float64(named); math.Abs(share-0.95) > 0.02+simulated.Margin(0.95, named) {
		t.Errorf("%d of %d intervals hold the truth", held, named)
	}
	if below < 0 || below > 0.6 {
		t.Errorf("best estimates are %.2f steps low on average", below)
	}
}

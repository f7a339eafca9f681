package analysis_test

import (
	"errors"
	"math"
	"os"
	"testing"

	"cloche/internal/analysis"
	"cloche/internal/simulated"
	"cloche/internal/study"
)

// wholePanelOf compares all samples of an example together.
func wholePanelOf(test study.Test) func(*study.Study) {
	return func(s *study.Study) {
		s.Plan.WholePanel, s.Plan.Compare, s.Plan.Test = true, [2]study.SampleID{}, test
		s.Plan.Sides = study.TwoSided
	}
}

// TestOftenOfAllSamplesIsWhatAnalyseFinds: of a profile, and of all samples compared together,
// each simulated study that is counted is one in which the whole analysis finds the same.
func TestOftenOfAllSamplesIsWhatAnalyseFinds(t *testing.T) {
	for name, tc := range map[string]struct {
		file       string
		difference float64
		change     func(*study.Study)
	}{
		"a profile":         {"custard-profile", 28, nil},
		"by the model":      {"four-custards", 14, wholePanelOf(study.MixedF)},
		"by Friedman":       {"four-custards", 14, wholePanelOf(study.Friedman)},
		"repeated measures": {"four-custards", 14, wholePanelOf(study.RMAnova)},
	} {
		t.Run(name, func(t *testing.T) {
			d := dryRunOf(t, tc.file, tc.change)
			d.Difference = tc.difference
			const n = 6
			got, err := d.Often(n)
			if err != nil {
				t.Fatal(err)
			}
			found := 0
			for i := range n {
				one := d
				one.Seed = d.Seed + 1 + uint64(i)
				answers, err := one.Ratings()
				if err != nil {
					t.Fatal(err)
				}
				r, err := analysis.Analyse(d.Study, answers, analysis.Options{})
				if err != nil {
					t.Fatal(err)
				}
				if f := r.Findings[0]; f.Kind != analysis.KindPanel || f.Role != analysis.Primary {
					t.Fatalf("the first finding is a %s, %s", f.Kind, f.Role)
				} else if f.Test.P < d.Study.Plan.Alpha {
					found++
				}
			}
			if got.Found != found || found == 0 || found == n {
				t.Errorf("counted %+v, the analyses find %d of %d", got, found, n)
			}
		})
	}
}

// TestOftenOfWordsAndSamplesIsNearAlphaAndPower: what is expected without an effect is alpha,
// by the meaning of a level, and with one the power by noncentral χ² and F.
func TestOftenOfWordsAndSamplesIsNearAlphaAndPower(t *testing.T) {
	for name, tc := range map[string]struct {
		file            string
		change          func(*study.Study)
		effect          float64
		studies, played int // with CLOCHE_FULL, and without: a study of words takes ten times as long
	}{
		"words":         {"custard-in-words", fewWords, 0.3, 2000, 120},
		"a whole panel": {"four-custards", wholePanelOf(study.MixedF), 12, 2000, 300},
	} {
		t.Run(name, func(t *testing.T) {
			n := tc.played
			if os.Getenv(simulated.Full) == "1" {
				n = tc.studies
			}
			d := dryRunOf(t, tc.file, tc.change)
			for i := range d.Study.Attributes {
				if d.Study.Attributes[i].Scale.Kind == study.Line { // ends far away
					d.Study.Attributes[i].Scale.From, d.Study.Attributes[i].Scale.To = -1000, 1000
				}
			}
			none, err := d.Often(n)
			if err != nil {
				t.Fatal(err)
			}
			if off := math.Abs(none.Share - 0.05); off > simulated.Margin(0.05, n)+0.005 {
				t.Errorf("without effect %+v, want a share near 0.05", none)
			}
			d.Study.Plan.SmallestEffect, d.Difference = tc.effect, tc.effect
			power := powerOf(t, d)
			some, err := d.Often(n)
			if err != nil {
				t.Fatal(err)
			}
			if power < 0.2 || power > 0.98 || math.Abs(some.Share-power) > 4*some.SE+0.03 {
				t.Errorf("with an effect %+v, want a share near %g", some, power)
			}
		})
	}
}

func fewWords(s *study.Study) {
	for i := range s.Attributes {
		if x := &s.Attributes[i].Scale; x.Kind == study.WordList {
			x.Labels, x.Ticks = x.Labels[:3], x.Ticks[:3]
		}
	}
}

// powerOf is the power that the formulas give for what a dry run assumes.
func powerOf(t *testing.T, d analysis.DryRun) float64 {
	t.Helper()
	if _, ok := d.Study.Words(); ok {
		return analysis.WordsTogetherPower(d.Study)
	}
	q, err := analysis.SizingOf(d.Study)
	if err != nil {
		t.Fatal(err)
	}
	q.Spread = analysis.GivenSpread(d.Spread)
	return findSize(t, q).Planned.Power
}

// TestTriedTicksAreAsAssumed: the share more who tick the first word for the first sample than
// for the last is the one assumed, and half of the people tick the others.
func TestTriedTicksAreAsAssumed(t *testing.T) {
	d := dryRunOf(t, "custard-in-words", nil)
	d.Difference = 0.4
	ticked, of := map[study.AttributeID]map[study.SampleID]float64{}, 0.0
	for d.Seed = range uint64(40) {
		answers, err := d.Ratings()
		if err != nil {
			t.Fatal(err)
		}
		for _, r := range answers {
			if ticked[r.Attribute] == nil {
				ticked[r.Attribute] = map[study.SampleID]float64{}
			}
			ticked[r.Attribute][r.Sample] += r.Value
		}
		of += float64(d.Study.Panel.Assessors)
	}
	list, _ := d.Study.Words()
	for i, id := range list.Scale.Ticks {
		for sample, want := range map[study.SampleID]float64{"A": 0.7, "B": 0.5, "C": 0.3} {
			if i > 0 {
				want = 0.5
			}
			if got := ticked[id][sample] / of; math.Abs(got-want) > simulated.Margin(want, int(of)) {
				t.Errorf("%s of sample %s: ticked by %.3f, want %g", id, sample, got, want)
			}
		}
	}
	for _, share := range []float64{1, -0.1, math.NaN()} {
		d.Difference = share
		if _, err := d.Ratings(); !errors.Is(err, analysis.ErrPlan) {
			t.Errorf("a share of %g: %v, want a refusal", share, err)
		}
	}
}

// BenchmarkDryRunOfKinds times the studies that are played while somebody waits.
func BenchmarkDryRunOfKinds(b *testing.B) {
	for name, change := range map[string]func(*study.Study){"custard-in-words": nil, "custard-profile": nil,
		"four-custards": wholePanelOf(study.MixedF)} {
		d := dryRunOf(b, name, change)
		b.Run(name, func(b *testing.B) {
			for b.Loop() {
				if _, err := d.Often(analysis.Simulable(d.Study)); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

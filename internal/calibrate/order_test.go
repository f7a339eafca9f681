package calibrate_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"reflect"
	"slices"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"cloche/internal/analysis"
	"cloche/internal/calibrate"
	"cloche/internal/design"
	"cloche/internal/stats"
	"cloche/internal/study"
)

// TestOrderOfAnswersIsNothing: of every kind of plan the same is found, to eight digits,
// whichever way its answers stand in a file.
func TestOrderOfAnswersIsNothing(t *testing.T) {
	kinds, err := calibrate.Kinds()
	if err != nil {
		t.Fatal(err)
	}
	for i, k := range kinds {
		t.Run(k.Name, func(t *testing.T) {
			random := rand.New(rand.NewPCG(uint64(i), 3))
			plan, err := design.Draw(k.Study, design.Options{Seed: 5})
			if err != nil {
				t.Fatal(err)
			}
			answers := calibrate.Answers(k.Study, plan, 5, random)
			found := findings(t, k.Study, answers)
			mixed := slices.Clone(answers)
			random.Shuffle(len(mixed), func(i, j int) { mixed[i], mixed[j] = mixed[j], mixed[i] })
			if diff := cmp.Diff(found, findings(t, k.Study, mixed), alike); diff != "" {
				t.Errorf("in another order:\n%.2000s", diff)
			}
		})
	}
}

// TestOrderOfSamplesIsNothing: of every kind of plan the same is found, to five digits (two
// optimisers meet no nearer), whichever way its samples stand in the study, but for the sign of
// what compares two of them the other way round. Where the first is what others are held
// against, it stays; where they have to rise, all do.
func TestOrderOfSamplesIsNothing(t *testing.T) {
	kinds, err := calibrate.Kinds()
	if err != nil {
		t.Fatal(err)
	}
	turned := 0
	for i, k := range kinds {
		t.Run(k.Name, func(t *testing.T) {
			plan, err := design.Draw(k.Study, design.Options{Seed: 5})
			if err != nil {
				t.Fatal(err)
			}
			answers := calibrate.Answers(k.Study, plan, 5, rand.New(rand.NewPCG(uint64(i), 3)))
			other := *k.Study
			other.Samples = slices.Clone(other.Samples)
			rest := other.Samples
			switch of := k.Study.Question.Kind(); {
			case of.Ascending: // a file with another order is refused
				rest = nil
			case of.Amounts || of.Response == study.SayOneOfTwo:
				rest = rest[1:]
			}
			slices.Reverse(rest)
			if len(rest) > 1 {
				turned++
			}
			want, got := numbers(findings(t, k.Study, answers)), numbers(findings(t, &other, answers))
			if len(want) < 3 {
				t.Fatalf("only %d numbers were found", len(want))
			}
			if diff := cmp.Diff(want, got, cmpopts.EquateApprox(2e-5, 1e-8), cmpopts.EquateNaNs()); diff != "" {
				t.Errorf("with its samples the other way round:\n%.2000s", diff)
			}
		})
	}
	if turned < len(kinds)-5 {
		t.Errorf("only %d of %d kinds have samples to turn round", turned, len(kinds))
	}
}

// numbers are those of findings by what they are of, without the direction of a comparison.
func numbers(found []analysis.Finding) map[string]float64 {
	all := map[string]float64{}
	add := func(of string, samples []study.SampleID, what string, v float64) {
		samples = slices.Sorted(slices.Values(samples))
		all[fmt.Sprint(of, " ", samples, " ", what)] = math.Abs(v)
	}
	interval := func(of string, samples []study.SampleID, ci stats.Interval) {
		ends := []float64{math.Abs(ci.Lo), math.Abs(ci.Hi)}
		slices.Sort(ends)
		add(of, samples, "interval's nearer end", ends[0])
		add(of, samples, "interval's farther end", ends[1])
	}
	for _, f := range found {
		of := fmt.Sprint(f.Role, " ", f.Kind, " ", f.Factor.Factor, " ", f.Attribute)
		add(of, f.Comparison, "people", float64(f.N))
		add(of, f.Comparison, "P", f.Test.P)
		add(of, f.Comparison, "adjusted P", f.Test.PAdjusted)
		for _, also := range f.Also {
			add(of, f.Comparison, "P of "+string(also.Method), also.P)
		}
		if f.Kind == analysis.KindPair || f.Kind == analysis.KindGroups || f.Kind == analysis.KindFactor {
			add(of, f.Comparison, "value", f.Value)
			interval(of, f.Comparison, f.CI)
		}
		for _, e := range f.Panel.Estimates {
			add(of, []study.SampleID{e.Sample}, "mean", e.Mean)
			interval(of, []study.SampleID{e.Sample}, e.CI)
		}
		for _, p := range f.Panel.Pairs {
			both := []study.SampleID{p.First, p.Second}
			add(of+" pair", both, "difference", p.Difference)
			add(of+" pair", both, "adjusted P", p.Test.PAdjusted)
			interval(of+" pair", both, p.CI)
		}
	}
	return all
}

func findings(t *testing.T, s *study.Study, answers []analysis.Rating) []analysis.Finding {
	t.Helper()
	r, err := analysis.Analyse(s, answers, analysis.Options{})
	if err != nil {
		t.Fatal(err)
	}
	return r.Findings
}

// alike are findings whose numbers agree to eight digits.
var alike = cmp.Options{cmpopts.EquateApprox(1e-8, 1e-10), cmpopts.EquateNaNs(),
	cmp.Exporter(func(reflect.Type) bool { return true })}

package calibrate

import (
	"math/rand/v2"
	"syscall"
	"testing"

	"cloche/internal/analysis"
	"cloche/internal/design"
)

// BenchmarkEveryKind analyses some 1,000 answers to each kind of plan, and says what that
// takes of the processor: on a machine that does other work this is what can be compared.
func BenchmarkEveryKind(b *testing.B) {
	const answers = 1000
	kinds, err := Kinds()
	if err != nil {
		b.Fatal(err)
	}
	for _, k := range kinds {
		s := *k.Study
		plan, err := design.Draw(&s, design.Options{Seed: 1})
		if err != nil {
			b.Fatal(err)
		}
		random := rand.New(rand.NewPCG(1, 2))
		each := float64(len(Answers(&s, plan, 1, random))) / float64(s.Panel.Assessors)
		s.Panel.Assessors = int(answers / each)
		s.Panel.Sittings = max(s.Panel.Sittings, 1+s.Panel.Assessors/40)
		if plan, err = design.Draw(&s, design.Options{Seed: 1}); err != nil {
			b.Fatalf("%s: %v", k.Name, err)
		}
		given := Answers(&s, plan, 1, random)
		b.Run(k.Name, func(b *testing.B) {
			began := processorTime(b)
			for b.Loop() {
				if _, err := analysis.Analyse(&s, given,
					analysis.Options{Lottery: &analysis.Lottery{Plan: plan}}); err != nil {
					b.Fatal(err)
				}
			}
			b.ReportMetric(1000*(processorTime(b)-began)/float64(b.N), "cpu-ms")
			b.ReportMetric(float64(len(given)), "answers")
		})
	}
}

// processorTime is that of this process so far, in seconds.
func processorTime(b *testing.B) float64 {
	b.Helper()
	var u syscall.Rusage
	if err := syscall.Getrusage(syscall.RUSAGE_SELF, &u); err != nil {
		b.Fatal(err)
	}
	return float64(u.Utime.Nano()+u.Stime.Nano()) / 1e9
}

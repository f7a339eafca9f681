package analysis_test

import (
	"strconv"
	"syscall"
	"testing"

	"cloche/internal/analysis"
	"cloche/internal/design"
	"cloche/internal/study"
)

// BenchmarkSixAnswers analyses whole studies of 200 people, one for each answer that asks more of a plan than a
// comparison: a name in grams (whole and with a hole), expected against blind and informed, the plan's lottery,
// planned looks and running evidence, the house's record, and guesses after the last plate with replicates.
// Processor time is told beside the clock: on a machine that does other work it is what can be compared.
func BenchmarkSixAnswers(b *testing.B) {
	const people = 200
	type asked struct {
		s       *study.Study
		ratings []analysis.Rating
		o       analysis.Options
	}
	enlarged := func(file string, change func(*study.Study)) (*study.Study, *design.Plan) {
		s := parseStudy(b, "../../studies/"+file+".yaml")
		s.Panel.Assessors, s.Panel.Seats, s.Panel.Sittings = people, 0, max(2, s.Panel.Sittings)
		if change != nil {
			change(s)
		}
		return s, drawn(b, s)
	}
	studies := map[string]asked{}
	salt, plan := enlarged("salt-by-the-gram", nil)
	rated := analysis.Simulate(salt, plan, saltTruth(), 1)
	studies["1 grams of salt"] = asked{salt, rated, analysis.Options{}}
	studies["1 grams of salt, a hole"] = asked{salt, rated[3:], analysis.Options{}}
	sweet, plan := enlarged("promised-sweet", nil)
	rated, said := promisedAnswers(sweet, plan, 1)
	studies["2 expected, blind, informed"] = asked{sweet, rated, analysis.Options{Expected: said}}
	custard, plan := enlarged("celeriac-custard", func(s *study.Study) { s.Plan.Test = study.Lottery })
	studies["3 the plan's lottery"] = asked{custard, analysis.Simulate(custard, plan, analysis.CustardTruth(), 1),
		analysis.Options{Lottery: &analysis.Lottery{Plan: plan}}}
	looks, plan := enlarged("roasted-first", func(s *study.Study) { s.Plan.Looks = []int{70, 140} })
	rated = evenings(looks, plan, 0.1, 1)
	for i := range rated {
		rated[i].Look = 1 + 3*i/len(rated)
	}
	studies["4 planned looks"] = asked{looks, rated, analysis.Options{}}
	evidence, plan := enlarged("darker-caramel", nil)
	studies["4 running evidence"] = asked{evidence, evenings(evidence, plan, 0, 1), analysis.Options{}}
	starch, plan := enlarged("smooth-by-starch", nil)
	var guesses []analysis.Guessed
	for i := range people {
		guesses = append(guesses, analysis.Guessed{Assessor: strconv.Itoa(i + 1),
			Guess: []study.Guess{study.Guess(starch.Plan.Compare[0]), study.Guess(starch.Plan.Compare[1]),
				study.GuessUnknown}[i%3]})
	}
	studies["6 guesses after the last plate"] = asked{starch, analysis.Simulate(starch, plan, analysis.Truth{}, 1),
		analysis.Options{Guessed: guesses}}
	nutmeg, plan := enlarged("nutmeg-for-some", nil)
	studies["6 does everybody shift"] = asked{nutmeg, analysis.Simulate(nutmeg, plan, analysis.Truth{}, 1),
		analysis.Options{}}
	for name, x := range studies {
		b.Run(name, func(b *testing.B) {
			spent(b, func() {
				if _, err := analysis.Analyse(x.s, x.ratings, x.o); err != nil {
					b.Fatal(err)
				}
			})
		})
	}
	var found []analysis.FoundDifference
	for i := range 20 {
		found = append(found, foundDifference("evening "+strconv.Itoa(i), people, float64(i%5), 20))
	}
	b.Run("5 the record of 20 studies", func(b *testing.B) { spent(b, func() { analysis.Records(found) }) })
}

// spent runs what is measured and tells its processor time.
func spent(b *testing.B, do func()) {
	b.Helper()
	now := func() float64 {
		var u syscall.Rusage
		if err := syscall.Getrusage(syscall.RUSAGE_SELF, &u); err != nil {
			b.Fatal(err)
		}
		return float64(u.Utime.Nano()+u.Stime.Nano()) / 1e6
	}
	began := now()
	for b.Loop() {
		do()
	}
	b.ReportMetric((now()-began)/float64(b.N), "cpu-ms")
}

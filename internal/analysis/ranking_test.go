package analysis_test

import (
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"strings"
	"testing"

	"cloche/internal/analysis"
	"cloche/internal/method"
	"cloche/internal/simulated"
	"cloche/internal/study"
)

func rankingStudy(t testing.TB, name string) *study.Study {
	t.Helper()
	src, err := os.ReadFile("../../studies/" + name + ".yaml")
	if err != nil {
		t.Fatal(err)
	}
	s, problems := study.Parse(name, src)
	if len(problems) > 0 {
		t.Fatal(problems)
	}
	return s
}

func readAnswers(t testing.TB, s *study.Study, name string) []analysis.Rating {
	t.Helper()
	file, err := os.Open("../../studies/" + name)
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	answers, problems := analysis.ReadCSV(name, file, s, nil)
	if len(problems) > 0 {
		t.Fatal(problems)
	}
	return answers
}

// orders are answers in which each person puts the samples in a random order, the one of
// most worth first more often.
func orders(s *study.Study, n int, random *rand.Rand, worth []float64) (answers []analysis.Rating) {
	for i := range n {
		seen := make([]float64, len(s.Samples))
		for j := range seen {
			seen[j] = random.NormFloat64()
			if worth != nil {
				seen[j] += worth[j]
			}
		}
		served := random.Perm(len(s.Samples))
		for j, x := range s.Samples {
			place := 1.
			for _, v := range seen {
				if v > seen[j] {
					place++
				}
			}
			answers = append(answers, analysis.Rating{Assessor: fmt.Sprint(i + 1), Turn: 1, Position: served[j] + 1,
				Sample: x.ID, Attribute: study.RankAnswer, Value: place})
		}
	}
	return answers
}

// TestRankingIsWhatRFinds holds the findings of an example against friedman.test,
// binom.test and p.adjust of R.
func TestRankingIsWhatRFinds(t *testing.T) {
	s := rankingStudy(t, "four-crusts")
	answers := readAnswers(t, s, "four-crusts-ratings.csv")
	r, err := analysis.Analyse(s, answers, analysis.Options{})
	if err != nil {
		t.Fatal(err)
	}
	table := "assessor,sample,value\n"
	for _, x := range answers {
		table += fmt.Sprintf("%s,%s,%g\n", x.Assessor, x.Sample, x.Value)
	}
	want := inR(t, `m <- with(d, tapply(value, list(assessor, sample), sum)); f <- friedman.test(m); ps <- c(); `+
		`xs <- c(); `+
		`for (a in 1:3) for (b in (a+1):4) { x <- sum(m[,a] < m[,b]); xs <- c(xs, x); ps <- c(ps, binom.test(x, `+
		`nrow(m))$p.value) }; `+
		`say(f$statistic, f$p.value, colSums(m), xs, ps, p.adjust(ps, "holm"))`, table)
	f := r.Findings[0]
	got := []float64{f.Test.Statistic, f.Test.P}
	for _, x := range f.Ranking.Samples {
		got = append(got, float64(x.Sum))
	}
	for _, of := range []func(analysis.RankedPair) float64{
		func(p analysis.RankedPair) float64 { return float64(p.Before) },
		func(p analysis.RankedPair) float64 { return p.Test.P },
		func(p analysis.RankedPair) float64 { return p.Test.PAdjusted },
	} {
		for _, p := range f.Ranking.Pairs {
			got = append(got, of(p))
		}
	}
	agree(t, "the example", got, want)
	// ISO 8587: least significant difference of rank sums, z·√(n·k·(k+1)/6) with z = 1.959963985.
	if least := 1.959963984540054 * math.Sqrt(48*4*5/6.); !near(f.Ranking.LeastDifference, least, 1e-8, 0) {
		t.Errorf("least significant difference %g, want %g", f.Ranking.LeastDifference, least)
	}
}

func TestOrdersOfNobodyAndOfOne(t *testing.T) {
	s := rankingStudy(t, "four-crusts")
	if _, err := analysis.Analyse(s, nil, analysis.Options{}); err == nil {
		t.Error("nobody's order was analysed")
	}
	r, err := analysis.Analyse(s, orders(s, 1, rand.New(rand.NewPCG(1, 1)), nil), analysis.Options{})
	if err != nil {
		t.Fatal(err)
	}
	if f := r.Findings[0]; f.Verdict.Code != analysis.TooFew || f.N != 1 || len(f.Ranking.Pairs) != 6 ||
		f.Verdict.Next.More != 5 {
		t.Errorf("one order: %+v", f.Verdict)
	}
}

// TestRankingDoesNotFeelOrderOfRowsOrSamples holds that findings stay what they are.
func TestRankingDoesNotFeelOrderOfRowsOrSamples(t *testing.T) {
	random := rand.New(rand.NewPCG(7, 7))
	s := rankingStudy(t, "four-crusts")
	answers := orders(s, 25, random, []float64{0, 0.5, 1, 0.2})
	find := func(s *study.Study) analysis.Finding {
		r, err := analysis.Analyse(s, answers, analysis.Options{})
		if err != nil {
			t.Fatal(err)
		}
		return r.Findings[0]
	}
	want := find(s)
	random.Shuffle(len(answers), func(i, j int) { answers[i], answers[j] = answers[j], answers[i] })
	other := *s
	other.Samples = []study.Sample{s.Samples[3], s.Samples[0], s.Samples[2], s.Samples[1]}
	got := find(&other)
	if !near(got.Test.Statistic, want.Test.Statistic, 1e-12, 0) {
		t.Errorf("statistic %g, then %g", want.Test.Statistic, got.Test.Statistic)
	}
	for _, x := range want.Ranking.Samples {
		for _, y := range got.Ranking.Samples {
			if x.Sample == y.Sample && (x.Sum != y.Sum || fmt.Sprint(x.At) != fmt.Sprint(y.At)) {
				t.Errorf("sample %s: %+v, then %+v", x.Sample, x, y)
			}
		}
	}
	for _, p := range want.Ranking.Pairs {
		for _, q := range got.Ranking.Pairs {
			if p.First == q.First && p.Second == q.Second &&
				(p.Before != q.Before || p.Test.PAdjusted != q.Test.PAdjusted) ||
				p.First == q.Second && p.Second == q.First &&
					(p.Before != q.After || math.Abs(p.Test.PAdjusted-q.Test.PAdjusted) > 1e-12) {
				t.Errorf("pair %+v, then %+v", p, q)
			}
		}
	}
}

// TestRankingHoldsItsRisks: where no sample is better, an order is found in about alpha of
// the studies, and some pair is told apart in no more; where the share looked for holds,
// as often as the size says.
func TestRankingHoldsItsRisks(t *testing.T) {
	s := rankingStudy(t, "four-crusts")
	n := simulated.Studies(2000)
	random := rand.New(rand.NewPCG(3, 11))
	const people = 48
	// 70 % put the first before the last: Φ(d/√2) = 0.7; the others midway.
	d := math.Sqrt2 * 0.5244005127080407
	for _, tc := range []struct {
		name  string
		worth []float64
		want  float64
	}{{"none better", nil, 0.05}, {"one better", []float64{d, d / 2, d / 2, 0}, sizedPower(t, s, people, 0.7)}} {
		found, pairs := 0, 0
		for range n {
			f := foundAlone(t, s, orders(s, people, random, tc.worth))
			if f.Test.P < 0.05 {
				found++
			}
			for _, p := range f.Ranking.Pairs {
				if p.Test.PAdjusted < 0.05 {
					pairs++
					break
				}
			}
		}
		share, se := float64(found)/float64(n), math.Sqrt(tc.want*(1-tc.want)/float64(n))
		if math.Abs(share-tc.want) > 4*se+0.02 {
			t.Errorf("%s: found in %.3f of %d studies, want %.3f", tc.name, share, n, tc.want)
		}
		if tc.worth == nil && float64(pairs)/float64(n) > 0.05+4*se {
			t.Errorf("a pair was told apart in %d of %d studies without a difference", pairs, n)
		}
	}
}

func sizedPower(t *testing.T, s *study.Study, people int, share float64) float64 {
	t.Helper()
	q, err := analysis.SizingOf(s)
	if err != nil {
		t.Fatal(err)
	}
	q.Assessors, q.Share = people, share
	z, err := analysis.FindSize(q)
	if err != nil {
		t.Fatal(err)
	}
	if math.Abs(z.Planned.Detects-share) > 0.05 || z.Needed.Power < 0.8 {
		t.Errorf("planned %+v, needed %+v", z.Planned, z.Needed)
	}
	return z.Planned.Power
}

func TestMistakesOfOrdersAndPairs(t *testing.T) {
	head := "assessor,turn,position,dish,attribute,value,name\n"
	row := func(who string, rows ...string) string {
		text := ""
		for _, r := range rows {
			text += who + ",1," + r + ",\n"
		}
		return text
	}
	for _, tc := range []struct{ name, study, rows, want string }{
		{"a double", "four-crusts", row("1", "1,white,rank,1", "2,cane,rank,2", "3,dark,rank,2", "4,maple,rank,4"),
			"f.csv:4:17: two servings are at place 2 in turn 1 of assessor 1, so that another place is empty; " +
				"write 1 for"},
		{"off", "four-crusts", row("1", "1,white,rank,1", "2,cane,rank,2", "3,dark,rank,3", "4,maple,rank,5"),
			"f.csv:5:18: 5 is no place from 1 to 4; write 1 for the serving put first"},
		{"half", "four-crusts", row("1", "1,white,rank,1.5"), "1.5 is no place from 1 to 4"},
		{"a row missing", "four-crusts", row("1", "1,white,rank,1", "2,cane,rank,2", "4,maple,rank,3"),
			"f.csv:4:18: 3 of the 4 servings stand in turn 1 of assessor 1; write a row for each: 1 for the serving"},
		{"a sample twice", "four-crusts", row("1", "1,white,rank,1", "2,white,rank,2", "3,dark,rank,3",
			"4,maple,rank,4"),
			"f.csv:3:18: sample A stands twice in turn 1 of assessor 1"},
		{"two orders", "four-crusts", row("1", "1,white,rank,1", "2,cane,rank,2", "3,dark,rank,3", "4,maple,rank,4") +
			strings.ReplaceAll(row("1", "5,white,rank,1", "6,cane,rank,2", "7,dark,rank,3", "8,maple,rank,4"), "1,1,",
				"1,2,"),
			"f.csv:6:18: assessor 1 gives a second order; write one order for each assessor"},
		{"three in a pair", "two-creams", row("1", "1,a,pairs,1", "2,b,pairs,1", "3,a,pairs,1", "4,b,pairs,2"),
			"f.csv:4:15: three servings are in pair 1 in turn 1 of assessor 1; write 1 for the two servings of one " +
				"pair"},
		{"no pair", "two-creams", row("1", "1,a,pairs,0", "2,b,pairs,1", "3,a,pairs,1", "4,b,pairs,2"),
			"f.csv:2:15: 0 is neither of the two pairs"},
		{"three of a sample", "two-creams", row("1", "1,a,pairs,1", "2,a,pairs,1", "3,a,pairs,2", "4,b,pairs,2"),
			"f.csv:4:15: sample A stands three times"},
		{"two rows", "two-creams", row("1", "1,a,pairs,1", "2,b,pairs,2"), "2 of the 4 servings stand"},
	} {
		t.Run(tc.name, func(t *testing.T) {
			_, problems := analysis.ReadCSV("f.csv", strings.NewReader(head+tc.rows), rankingStudy(t, tc.study), nil)
			var all []string
			for _, p := range problems {
				all = append(all, p.Error())
			}
			if len(problems) != 1 || !strings.Contains(all[0], tc.want) {
				t.Errorf("want %q in\n%s", tc.want, strings.Join(all, "\n"))
			}
		})
	}
}

// TestPairsAreCountedRight: 13 of 24 right among three ways to pair is the exact binomial
// test of the triangle's chance: p 0.0284411 (the shared table of R values).
func TestPairsAreCountedRight(t *testing.T) {
	s := rankingStudy(t, "two-creams")
	var answers []analysis.Rating
	for i := range 24 {
		pairs := []float64{1, 2, 1, 2}
		if i >= 13 {
			pairs = []float64{1, 1, 2, 2}
		}
		if i%2 == 1 { // which pair is 1 says nothing
			for j := range pairs {
				pairs[j] = 3 - pairs[j]
			}
		}
		for j, v := range pairs {
			answers = append(answers, analysis.Rating{Assessor: fmt.Sprint(i + 1), Turn: 1, Position: j + 1,
				Sample: s.Samples[j%2].ID, Attribute: study.PairAnswer, Value: v})
		}
	}
	r, err := analysis.Analyse(s, answers, analysis.Options{})
	if err != nil {
		t.Fatal(err)
	}
	f := r.Findings[0]
	if f.Choice.Told.Right != 13 || math.Abs(f.Test.P-0.0284411) > 5e-8 {
		t.Errorf("%d right, p %g", f.Choice.Told.Right, f.Test.P)
	}
}

// TestExpectedOrderIsWhatRFinds holds the test of an expected order against all orders that
// five people can give, listed by R.
func TestExpectedOrderIsWhatRFinds(t *testing.T) {
	s := rankingStudy(t, "salt-in-order")
	s.Samples, s.Plan.Expected = s.Samples[:3], []study.SampleID{"C", "A", "B"}
	answers := orders(s, 5, rand.New(rand.NewPCG(2, 2)), []float64{0.3, 0, 1})
	r, err := analysis.Analyse(s, answers, analysis.Options{})
	if err != nil {
		t.Fatal(err)
	}
	table := "assessor,sample,value\n"
	for _, x := range answers {
		table += fmt.Sprintf("%s,%s,%g\n", x.Assessor, x.Sample, x.Value)
	}
	f := r.Findings[0]
	agree(t, "Page's L and p", []float64{f.Test.Statistic, f.Test.P}, inR(t,
		`m <- with(d, tapply(value, list(assessor, sample), sum))[, c("C", "A", "B")]; L <- sum(m %*% 1:3); `+
			`one <- c(14, 13, 13, 11, 11, 10); all <- rowSums(expand.grid(one, one, one, one, one)); say(L, mean(all `+
			`>= L))`, table))
	if f.Test.Method != method.Page || len(f.Also) != 1 || f.Also[0].Method != method.Friedman {
		t.Errorf("tested by %s, beside %+v", f.Test.Method, f.Also)
	}
	s.Plan.Expected = s.Plan.Expected[:2]
	if _, err := analysis.Analyse(s, answers, analysis.Options{}); !errors.Is(err, analysis.ErrPlan) {
		t.Errorf("an order of two of three: %v", err)
	}
}

func BenchmarkRanking(b *testing.B) {
	s := rankingStudy(b, "salt-in-order")
	answers := orders(s, 250, rand.New(rand.NewPCG(4, 4)), []float64{0, 0.2, 0.4, 0.6})
	b.Run("n=250/k=4", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			if _, err := analysis.Analyse(s, answers, analysis.Options{}); err != nil {
				b.Fatal(err)
			}
		}
	})
}

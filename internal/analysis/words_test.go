package analysis_test

import (
	"bytes"
	"fmt"
	"math"
	"math/rand/v2"
	"reflect"
	"slices"
	"strings"
	"testing"

	"cloche/internal/analysis"
	"cloche/internal/analysis/analysistest"
	"cloche/internal/stats/choice"
	"cloche/internal/study"
)

const wordsExample = "custard-in-words"

// tickAnswers are answers of people to the words of a study: a word is ticked by a share that
// shift moves up for the first sample.
func tickAnswers(s *study.Study, people int, shift float64, random *rand.Rand) (answers []analysis.Rating) {
	for i := range people {
		served := random.Perm(len(s.Samples))
		for j, x := range s.Samples {
			for k, a := range s.Answered() {
				r := analysis.Rating{Assessor: fmt.Sprint(i + 1), Turn: served[j] + 1, Position: served[j] + 1,
					Sample: x.ID, Attribute: a.ID, Value: 1 + float64(random.IntN(9))}
				if a.Scale.Kind == study.Ticked {
					share := 0.15 + 0.05*float64(k%8)
					if j == 0 && k%3 == 1 {
						share += shift
					}
					r.Value = 0
					if random.Float64() < share {
						r.Value = 1
					}
				}
				answers = append(answers, r)
			}
		}
	}
	return answers
}

func foundWords(t *testing.T, s *study.Study, answers []analysis.Rating) analysis.Finding {
	t.Helper()
	r, err := analysis.Analyse(s, answers, analysis.Options{})
	if err != nil {
		t.Fatal(err)
	}
	if len(r.Findings) != 1 || r.Findings[0].Kind != analysis.KindWords {
		t.Fatalf("found %+v", r.Findings)
	}
	return r.Findings[0]
}

// TestWordsAreWhatRFinds holds the findings of an example against formulas, friedman.test,
// binom.test, p.adjust, t.test and svd of R.
func TestWordsAreWhatRFinds(t *testing.T) {
	s := rankingStudy(t, wordsExample)
	answers := readAnswers(t, s, wordsExample+"-ratings.csv")
	f := foundWords(t, s, answers)
	if f.N != 60 || len(f.Words.Words) != 12 || f.Words.Map == nil {
		t.Fatalf("%d people, %d words, map %v", f.N, len(f.Words.Words), f.Words.Map)
	}
	table := "assessor,sample,attribute,value\n"
	for _, x := range answers {
		table += fmt.Sprintf("%s,%s,%s,%g\n", x.Assessor, x.Sample, x.Attribute, x.Value)
	}
	want := inR(t, `words <- unique(d$attribute[d$attribute != "liking"]); `+
		`of <- function(a) { e <- d[d$attribute == a, ]; m <- tapply(e$value, list(e$assessor, e$sample), sum); m }; `+
		`liking <- of("liking"); tab <- c(); sumq <- 0; `+
		`for (w in words) { m <- of(w); q <- as.numeric(friedman.test(m)$statistic); sumq <- sumq + q; ps <- c(); `+
		`dif <- c(); `+
		`for (a in 1:2) for (b in (a+1):3) { x <- sum(m[,a] > m[,b]); y <- sum(m[,a] < m[,b]); `+
		`ps <- c(ps, binom.test(x, x + y)$p.value); dif <- c(dif, (x - y) / nrow(m)) }; `+
		`both <- rowSums(m) > 0 & rowSums(m) < 3; with <- rowSums(liking * m)[both] / rowSums(m)[both]; `+
		`no <- rowSums(liking * (1 - m))[both] / rowSums(1 - m)[both]; tt <- t.test(with, no, paired = TRUE); `+
		`say(q, colSums(m), ps, p.adjust(ps, "holm"), dif, sum(both), tt$estimate, tt$conf.int, tt$p.value); `+
		`tab <- cbind(tab, colSums(m)) }; `+
		`p <- tab / sum(tab); r <- rowSums(p); k <- colSums(p); s <- svd((p - r %o% k) / sqrt(r %o% k)); `+
		`say(sumq, sum(s$d^2), s$d[1:2]^2 / sum(s$d^2), abs(s$u[,1] * s$d[1] / sqrt(r)), abs(s$v[,2] * s$d[2] / `+
		`sqrt(k)))`, table)
	var got []float64
	for _, w := range f.Words.Words {
		got = append(got, w.Test.Statistic)
		for _, n := range w.Ticked {
			got = append(got, float64(n))
		}
		for _, of := range []func(analysis.WordPair) float64{
			func(p analysis.WordPair) float64 { return p.Test.P },
			func(p analysis.WordPair) float64 { return p.Test.PAdjusted },
			func(p analysis.WordPair) float64 { return p.Difference },
		} {
			for _, p := range w.Pairs {
				got = append(got, of(p))
			}
		}
		got = append(got, float64(w.With.People), w.With.Difference, w.With.CI.Lo, w.With.CI.Hi, w.With.Test.P)
	}
	m := f.Words.Map
	got = append(got, f.Test.Statistic, m.Inertia, m.Share[0], m.Share[1])
	for _, x := range m.Samples {
		got = append(got, math.Abs(x[0]))
	}
	for _, x := range m.Words {
		got = append(got, math.Abs(x.At[1]))
	}
	agree(t, "the example", got, want)
}

// TestOrdersOfWordsAreWithoutEffect: assessors, samples, words and rows in another order give
// the same findings.
func TestOrdersOfWordsAreWithoutEffect(t *testing.T) {
	random := rand.New(rand.NewPCG(1, 1))
	for range 20 {
		s := rankingStudy(t, wordsExample)
		answers := tickAnswers(s, 8+random.IntN(30), random.Float64()/2, random)
		f := foundWords(t, s, answers)
		other := *s
		other.Samples = slices.Clone(s.Samples)
		slices.Reverse(other.Samples)
		other.Attributes = slices.Clone(s.Attributes)
		list := &other.Attributes[1].Scale
		list.Labels, list.Ticks = slices.Clone(list.Labels), slices.Clone(list.Ticks)
		slices.Reverse(list.Labels)
		slices.Reverse(list.Ticks)
		random.Shuffle(len(answers), func(i, j int) { answers[i], answers[j] = answers[j], answers[i] })
		g := foundWords(t, &other, answers)
		if f.Test.P != g.Test.P || !near(f.Test.Statistic, g.Test.Statistic, 1e-12, 0) ||
			f.Verdict.Code != g.Verdict.Code {
			t.Errorf("p %g and %g, %s and %s", f.Test.P, g.Test.P, f.Verdict.Code, g.Verdict.Code)
		}
		for _, w := range f.Words.Words {
			i := slices.IndexFunc(g.Words.Words, func(x analysis.WordFinding) bool { return x.ID == w.ID })
			x := g.Words.Words[i]
			if !near(w.Test.P, x.Test.P, 1e-9, 1e-12) || !near(w.Test.PAdjusted, x.Test.PAdjusted, 1e-9, 1e-12) ||
				w.Word != x.Word || w.Ticked[0] != x.Ticked[2] ||
				!near(w.Pairs[0].Difference, -x.Pairs[2].Difference, 1e-12, 1e-12) {
				t.Errorf("%s: %+v and %+v", w.ID, w, x)
			}
		}
	}
}

// TestWordsWithoutADifference: where everybody ticks alike, nothing is found and no number is
// made up.
func TestWordsWithoutADifference(t *testing.T) {
	s := rankingStudy(t, wordsExample)
	var answers []analysis.Rating
	for i := range 20 {
		for _, x := range s.Samples {
			for k, a := range s.Answered() {
				answers = append(answers, analysis.Rating{Assessor: fmt.Sprint(i + 1), Sample: x.ID, Attribute: a.ID,
					Value: float64(1 - min(1, k%2)), Turn: 1})
			}
		}
	}
	for i := range answers {
		if answers[i].Attribute == "liking" {
			answers[i].Value = 5
		}
	}
	f := foundWords(t, s, answers)
	if f.Verdict.Different() || f.Words.Map != nil || !math.IsNaN(f.Test.P) {
		t.Errorf("%s, p %g, map %v", f.Verdict.Code, f.Test.P, f.Words.Map)
	}
	for _, w := range f.Words.Words {
		if w.Tells() || !math.IsNaN(w.Test.PAdjusted) || w.With != nil {
			t.Errorf("%+v", w)
		}
	}
	if f = foundWords(t, s, answers[:3*13]); f.Verdict.Code != analysis.TooFew || f.N != 1 {
		t.Errorf("of one person: %s of %d", f.Verdict.Code, f.N)
	}
}

// TestWhoDidNotTickForAllIsLeftOut: counted with the reason, and the others stand.
func TestWhoDidNotTickForAllIsLeftOut(t *testing.T) {
	s := rankingStudy(t, wordsExample)
	answers := tickAnswers(s, 12, 0.3, rand.New(rand.NewPCG(2, 2)))
	answers = slices.DeleteFunc(answers, func(r analysis.Rating) bool { return r.Assessor == "5" && r.Sample == "B" })
	r, err := analysis.Analyse(s, answers, analysis.Options{})
	if err != nil {
		t.Fatal(err)
	}
	want := analysis.Exclusion{Reason: analysis.ReasonNotAllTicked, Count: 1}
	if f := r.Findings[0]; f.N != 11 || !slices.Contains(f.Excluded, want) || !slices.Contains(r.Excluded, want) {
		t.Errorf("%d people, left out %v, %v", f.N, f.Excluded, r.Excluded)
	}
	answers = slices.DeleteFunc(answers, func(r analysis.Rating) bool {
		return r.Assessor == "6" && r.Attribute == "words.airy" && r.Sample == "A"
	})
	if _, err := analysis.Analyse(s, answers, analysis.Options{}); err == nil {
		t.Error("a word without an answer is taken as not ticked")
	}
}

func TestMistakesOfWords(t *testing.T) {
	s := rankingStudy(t, wordsExample)
	head := "assessor,turn,position,dish,name,attribute,value\n"
	whole := ""
	for _, a := range s.Answered() {
		whole += fmt.Sprintf("1,1,1,cream,,%s,1\n", a.ID)
	}
	for _, tc := range []struct{ name, rows, want string }{
		{"neither", "1,1,1,cream,,words.salty,2\n", "f.csv:2:26: 2 is off the scale " +
			"of \"words.salty\"; write 1 for a word " +
			"that was ticked and 0 for one that was not"},
		{"a share", "1,1,1,cream,,words.salty,0.5\n", "0.5 is off the scale"},
		{"no such word", "1,1,1,cream,,words.loud,1\n", "the study has no attribute \"words.loud\"; " +
			"write one of liking, " +
			"words.smooth"},
		{"words missing", "1,1,1,cream,,words.salty,1\n1,1,1,cream,,liking,5\n",
			"f.csv:2:26: 1 of the 12 words stand for " +
				"sample A of assessor 1; write a row for each word: 1 for a word that was ticked"},
		{"a sample twice", whole + strings.ReplaceAll(whole, "1,1,1,", "1,4,4,"),
			"assessor 1 answers liking of sample A " +
				"in line 2 already; keep one of the rows"},
	} {
		t.Run(tc.name, func(t *testing.T) {
			ratings, problems := analysis.ReadCSV("f.csv", strings.NewReader(head+tc.rows), s, nil)
			if len(problems) == 0 || ratings != nil || !strings.Contains(problems[0].Error(), tc.want) {
				t.Errorf("want %q in %v", tc.want, problems)
			}
		})
	}
	if _, problems := analysis.ReadCSV("f.csv", strings.NewReader(head+whole), s, nil); len(problems) > 0 {
		t.Errorf("a sound file: %v", problems)
	}
}

func FuzzReadWords(f *testing.F) {
	s := parseStudy(f, "../../studies/"+wordsExample+".yaml")
	head := "assessor,turn,position,dish,name,attribute,value\n"
	whole := head
	for _, a := range s.Answered() {
		whole += fmt.Sprintf("1,1,1,cream,,%s,1\n", a.ID)
	}
	f.Add(whole)
	f.Add(head + "1,1,1,cream,,words.salty,2\n2,,,milk,,smooth,1\n")
	f.Fuzz(func(t *testing.T, text string) {
		ratings, problems := analysis.ReadCSV("r.csv", strings.NewReader(text), s, nil)
		if (ratings == nil) != (len(problems) > 0) {
			t.Fatalf("%d answers with %d problems: by half", len(ratings), len(problems))
		}
		if ratings == nil {
			return
		}
		if _, err := analysis.Analyse(s, ratings, analysis.Options{}); err != nil {
			t.Fatalf("a sound file cannot be analysed: %v", err)
		}
		var out bytes.Buffer
		if err := analysistest.WriteCSV(&out, s, ratings); err != nil {
			t.Fatal(err)
		}
		again, problems := analysis.ReadCSV("r.csv", bytes.NewReader(out.Bytes()), s, nil)
		if len(problems) > 0 || !reflect.DeepEqual(ratings, again) {
			t.Fatalf("written and read again: %v", problems)
		}
	})
}

// TestSizeOfWordsIsWhatIsFound simulates panels of the size that a study is told: a word that
// so many more tick is found, all words allowed for, about as often as stated.
func TestSizeOfWordsIsWhatIsFound(t *testing.T) {
	s := rankingStudy(t, wordsExample)
	q, err := analysis.SizingOf(s)
	if err != nil {
		t.Fatal(err)
	}
	if q.Words != 12 || q.Samples != 3 || q.Share != 0.4 {
		t.Fatalf("asked of %d words and %d samples, %g", q.Words, q.Samples, q.Share)
	}
	z, err := analysis.FindSize(q)
	if err != nil {
		t.Fatal(err)
	}
	if z.Needed.Assessors < 30 || z.Needed.Assessors > 80 || math.Abs(z.Needed.Detects-0.4) > 0.02 {
		t.Errorf("needed %+v", z.Needed)
	}
	random := rand.New(rand.NewPCG(3, 3))
	const studies = 2000
	found := 0
	for range studies {
		rows := make([][]bool, z.Needed.Assessors)
		for i := range rows {
			rows[i] = []bool{random.Float64() < 0.7, random.Float64() < 0.3, random.Float64() < 0.5}
		}
		r, err := choice.CochranQ(rows)
		if err != nil {
			t.Fatal(err)
		}
		found += b2i(r.P < s.Plan.Alpha/12)
	}
	// Four standard errors below; large differences are found somewhat more often than stated.
	if share := float64(found) / studies; share < z.Needed.Power-0.036 || share > z.Needed.Power+0.08 {
		t.Errorf("found in %.3f of the studies, stated %.3f with %d people", share, z.Needed.Power, z.Needed.Assessors)
	}
}

func b2i(b bool) int {
	if b {
		return 1
	}
	return 0
}

// BenchmarkWords analyses a thousand answers, and a thousand servings with a list of 25 words.
func BenchmarkWords(b *testing.B) {
	s := parseStudy(b, "../../studies/"+wordsExample+".yaml")
	a := &s.Attributes[1].Scale
	a.Labels, a.Ticks = nil, nil
	for i := range 25 {
		a.Labels = append(a.Labels, fmt.Sprint("word ", i))
		a.Ticks = append(a.Ticks, study.AttributeID(fmt.Sprintf("words.w%d", i)))
	}
	for _, people := range []int{15, 334} {
		answers := tickAnswers(s, people, 0.2, rand.New(rand.NewPCG(4, 4)))
		b.Run(fmt.Sprintf("servings=%d/answers=%d", 3*people, len(answers)), func(b *testing.B) {
			for b.Loop() {
				if _, err := analysis.Analyse(s, answers, analysis.Options{}); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

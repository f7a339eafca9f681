package report_test

import (
	"bytes"
	"fmt"
	"maps"
	"math"
	"math/rand/v2"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/PuerkitoBio/goquery"

	"cloche/internal/analysis"
	"cloche/internal/calibrate"
	"cloche/internal/design"
	"cloche/internal/report"
	"cloche/internal/simulated"
	"cloche/internal/study"
)

// extremes are the ends of what may come back from an evening.
var extremes = map[string]func(*study.Study, *rand.Rand, []analysis.Rating) []analysis.Rating{
	"one person": func(_ *study.Study, _ *rand.Rand, all []analysis.Rating) []analysis.Rating {
		return firstPeople(all, 1)
	},
	"two people": func(_ *study.Study, _ *rand.Rand, all []analysis.Rating) []analysis.Rating {
		return firstPeople(all, 2)
	},
	"seven": func(_ *study.Study, _ *rand.Rand, all []analysis.Rating) []analysis.Rating {
		return firstPeople(all, 7)
	},
	"nobody had the first sample": func(s *study.Study, _ *rand.Rand, all []analysis.Rating) []analysis.Rating {
		return slices.DeleteFunc(all, func(r analysis.Rating) bool { return r.Sample == s.Samples[0].ID })
	},
	"one rating each": func(_ *study.Study, _ *rand.Rand, all []analysis.Rating) []analysis.Rating {
		seen := map[string]int{}
		return slices.DeleteFunc(all, func(r analysis.Rating) bool {
			if seen[r.Assessor] == 0 {
				seen[r.Assessor] = r.Position
			}
			return seen[r.Assessor] != r.Position
		})
	},
	"all the same": rated(func(a study.Attribute, _ *rand.Rand, _ analysis.Rating) float64 { return a.Scale.Max() }),
	"at the ends": rated(func(a study.Attribute, random *rand.Rand, _ analysis.Rating) float64 {
		return []float64{a.Scale.Min(), a.Scale.Max()}[random.IntN(2)]
	}),
	"apart without scatter": rated(func(a study.Attribute, _ *rand.Rand, r analysis.Rating) float64 {
		if r.Sample == "S1" {
			return a.Scale.Min()
		}
		return a.Scale.Max()
	}),
	"a hair apart": rated(func(a study.Attribute, random *rand.Rand, r analysis.Rating) float64 {
		return min(a.Scale.Max(), a.Scale.Min()+a.Scale.Step()*float64(random.IntN(2)))
	}),
	"hundreds": func(_ *study.Study, random *rand.Rand, all []analysis.Rating) (many []analysis.Rating) {
		for i := range 12 {
			for _, r := range all {
				r.Assessor = fmt.Sprintf("%d-%s", i, r.Assessor)
				many = append(many, r)
			}
		}
		return many
	},
}

func firstPeople(all []analysis.Rating, n int) []analysis.Rating {
	var people []string
	return slices.DeleteFunc(all, func(r analysis.Rating) bool {
		if !slices.Contains(people, r.Assessor) {
			people = append(people, r.Assessor)
		}
		return slices.Index(people, r.Assessor) >= n
	})
}

func rated(as func(study.Attribute, *rand.Rand, analysis.Rating) float64) func(*study.Study, *rand.Rand,
	[]analysis.Rating) []analysis.Rating {
	return func(s *study.Study, random *rand.Rand, all []analysis.Rating) []analysis.Rating {
		if !s.Question.CollectsRatings() {
			return all
		}
		for i, r := range all {
			a, _ := s.Attribute(r.Attribute)
			all[i].Value = as(a, random, r)
		}
		return all
	}
}

// never stands in anything that a person reads.
var never = regexp.MustCompile(`NaN|\bInf\b|\+Inf|%!|<nil>|−0(?:\.0+)?(?:[^.\d]|$)|\b0 people\b|` +
	`\b[2-9]\d* person\b|(?:^|[^.\d\pL])1 (?:people|answers|assessors|points|ratings|samples)\b|\+−|−−|` +
	`\+0(?:\.0+)?(?:[^.\d]|$)`)

var ofTenPeople = regexp.MustCompile(`[Oo]f ten people, [^.]*`)

// Whatever comes back from an evening of any kind of plan: what is said has no number that is none,
// no plural of one, no statistics in the first lines; the difference that is told is the one that
// was found, and what was not asked first is never told like what was.
func TestWhatIsSaidAtTheEndsOfTheRange(t *testing.T) {
	kinds, err := calibrate.Kinds()
	if err != nil {
		t.Fatal(err)
	}
	for i, k := range kinds {
		if !k.Study.Question.CollectsRatings() { // the other answers have tests of their own
			continue
		}
		plan, err := design.Draw(k.Study, design.Options{Seed: 3})
		if err != nil {
			t.Fatal(err)
		}
		for at, name := range slices.Sorted(maps.Keys(extremes)) {
			change := extremes[name]
			for seed := range uint64(2) {
				if !simulated.All() && (i+at)%2 != int(seed) { // each kind with half of the ends, as on a chessboard
					continue
				}
				s := *k.Study
				if s.Plan.SmallestEffect == 0 && seed == 1 {
					s.Plan.SmallestEffect = marginOf(&s, 1)
				}
				random := rand.New(rand.NewPCG(seed, uint64(len(k.Name)*len(name))))
				answers := change(&s, random, simulatedAnswers(&s, plan, 20*float64(seed), seed))
				if len(answers) == 0 && len(s.Samples) == 1 { // nobody had the only one
					continue
				}
				o := calibrate.Knowing(&s, plan)
				if name != "hundreds" && seed == 0 { // the lottery as a check, once
					o.Lottery = &analysis.Lottery{Plan: plan}
				}
				r, err := analysis.Analyse(&s, answers, o)
				if err != nil {
					t.Errorf("%s, %s: %v", k.Name, name, err)
					continue
				}
				checkSaid(t, k.Name+", "+name, &s, r)
			}
		}
	}
}

func checkSaid(t *testing.T, of string, s *study.Study, r *analysis.Result) {
	t.Helper()
	p := report.Build(s, r, report.Options{})
	var text, html bytes.Buffer
	must(t, report.WriteText(&text, s, r))
	must(t, report.WriteHTML(&html, p))
	doc, err := goquery.NewDocumentFromReader(&html)
	must(t, err)
	doc.Find("script, style, svg").Remove()
	read := strings.Join(strings.Fields(doc.Text()), " ")
	for _, all := range []string{read, text.String()} {
		for sentence := range strings.SplitAfterSeq(all, ". ") { // many times as fast as in one long text
			if at := never.FindStringIndex(sentence); at != nil {
				t.Errorf("%s: …%s…", of, sentence[max(0, at[0]-120):min(len(sentence), at[1]+40)])
			}
		}
	}
	if r.Assessors > 0 {
		checkFirstLines(t, p)
	}
	for _, x := range p.Others {
		if strings.Contains(x.Text, "It is clear that") || strings.Contains(x.Text,
			"That there is a difference is clear") {
			t.Errorf("%s: told like the main question: %s", of, x.Text)
		}
	}
	for _, claim := range ofTenPeople.FindAllString(read, -1) {
		if regexp.MustCompile(`\b(1[1-9]|[2-9]\d)\b`).MatchString(claim) {
			t.Errorf("%s: %s", of, claim)
		}
	}
	checkDifferenceSaid(t, of, s, r.Findings, p)
}

// checkDifferenceSaid: the difference of the primary finding, in the digits of its scale.
func checkDifferenceSaid(t *testing.T, of string, s *study.Study, all []analysis.Finding, p report.Page) {
	t.Helper()
	if len(all) == 0 || all[0].Role != analysis.Primary {
		return
	}
	f, said := all[0], strings.Join(p.Verdict, " ")
	if f.Kind != analysis.KindPair && f.Kind != analysis.KindGroups || math.IsNaN(f.Value) || f.N == 0 ||
		strings.Contains(said, "the same rating") {
		return
	}
	a, _ := s.Attribute(f.Attribute)
	n := 2
	if a.Scale.Max()-a.Scale.Min() >= 50 {
		n = 1
	}
	digits := strconv.FormatFloat(math.Abs(f.Value), 'f', n, 64)
	if !strings.Contains(said, digits) {
		t.Errorf("%s: the difference is %g, and it says %s", of, f.Value, said)
	}
	if v := f.Verdict; v.Different() && (strings.Contains(said, "was rated higher") && v.Direction < 0 ||
		strings.Contains(said, "was rated lower") && v.Direction > 0) {
		t.Errorf("%s: direction %d, and it says %s", of, v.Direction, said)
	}
}

package summary

import (
	"math/rand/v2"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	"cloche/internal/analysis"
	"cloche/internal/calibrate"
	"cloche/internal/design"
	"cloche/internal/method"
	"cloche/internal/panel"
	"cloche/internal/report"
	_ "cloche/internal/simulated" // studies of a moment are garbage: collect it less often
	"cloche/internal/study"
	"cloche/internal/words"
	"cloche/studies"
)

// aNumber is one of a paragraph, with either decimal sign.
var aNumber = regexp.MustCompile(`\d+([.,]\d+)*`)

func numbersIn(text string) []string {
	return aNumber.FindAllString(strings.ReplaceAll(text, ",", "."), -1)
}

// translated is a language's [words.Words.Paper] that reports what is not there.
func translated(t *testing.T, w words.Words, of string) analysis.Say {
	return func(english string, values ...any) string {
		if english != "%s" && !w.InPaper(english) { // a name as it is has no words of its own
			t.Errorf("%s, in %s nothing for %q", of, w.Name, english)
		}
		return w.Paper(english, values...)
	}
}

// TestMethodsInEveryLanguage: of every example, every kind of plan, and of random answers, flows
// and ends of tasting, no text of the paragraph lacks in a language, and its numbers are the same.
func TestMethodsInEveryLanguage(t *testing.T) {
	kinds, err := calibrate.Kinds()
	if err != nil {
		t.Fatal(err)
	}
	all := map[string]*study.Study{}
	for _, k := range kinds {
		all[k.Name] = k.Study
	}
	files, err := filepath.Glob("../../../studies/*.yaml")
	if err != nil || len(files) < 25 {
		t.Fatal(files, err)
	}
	for _, path := range files {
		src, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		s, problems := study.Parse(path, src)
		if len(problems) > 0 {
			t.Fatal(problems)
		}
		all[filepath.Base(path)] = s
	}
	for name, s := range all {
		for seed := range uint64(3) {
			compareLanguages(t, name, *s, seed)
		}
	}
}

func compareLanguages(t *testing.T, name string, s study.Study, seed uint64) {
	t.Helper()
	random := rand.New(rand.NewPCG(seed, 11))
	plan, err := design.Draw(&s, design.Options{Seed: seed})
	if err != nil {
		t.Fatalf("%s: %v", name, err)
	}
	answers := calibrate.Answers(&s, plan, seed, random)
	if seed > 0 && s.TurnServings() <= 1 { // of plates side by side all are answered
		answers = slices.DeleteFunc(answers, func(x analysis.Rating) bool {
			return x.Sample == s.Samples[0].ID && strings.HasSuffix(x.Assessor, "7")
		})
	}
	if seed == 2 {
		s.Plan.StopBy = "2026-12-05"
	}
	o := calibrate.Knowing(&s, plan)
	o.Ended = &analysis.Ended{Finished: random.IntN(3), Sittings: 1 + random.IntN(2), LastDay: "2026-12-06",
		Closed: "2026-12-07"}
	found, err := analysis.Analyse(&s, answers, o)
	if err != nil {
		t.Fatalf("%s: %v", name, err)
	}
	flow := report.Flow{Places: 60, SaidNo: random.IntN(3), Seated: 1 + random.IntN(40), Finished: random.IntN(30),
		Left: random.IntN(3), Withdrawn: random.IntN(3), Stopped: random.IntN(3)}
	s.Languages = study.Spoken
	stored := panel.Study{Spec: &s, Lock: panel.Lock{At: time.Date(2026, 12, 1, 9, 30, 0, 0, time.UTC), Seed: seed,
		StudyHash: "1f2e", PlanHash: "3a4b"}}
	texts := MethodsTexts(stored, flow, found)
	if len(texts) != len(study.Spoken) {
		t.Fatalf("%s: in %d languages", name, len(texts))
	}
	for _, x := range texts {
		w, read := words.In(x.Language), stored
		read.Spec = s.In(x.Language)
		said := methodsIn(read, flow, found, w.Moment(stored.Lock.At), translated(t, w, name))
		if said != x.Text {
			t.Errorf("%s, %s: %s\nnot: %s", name, x.Name, x.Text, said)
		}
		if got, want := numbersIn(x.Text), numbersIn(texts[0].Text); !slices.Equal(got, want) {
			t.Errorf("%s, %s: %v, in English %v", name, x.Name, got, want)
		}
	}
}

// leftInEnglish are words of notes, of which no cited work's title here has one.
var leftInEnglish = regexp.MustCompile(`\b(from|memory|ties|given|with|by|where|which|each|interval|intervals|prior|` +
	`bounds|fitted|fixed|person|people|random|sided|against|forms|order)\b`)

// TestMethodsNamesInEveryLanguage: a test that can stand in the paragraph has its title and the
// notes of its source in every language, and so has every reason to leave somebody out.
func TestMethodsNamesInEveryLanguage(t *testing.T) {
	named := []method.Method{method.Of(method.ProductMap), method.Of(method.Consistency), method.Of(method.Holm)}
	sources := []string{method.Of(method.SampleByAssessor).Source}
	for _, m := range method.All() {
		if m.Use == method.Test {
			named = append(named, m)
		}
	}
	s := &study.Study{}
	s.Panel.Screening = []study.Screen{{ID: "x", LeavesOut: study.Yes}, {ID: "y", LeavesOut: study.No}}
	for _, tag := range study.Spoken[1:] {
		w := words.In(tag)
		say := translated(t, w, "a name")
		for _, m := range named {
			say(m.Title)
			sources = append(sources, m.Source)
		}
		for _, source := range sources {
			if got := leftInEnglish.FindString(sourceIn(source, say)); got != "" {
				t.Errorf("%s: %q of %q is left", w.Name, got, source)
			}
		}
		for _, reason := range []string{analysis.ReasonOneOnly, analysis.ReasonNeither, analysis.ReasonNotAsked,
			analysis.ReasonByDesign, analysis.ReasonNotAllTicked, analysis.ReasonNotAllThree, analysis.ReasonBoth,
			analysis.ReasonPartOfTable, analysis.ReasonUnfinished, analysis.ReasonNotRead, analysis.ReasonNotMet,
			"said yes to the screening question “x”", "said no to the screening question “y”"} {
			if got := analysis.ReasonIn(s, reason, say); got == reason {
				t.Errorf("%s: %q is left", w.Name, reason)
			}
		}
	}
}

// TestMethodsSayWhatStandsBeside: the paragraph says how a study could stop early and what was reckoned beside its
// tests, in every language, where the study has it and nowhere else.
func TestMethodsSayWhatStandsBeside(t *testing.T) {
	says := map[string]string{"looks": "looks before the end", "evidence": "Evidence was counted",
		"amounts": "is worth in amounts", "way": "named minus blind", "blind": "After the last plate",
		"shift": "Whether everybody shifts"}
	for name, wants := range map[string]string{"roasted-first": "looks", "darker-caramel": "evidence",
		"salt-by-the-gram": "amounts", "promised-sweet": "way", "smooth-by-starch": "blind", "nutmeg-for-some": "shift",
		"warmed-plates": "none"} {
		src, err := os.ReadFile("../../../studies/" + name + ".yaml")
		if err != nil {
			t.Fatal(err)
		}
		s, problems := study.Parse(name, src)
		if len(problems) > 0 {
			t.Fatal(problems)
		}
		plan, err := design.Draw(s, design.Options{Seed: 3})
		if err != nil {
			t.Fatal(err)
		}
		ratings := calibrate.Answers(s, plan, 1, rand.New(rand.NewPCG(3, 11)))
		o := calibrate.Knowing(s, plan)
		o.Guessed, o.Expected = nil, nil
		for _, x := range ratings {
			if s.Panel.LastQuestion != "" && x.Position == 1 && !slices.ContainsFunc(o.Guessed,
				func(g analysis.Guessed) bool { return g.Assessor == x.Assessor }) {
				o.Guessed = append(o.Guessed, analysis.Guessed{Assessor: x.Assessor, Guess: study.GuessUnknown})
			}
			if sample, ok := s.Sample(x.Sample); ok && s.Serving.Expectation && sample.Name != "" {
				o.Expected = append(o.Expected, analysis.Expectation{Assessor: x.Assessor, Name: sample.Name,
					Attribute: x.Attribute, Value: x.Value})
			}
		}
		found, err := analysis.Analyse(s, ratings, o)
		if err != nil {
			t.Fatal(err)
		}
		stored := panel.Study{Spec: s, Lock: panel.Lock{At: time.Date(2026, 12, 1, 9, 30, 0, 0, time.UTC)}}
		flow := report.Flow{Places: 60, Seated: 40, Finished: 40}
		text := MethodsTexts(stored, flow, found)[0].Text
		for what, words := range says {
			if strings.Contains(text, words) != (what == wants) {
				t.Errorf("%s: %q is said: %t\n%s", name, words, what != wants, text)
			}
		}
		for _, tag := range study.Spoken[1:] {
			w := words.In(tag)
			said := methodsIn(stored, flow, found, w.Moment(stored.Lock.At), translated(t, w, name))
			if got, want := numbersIn(said), numbersIn(text); len(got) != len(want) {
				t.Errorf("%s, %s: %v, in English %v", name, w.Name, got, want)
			}
		}
	}
}

// TestMethodsInLanguagesOfTheStudy: English comes first, as the study has it where it speaks
// English; a language without words here has no paragraph; the file and the report hold each.
func TestMethodsInLanguagesOfTheStudy(t *testing.T) {
	s, problems := study.Parse("study.yaml", studies.CeleriacCustard)
	if len(problems) > 0 {
		t.Fatal(problems)
	}
	plan, err := design.Draw(s, design.Options{Seed: 1})
	if err != nil {
		t.Fatal(err)
	}
	found, err := analysis.Analyse(s, calibrate.Answers(s, plan, 1, rand.New(rand.NewPCG(1, 1))), analysis.Options{})
	if err != nil {
		t.Fatal(err)
	}
	for _, tc := range []struct{ has, want []string }{
		{[]string{"en"}, []string{"en"}}, {[]string{"fr", "en-GB", "pt"}, []string{"en-GB", "fr"}},
		{[]string{"de", "it"}, []string{"en", "de", "it"}},
	} {
		spoken := *s
		spoken.Languages = tc.has
		texts := MethodsTexts(panel.Study{Spec: &spoken}, report.Flow{}, found)
		var got []string
		var page strings.Builder
		err := report.WriteHTML(&page, report.Build(s, found, report.Options{Methods: texts}))
		if err != nil {
			t.Fatal(err)
		}
		spoken.Invented = false
		if tasted := MethodsTexts(panel.Study{Spec: &spoken}, report.Flow{}, found)[0].Text; !s.Invented ||
			!strings.HasPrefix(texts[0].Text, "The data are invented") || strings.Contains(tasted, "invented") {
			t.Errorf("of invented data %q, of others %q", texts[0].Text, tasted)
		}
		for _, x := range texts {
			got = append(got, x.Language)
			if !strings.Contains(page.String(), `lang="`+x.Language+`"`) ||
				!strings.Contains(report.MethodsFile(texts), x.Text+"\n") {
				t.Errorf("%s lacks in page or file", x.Name)
			}
		}
		if !slices.Equal(got, tc.want) {
			t.Errorf("of %v in %v, want %v", tc.has, got, tc.want)
		}
	}
}

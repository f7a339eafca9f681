package report_test

import (
	"bytes"
	"encoding/json"
	"fmt"
	"math/rand/v2"
	"slices"
	"strconv"
	"strings"
	"testing"

	"cloche/internal/analysis"
	"cloche/internal/report"
	"cloche/internal/study"
)

// tickedCase is a study of random ticks by up to 60 people, with what its report says.
func tickedCase(t *testing.T, seed uint64) (*study.Study, *analysis.Result, report.Page) {
	t.Helper()
	random := rand.New(rand.NewPCG(seed, 7))
	s := panelOf(2 + random.IntN(5))
	s.Question, s.Languages = study.WhichWords, []string{"en"}
	list := study.Attribute{ID: "list", Ask: "Which words fit?", Scale: study.Scale{Kind: study.WordList}}
	for i := range 2 + random.IntN(10) {
		list.Scale.Labels = append(list.Scale.Labels, fmt.Sprintf("word %d", i))
		list.Scale.Ticks = append(list.Scale.Ticks, study.AttributeID(fmt.Sprintf("list.word-%d", i)))
	}
	s.Attributes = []study.Attribute{list}
	if seed%2 == 0 {
		s.Attributes = append(s.Attributes, study.Attribute{ID: "liking", Ask: "Do you like it?",
			Scale: study.Scale{Kind: study.Line, Low: "no", High: "yes"}})
	}
	s.Plan = study.AnalysisPlan{Sides: study.TwoSided, Alpha: 0.05,
		SmallestEffect: []float64{0, 0.1, 0.25, 0.9}[random.IntN(4)]}
	apart := float64(random.IntN(4)) * 0.25
	var answers []analysis.Rating
	for i := range 1 + random.IntN(60) {
		for j, x := range s.Samples {
			for k, a := range s.Answered() {
				v := 100 * random.Float64()
				if a.Scale.Kind == study.Ticked {
					share := 0.2
					if k < 2 && j == k {
						share += apart
					}
					if v = 0; random.Float64() < share {
						v = 1
					}
				}
				answers = append(answers, analysis.Rating{Assessor: fmt.Sprint(i + 1), Turn: j + 1, Position: j + 1,
					Sample: x.ID, Attribute: a.ID, Value: v})
			}
		}
	}
	r := analyse(t, s, answers)
	return s, r, report.Build(s, r, report.Options{})
}

// TestTicksAreDrawnAndToldAsTheyAre: every count of every word and sample is drawn, and every
// sentence agrees with the numbers that it speaks of.
func TestTicksAreDrawnAndToldAsTheyAre(t *testing.T) {
	codes := map[analysis.VerdictCode]bool{}
	maps := 0
	for seed := range uint64(60) {
		s, r, page := tickedCase(t, seed)
		f := r.Findings[0]
		codes[f.Verdict.Code] = true
		where := fmt.Sprintf("seed %d (%s)", seed, f.Verdict.Code)
		checkTicksDrawn(t, where, f, optionOf(t, page.Figures[0]))
		if f.Words.Map != nil {
			maps++
			checkMapDrawn(t, where, f, page.Figures[1])
		} else if slices.ContainsFunc(page.Figures,
			func(f report.Figure) bool { return strings.HasSuffix(f.ID, "-map") }) {
			t.Errorf("%s: a map of nothing", where)
		}
		checkWordsTold(t, where, s, f, page)
		checkWordsSure(t, where, f, page)
		checkFirstLines(t, page)
	}
	for _, code := range []analysis.VerdictCode{analysis.TooFew, analysis.DifferentAct, analysis.DifferentSizeOpen,
		analysis.DifferentSmall, analysis.Alike, analysis.Open} {
		if !codes[code] {
			t.Errorf("no case has the verdict %s", code)
		}
	}
	if maps < 8 {
		t.Errorf("%d maps", maps)
	}
}

func checkTicksDrawn(t *testing.T, where string, f analysis.Finding, o option) {
	t.Helper()
	drawn := map[string]int{}
	for _, line := range o.Series {
		for _, d := range line.Data {
			n, err := strconv.Atoi(line.Name)
			if err != nil || !o.XAxis[0].holds(d.Value[0]) || !o.YAxis[0].holds(d.Value[1]) {
				t.Errorf("%s: %q at %v", where, line.Name, d.Value)
			}
			drawn[o.YAxis[0].Data[int(d.Value[1])]+" of "+o.XAxis[0].Data[int(d.Value[0])]] += n
		}
	}
	for _, w := range f.Words.Words {
		for j, n := range w.Ticked {
			if got := drawn[w.Word+" of "+string(f.Comparison[j])]; got != n {
				t.Errorf("%s: %s of %s: %d drawn, %d ticked", where, w.Word, f.Comparison[j], got, n)
			}
		}
	}
}

// checkMapDrawn: every sample and word that was ticked stands on the map, where it lies.
func checkMapDrawn(t *testing.T, where string, f analysis.Finding, figure report.Figure) {
	t.Helper()
	o := optionOf(t, figure)
	want := len(f.Words.Map.Words) + len(f.Comparison)
	if len(o.Series) != want || len(figure.Data.Rows) != want {
		t.Errorf("%s: %d marks and %d rows, want %d", where, len(o.Series), len(figure.Data.Rows), want)
	}
	for _, w := range f.Words.Map.Words {
		at := o.named(w.Word)
		if len(at) != 1 || at[0] != w.At || !o.XAxis[0].holds(w.At[0]) || !o.YAxis[0].holds(w.At[1]) {
			t.Errorf("%s: %s at %v, drawn %v", where, w.Word, w.At, at)
		}
	}
}

func checkWordsTold(t *testing.T, where string, s *study.Study, f analysis.Finding, page report.Page) {
	t.Helper()
	text := strings.Join(page.Verdict, " ")
	apart := 0
	for _, w := range f.Words.Words {
		if w.Test.PAdjusted < s.Plan.Alpha {
			apart++
			if f.Verdict.Different() && apart <= 2 && !strings.Contains(text, "“"+w.Word+"”") &&
				len(f.Words.Words) < 5 {
				t.Errorf("%s: %s is not named in %q", where, w.Word, text)
			}
		}
	}
	if f.Verdict.Different() != strings.Contains(text, "do not tick the same words") {
		t.Errorf("%s: %q", where, text)
	}
	if f.Verdict.Different() && (apart == 0) != strings.Contains(text, "no single one does") {
		t.Errorf("%s: %d words tell, and it says %q", where, apart, text)
	}
	if f.Verdict.Code == analysis.TooFew != strings.Contains(text, "Too few to say") {
		t.Errorf("%s: %q", where, text)
	}
	titles := []string{}
	for _, table := range page.Tables {
		titles = append(titles, table.Title)
		for _, row := range table.Rows {
			if len(row) != len(table.Headings) {
				t.Errorf("%s: %q has %d cells under %d headings", where, table.Title, len(row), len(table.Headings))
			}
		}
	}
	if len(page.Tables) == 0 || len(page.Tables[0].Rows) != len(f.Words.Words)+1 {
		t.Errorf("%s: tables %v", where, titles)
	}
	if pairs := len(s.Samples) * (len(s.Samples) - 1) / 2; slices.Contains(titles,
		"Which samples the words set apart") {
		if rows := len(page.Tables[1].Rows); rows != apart*pairs {
			t.Errorf("%s: %d rows of %d words with %d pairs", where, rows, apart, pairs)
		}
	} else if apart > 0 {
		t.Errorf("%s: %d words tell, and no table says between which samples", where, apart)
	}
}

// checkWordsSure: beside the finding stands the widest difference of all words and pairs,
// with every other way of reckoning it.
func checkWordsSure(t *testing.T, where string, f analysis.Finding, page report.Page) {
	t.Helper()
	if page.Sure == nil {
		if len(f.Rechecks) > 0 {
			t.Errorf("%s: reckoned anew and not told: %+v", where, f.Rechecks)
		}
		return
	}
	most := 0
	for _, w := range f.Words.Words {
		most = max(most, slices.Max(w.Ticked)-slices.Min(w.Ticked))
	}
	want := fmt.Sprintf("%.0f %%", 100*float64(most)/float64(f.N))
	if got := strings.Replace(page.Sure.Rows[0].Difference, "−", "-", 1); got != want {
		t.Errorf("%s: most people more are told as %q, counted %q", where, got, want)
	}
	word, pair, _ := f.WidestWord()
	by := map[study.SampleID]int{}
	for j, id := range f.Comparison {
		by[id] = word.Ticked[j]
	}
	if by[pair.First]-by[pair.Second] != most || !strings.Contains(page.Sure.Said, "more ticked “"+word.Word+"” for ") {
		t.Errorf("%s: %+v: %q", where, pair, page.Sure.Said)
	}
	if len(page.Sure.Rows) != len(f.Rechecks)+1 {
		t.Errorf("%s: %d rows of %d ways", where, len(page.Sure.Rows), len(f.Rechecks))
	}
}

// TestWordsAtTheEndsOfTheRange: nobody ticks anything, everybody everything, one word tells
// and no other; two words or 25, two samples or eight, with a rating beside or without.
func TestWordsAtTheEndsOfTheRange(t *testing.T) {
	ticks := map[string]func(i, j, w int) bool{
		"nobody anything":      func(_, _, _ int) bool { return false },
		"everybody everything": func(_, _, _ int) bool { return true },
		"one word":             func(_, j, w int) bool { return w == 0 && j == 0 },
		"one person":           func(i, j, w int) bool { return i == 0 && (j+w)%2 == 0 },
		"all words together":   func(_, j, _ int) bool { return j == 0 },
	}
	for name, ticked := range ticks {
		for _, of := range [][3]int{{2, 2, 24}, {2, 25, 24}, {8, 2, 24}, {8, 25, 24}, {3, 5, 1}} {
			s, answers := ticking(of, ticked)
			r := analyse(t, s, answers)
			page, f := report.Build(s, r, report.Options{}), r.Findings[0]
			where := fmt.Sprint(name, of)
			checkTicksDrawn(t, where, f, optionOf(t, page.Figures[0]))
			checkWordsTold(t, where, s, f, page)
			checkWordsSure(t, where, f, page)
			if telling := name != "nobody anything" && name != "everybody everything"; !telling {
				if f.Verdict.Different() || strings.Contains(page.Figures[0].Alt, "most surely") {
					t.Errorf("%s: %v, %s", where, f.Verdict.Code, page.Figures[0].Alt)
				}
			} else if name != "one person" && of[2] > 1 && !f.Verdict.Different() {
				t.Errorf("%s: %v", where, f.Verdict.Code)
			}
			var out bytes.Buffer
			if err := report.WriteJSON(&out, s, r); err != nil || !json.Valid(out.Bytes()) {
				t.Errorf("%s: %v", where, err)
			}
		}
	}
}

// ticking is a study of so many samples, words and people, who tick as they are told.
func ticking(of [3]int, ticked func(i, j, w int) bool) (*study.Study, []analysis.Rating) {
	s := panelOf(of[0])
	s.Question, s.Languages = study.WhichWords, []string{"en"}
	list := study.Attribute{ID: "list", Ask: "Which words fit?", Scale: study.Scale{Kind: study.WordList}}
	for i := range of[1] {
		list.Scale.Labels = append(list.Scale.Labels, fmt.Sprintf("word %d", i))
		list.Scale.Ticks = append(list.Scale.Ticks, study.AttributeID(fmt.Sprintf("list.word-%d", i)))
	}
	s.Attributes = []study.Attribute{list, {ID: "liking", Ask: "Do you like it?",
		Scale: study.Scale{Kind: study.Line, Low: "no", High: "yes"}}}
	s.Plan = study.AnalysisPlan{Sides: study.TwoSided, Alpha: 0.05, SmallestEffect: 0.25}
	var answers []analysis.Rating
	for i := range of[2] {
		for j, x := range s.Samples {
			for k, a := range s.Answered() {
				v := float64((31*i + 17*j) % 101)
				if a.Scale.Kind == study.Ticked {
					if v = 0; ticked(i, j, k) {
						v = 1
					}
				}
				answers = append(answers, analysis.Rating{Assessor: fmt.Sprint(i + 1), Turn: j + 1, Position: j + 1,
					Sample: x.ID, Attribute: a.ID, Value: v})
			}
		}
	}
	return s, answers
}

// TestWordsAreWritten: the findings as JSON hold every word, pair and coordinate.
func TestWordsAreWritten(t *testing.T) {
	for seed := range uint64(6) {
		s, r, _ := tickedCase(t, seed)
		var out bytes.Buffer
		if err := report.WriteJSON(&out, s, r); err != nil {
			t.Fatal(err)
		}
		var got struct {
			Findings []struct {
				Kind  string
				Words []struct {
					Attribute string
					Ticked    map[string]int
					Pairs     []any `json:"word_pairs"`
					Rated     map[string]any
				}
				None map[string]int `json:"ticked_none"`
				Map  *struct{ Samples, Words map[string][2]float64 }
			}
		}
		if err := json.Unmarshal(out.Bytes(), &got); err != nil {
			t.Fatal(err)
		}
		f, k := got.Findings[0], len(s.Samples)
		list, _ := s.Words()
		if f.Kind != "words" || len(f.Words) != len(list.Scale.Labels) || len(f.None) != k {
			t.Fatalf("seed %d: %+v", seed, f)
		}
		for _, w := range f.Words {
			if len(w.Ticked) != k || len(w.Pairs) != k*(k-1)/2 || w.Rated != nil && seed%2 == 1 {
				t.Errorf("seed %d: %+v", seed, w)
			}
		}
		if m := r.Findings[0].Words.Map; (m != nil) != (f.Map != nil) || m != nil && len(f.Map.Words) != len(m.Words) {
			t.Errorf("seed %d: map %v", seed, f.Map)
		}
	}
}

package study

import (
	"fmt"
	"runtime/debug"
	"slices"
	"strings"
	"testing"
	"unicode/utf8"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"
)

// Texts and their trees are garbage as soon as they were compared: to collect it less often
// takes two fifths off the processor time of the random studies, and a few megabytes.
func init() { debug.SetGCPercent(400) }

// awkward are texts that YAML could take for something else.
var awkward = []string{
	"true", "No", "null", "~", "y", "1", "1.5", "1e3", "0x1F", "007", "-5", "+1", ".inf", ".nan", "1_000", "12:30",
	"2026-11-25",
	"- a", "-", "? a", ": a", "a: b", "a:", "a #b", "#a", "&a", "*a", "!a", "%a", "@a", "`a", "|", ">", "|-", "{a}",
	"[a]", "{", "]", ",",
	"'", `"`, `\`, `\n`, `'a'`, `"a"`, "it's", `say "a"`, "<<", "---", "...", "a, b", "a  b", "ça", "日本語", "é", "🍮",
	"a\u00a0b", "=",
	"60 g", "55 °C", "1/2 dl", "100 %", "(a)", "a's", "a…", "«a»", "a\\", "0o7", "0b1", "Inf", "NaN", "on", "1 2",
	"x y: z",
}

// drawText draws a sound text: one line, or paragraphs.
func drawText(t *rapid.T, label string, most int) string {
	piece := rapid.OneOf(
		rapid.SampledFrom(awkward),
		rapid.StringOfN(rapid.RuneFrom([]rune("ab cé'\"\\:#-,[]{}&*!|>%@`?~.0129_/=")), 1, 12, -1),
	)
	pieces := rapid.SliceOfN(piece, 1, 4).Draw(t, label)
	glue := " "
	if most == maxParagraph {
		glue = rapid.SampledFrom([]string{" ", "\n", "\n\n", "\n  ", " \n", "\n\n\n"}).Draw(t, label+" glue")
	}
	s := strings.TrimSpace(strings.Join(pieces, glue))
	if s == "" {
		return "x"
	}
	return cut(s, most)
}

func cut(s string, most int) string {
	for utf8.RuneCountInString(s) > most {
		_, size := utf8.DecodeLastRuneInString(s)
		s = s[:len(s)-size]
	}
	return strings.TrimSpace(s)
}

func drawIDs(t *rapid.T, label string, lo, hi int) []string {
	id := rapid.StringMatching(`[A-Za-z][A-Za-z0-9_-]{0,8}`)
	return rapid.SliceOfNDistinct(id, lo, hi, strings.ToLower).Draw(t, label)
}

func drawDistinct(t *rapid.T, label string, lo, hi, most int) []string {
	texts := rapid.SliceOfNDistinct(rapid.Custom(func(t *rapid.T) string { return drawText(t, "text", most-3) }), lo,
		hi, rapid.ID[string]).Draw(t, label)
	seen := map[string]bool{}
	for i, s := range texts {
		if seen[fold(s)] {
			texts[i] = fmt.Sprintf("%s %d", s, i)
		}
		seen[fold(texts[i])] = true
	}
	return texts
}

// drawStudy draws a sound rating study. Ids and names are long enough, and
// texts odd enough, that no name is likely to stand in a text.
func drawStudy(t *rapid.T) *Study {
	s := &Study{
		Title:    drawText(t, "title", maxLine),
		Question: Naming,
		Languages: rapid.SampledFrom([][]string{{"en"}, {"fr"}, {"en", "fr"}, {"de-AT", "it", "es-MX"}}).Draw(t,
			"languages"),
		Invented: rapid.Bool().Draw(t, "invented"),
		Panel: Panel{Assessors: rapid.IntRange(1, 500).Draw(t, "assessors"),
			Sittings: rapid.IntRange(60, 90).Draw(t, "sittings")},
		Texts: Texts{
			Consent: drawText(t, "consent", maxParagraph), Instructions: drawText(t, "instructions", maxParagraph),
		},
	}
	if rapid.Bool().Draw(t, "more texts") {
		s.Hypothesis = drawText(t, "hypothesis", maxParagraph)
		s.Texts.Welcome, s.Texts.Thanks = drawText(t, "welcome", maxParagraph), drawText(t, "thanks", maxParagraph)
		s.Texts.Debrief, s.Texts.Comment = drawText(t, "debrief", maxParagraph), drawText(t, "comment", maxParagraph)
	}
	drawDishes(t, s)
	if s.ServesAlcohol() {
		s.Panel.MinimumAge = rapid.IntRange(lawfulAge, maxAge).Draw(t, "minimum age")
		s.Panel.WithdrawalDays = rapid.IntRange(0, maxWithdrawal).Draw(t, "withdrawal days")
		s.Panel.TellResult = rapid.Bool().Draw(t, "tell result")
		s.Panel.LastQuestion = rapid.SampledFrom([]LastQuestion{"", AskCompared}).Draw(t, "last question")
	}
	drawScreening(t, s)
	drawAttributes(t, s)
	drawServing(t, s)
	drawPlan(t, s)
	for _, lang := range s.Languages[1:] {
		s.Translations = append(s.Translations, drawTranslation(t, s, lang))
	}
	return s
}

// drawScreening draws questions of the program, with its words or others, and of
// the study's own.
func drawScreening(t *rapid.T, s *Study) {
	for _, id := range rapid.SliceOfNDistinct(rapid.SampledFrom([]string{"senses", "kitchen", "own"}), 0, maxScreens,
		rapid.ID[string]).Draw(t, "screens") {
		stock, known := StockScreenOf(id)
		x := stock.In(s.Languages[0])
		x.ID = id
		if !known || rapid.Bool().Draw(t, "own words") {
			x.Ask = drawText(t, "screen", maxLine)
		}
		x.LeavesOut = rapid.SampledFrom(replies).Draw(t, "leaves out")
		s.Panel.Screening = append(s.Panel.Screening, x)
	}
}

// drawTranslation draws words for all that assessors read, none of which the
// study has: each holds a character that no other text does.
func drawTranslation(t *rapid.T, s *Study, lang string) Translation {
	const mark = " ※"
	foreign := func(label string, most int) string { return drawText(t, label, most-2) + mark }
	x := Translation{Language: lang}
	for i, n := range s.Names {
		x.Names = append(x.Names, Name{n.ID, foreign("name", maxLine-10) + fmt.Sprintf(" yzzyx %d", i)})
	}
	for _, a := range s.Attributes {
		w := AttributeWords{ID: a.ID, Ask: foreign("ask", maxLine)}
		switch a.Scale.Kind {
		case Line:
			ends := drawDistinct(t, "ends", 2, 2, maxWord-2)
			w.Low, w.High = ends[0]+mark, ends[1]+mark
		case Categories:
			for _, label := range drawDistinct(t, "labels", len(a.Scale.Labels), len(a.Scale.Labels), maxWord-2) {
				w.Labels = append(w.Labels, label+mark)
			}
		case Hedonic9:
			w.Labels = hedonicLabels(lang)
		}
		x.Attributes = append(x.Attributes, w)
	}
	own := ownScreens(s)
	for _, asked := range s.Panel.Screening {
		w := ScreenWords{ID: asked.ID, Ask: foreign("screen", maxLine)}
		if stock, _ := StockScreenOf(asked.ID); !slices.Contains(own, asked.ID) {
			w.Ask = stock.In(lang).Ask
		}
		x.Screening = append(x.Screening, w)
	}
	for _, asked := range s.Serving.Strata {
		if asked.Ask == "" {
			continue
		}
		w := StratumWords{ID: asked.ID, Ask: foreign("stratum", maxLine)}
		for _, level := range drawDistinct(t, "levels", len(asked.Levels), len(asked.Levels), maxWord-2) {
			w.Levels = append(w.Levels, level+mark)
		}
		x.Strata = append(x.Strata, w)
	}
	_, notes := s.AllergenUnion()
	for _, note := range notes {
		x.AlsoContains = append(x.AlsoContains, NoteWords{note, foreign("note", maxLine)})
	}
	x.Texts = Texts{Consent: foreign("consent", maxParagraph), Instructions: foreign("instructions", maxParagraph)}
	if s.Texts.Welcome != "" {
		x.Texts.Welcome, x.Texts.Thanks = foreign("welcome", maxParagraph), foreign("thanks", maxParagraph)
		x.Texts.Debrief, x.Texts.Comment = foreign("debrief", maxParagraph), foreign("comment", maxParagraph)
	}
	return x
}

func drawDishes(t *rapid.T, s *Study) {
	for _, id := range drawIDs(t, "dish ids", 1, 4) {
		d := Dish{
			ID: DishID(id), Title: drawText(t, "dish", maxLine), Portion: drawText(t, "portion", maxWord),
			ServeAt: float64(rapid.IntRange(-400, 1000).Draw(t, "serve at")) / 10,
			Alcohol: rapid.Bool().Draw(t, "alcohol"),
		}
		for _, a := range Allergens {
			if rapid.Bool().Draw(t, string(a.ID)) {
				d.Allergens = append(d.Allergens, a.ID)
			}
		}
		if rapid.Bool().Draw(t, "notes") {
			d.AlsoContains = drawDistinct(t, "also contains", 1, 3, maxLine)
		}
		s.Dishes = append(s.Dishes, d)
	}
	for i, id := range drawIDs(t, "name ids", 2, 4) {
		s.Names = append(s.Names, Name{ID: NameID(id), Text: fmt.Sprintf("%s xyzzy %d", drawText(t, "name", maxLine-10),
			i)})
	}
	ids := drawIDs(t, "sample ids", 17, 20)
	for _, d := range s.Dishes {
		for _, n := range s.Names {
			s.Samples = append(s.Samples, Sample{ID: SampleID(ids[len(s.Samples)]), Dish: d.ID, Name: n.ID})
		}
	}
	if rapid.Bool().Draw(t, "blind") {
		s.Samples = append(s.Samples, Sample{ID: SampleID(ids[len(s.Samples)]), Dish: s.Dishes[0].ID})
	}
}

func drawAttributes(t *rapid.T, s *Study) {
	for _, id := range drawIDs(t, "attribute ids", 1, 4) {
		a := Attribute{ID: AttributeID(id), Ask: drawText(t, "ask", maxLine)}
		switch rapid.IntRange(0, 3).Draw(t, "kind") {
		case 0:
			a.Scale = Scale{Kind: Hedonic9, Labels: hedonicLabels(s.Languages[0])}
		case 1:
			a.Scale = Scale{Kind: Categories, Labels: drawDistinct(t, "labels", minLabels, maxLabels, maxWord)}
		default:
			ends := drawDistinct(t, "ends", 2, 2, maxWord)
			from := rapid.Float64Range(-1e6, 9e5).Draw(t, "from")
			a.Scale = Scale{Kind: Line, Low: ends[0], High: ends[1], From: from + 0,
				To: from + rapid.Float64Range(1e-3, 1e5).Draw(t, "span")}
		}
		s.Attributes = append(s.Attributes, a)
	}
}

func drawServing(t *rapid.T, s *Study) {
	n := len(s.Samples)
	v := Serving{
		Design: All, Replicates: rapid.IntRange(1, 3).Draw(t, "replicates"), Codes: CodePerServing,
		SpareCodes:    rapid.IntRange(0, maxSpares).Draw(t, "spares"),
		RinseSeconds:  rapid.IntRange(0, 3600).Draw(t, "rinse"),
		MaxPerSitting: rapid.SampledFrom([]int{0, 1, 5}).Draw(t, "most per sitting"),
		OneQuestion:   rapid.Bool().Draw(t, "one question"),
		ShowNumbers:   rapid.Bool().Draw(t, "show numbers"), TrayOpens: ByAllCodes,
		AtOneTable:   rapid.SampledFrom(tableOrders).Draw(t, "at one table"),
		Zone:         rapid.SampledFrom([]string{"", "UTC", "America/New_York", "Asia/Tokyo"}).Draw(t, "zone"),
		GraceMinutes: rapid.IntRange(0, mostGrace).Draw(t, "grace"),
		PassMinutes:  rapid.IntRange(1, mostPass).Draw(t, "pass"),
		PlateGate:    rapid.Bool().Draw(t, "plate gate"),
		Expectation:  rapid.Bool().Draw(t, "expectation"), KeepDishesApart: rapid.Bool().Draw(t, "keep apart"),
		BlindFirst: s.Samples[n-1].Name == "",
		HasSeed:    rapid.Bool().Draw(t, "has seed"), Attributes: FixedOrder,
	}
	if len(s.Attributes) > 1 && rapid.Bool().Draw(t, "rotated") {
		v.Attributes = RotatedOrder
	}
	if v.HasSeed {
		v.Seed = rapid.Uint64().Draw(t, "seed")
	}
	if rapid.Bool().Draw(t, "warm-up") {
		v.WarmUp, v.FixedReference, v.Codes = s.Samples[0].ID, s.Samples[n-1].ID, CodePerSample
	}
	switch {
	case rapid.Bool().Draw(t, "some") && n > 2:
		v.Design, v.PerAssessor = Some, rapid.IntRange(2, n-1).Draw(t, "per assessor")
	case rapid.Bool().Draw(t, "one"):
		v.Design, v.KeepDishesApart, v.BlindFirst, v.AtOneTable = One, false, false, MixedOrders
		for _, id := range drawIDs(t, "strata", 1, 3) {
			x := Stratum{ID: id, Levels: drawDistinct(t, "levels", 2, 4, maxWord)}
			if rapid.Bool().Draw(t, "asked") {
				x.Ask = drawText(t, "stratum", maxLine)
			}
			v.Strata = append(v.Strata, x)
		}
		v.Minimise = rapid.Bool().Draw(t, "minimise") || v.Combinations() > s.Panel.Assessors
	}
	if v.Blocks = v.usualBlocks(); !v.Minimise && rapid.Bool().Draw(t, "random blocks") {
		v.Blocks = RandomBlocks
	}
	v.AskHalf = v.Expectation && s.Panel.Assessors >= 4 && rapid.Bool().Draw(t, "ask half")
	s.Serving = v
}

func drawPlan(t *rapid.T, s *Study) {
	a := rapid.SampledFrom(s.Attributes).Draw(t, "attribute")
	tests := []Test{PairedT, SignedRank}
	if s.Serving.Design == One {
		tests = []Test{WelchT, RankSum}
	}
	s.Plan = AnalysisPlan{
		Compare: [2]SampleID{s.Samples[1].ID, s.Samples[0].ID}, Attribute: a.ID,
		Test:   rapid.SampledFrom(tests).Draw(t, "test"),
		Sides:  rapid.SampledFrom([]Sides{TwoSided, Greater, Less}).Draw(t, "sides"),
		Alpha:  rapid.Float64Range(1e-9, 0.5).Draw(t, "alpha"),
		Adjust: rapid.SampledFrom([]Adjustment{Holm, NoAdjustment}).Draw(t, "adjust"),
	}
	if rapid.Bool().Draw(t, "rules") {
		s.Plan.StopAfter, s.Plan.StopBy = rapid.IntRange(1, s.Panel.Assessors).Draw(t, "stop after"), "2028-02-29"
	}
	if rapid.Bool().Draw(t, "effect") {
		s.Plan.SmallestEffect = (a.Scale.Max() - a.Scale.Min()) * rapid.Float64Range(0.001, 1).Draw(t,
			"smallest effect")
	}
}

// Any sound study is written so that the same study is read back.
func TestFormatOfAnyStudy(t *testing.T) {
	schema := resolvedSchema(t)
	rapid.Check(t, func(t *rapid.T) {
		s := drawStudy(t)
		src := Format(s)
		fitsSchema(t, schema, src)
		again, problems := Parse("", src)
		if again == nil {
			t.Fatalf("a sound study is refused: %q\n%s", messages(problems), src)
		}
		if diff := cmp.Diff(s, again); diff != "" {
			t.Fatalf("study (-written +read):\n%s\n%s", diff, src)
		}
		if string(Format(again)) != string(src) {
			t.Fatalf("written again it differs:\n%s\n%s", src, Format(again))
		}
	})
}

// The nearest word is the one meant, for one slip in any known word.
func TestSlipsAreUnderstood(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var known []string
		for _, k := range dishKeys {
			known = append(known, k.name)
		}
		for _, a := range Allergens {
			known = append(known, string(a.ID))
		}
		w := rapid.SampledFrom(known).Filter(func(w string) bool { return len(w) > 3 }).Draw(t, "word")
		i := rapid.IntRange(0, len(w)-2).Draw(t, "at")
		typed := rapid.SampledFrom([]string{
			w[:i] + w[i+1:],
			w[:i] + "q" + w[i:],
			w[:i] + "q" + w[i+1:],
			w[:i] + w[i+1:i+2] + w[i:i+1] + w[i+2:],
			strings.ToUpper(w), strings.ReplaceAll(w, " ", "-"),
		}).Draw(t, "typed")
		if got, ok := nearest(typed, known); len(typed) > 2 && (!ok || got != w) {
			t.Fatalf("nearest(%q) = %q, %v; want %q", typed, got, ok, w)
		}
	})
}

package builder_test

import (
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	"cloche/internal/analysis"
	"cloche/internal/method"
	"cloche/internal/server/servertest"
	"cloche/internal/study"
)

// TestBuilderSpeaksEveryLanguage: no text of the builder stands in English alone.
func TestBuilderSpeaksEveryLanguage(t *testing.T) {
	servertest.EveryTemplateText(t, []string{`aria-invalid="true" aria-describedby=""`}, "templates/builder/*.html",
		"templates/layout/build.html", "templates/layout/notice.html")
	n := 0
	for _, text := range servertest.SourceTexts(t, ".") {
		if text == "" || ofAFile.MatchString(text) || slices.Contains(notRead, text) {
			continue
		}
		servertest.InEveryLanguage(t, "builder", text)
		n++
	}
	for _, text := range others() {
		servertest.InEveryLanguage(t, "of others", text)
	}
	if n < 400 {
		t.Errorf("only %d texts", n)
	}
}

// TestMistakesSpeakEveryLanguage: what package study says of a file and of names, in English by
// itself, is known to the words.
func TestMistakesSpeakEveryLanguage(t *testing.T) {
	texts := servertest.SaidTexts(t, "../../study")
	for _, text := range texts {
		servertest.InEveryLanguage(t, "study", text)
	}
	if len(texts) < 450 {
		t.Errorf("only %d texts", len(texts))
	}
}

// TestSizesSpeakEveryLanguage: what package analysis says of a panel’s size is known to the words.
func TestSizesSpeakEveryLanguage(t *testing.T) {
	texts := servertest.SaidTexts(t, "../../analysis")
	for _, text := range texts {
		servertest.InEveryLanguage(t, "analysis", text)
	}
	if len(texts) < 120 {
		t.Errorf("only %d texts", len(texts))
	}
	for _, x := range []method.ID{method.MixedT, method.MixedF, method.Holm, method.Tukey} {
		servertest.InEveryLanguage(t, "method", x.Title())
	}
	for _, q := range study.Questions() {
		if c, ok := analysis.SizedTest(q).Choice(); ok {
			servertest.InEveryLanguage(t, "analysis", c.Who)
		}
	}
	for _, field := range []string{"alpha", "beta", "power", "share", "difference", "distance", "spread", "assessors"} {
		servertest.InEveryLanguage(t, "field", field)
	}
}

// others are the texts of other packages that the builder shows.
func others() (all []string) {
	all = append(all, study.MostAttributesWords, study.KeepsSafe)
	for _, q := range study.Questions() {
		k := q.Kind()
		all = append(all, k.Title, k.ChooseIf, k.Example, k.Asks, k.Counts, k.WhyBlind, k.SamplesInWords())
		if c, ok := analysis.SizedTest(q).Choice(); ok {
			all = append(all, c.Label, c.Hint)
		}
	}
	for _, x := range study.Vocabulary {
		all = append(all, x.Name)
	}
	for _, x := range study.Allergens {
		us, _ := x.ID.US()
		short := []rune(strings.ReplaceAll(string(x.ID), "-", " "))
		all = append(all, us, strings.ToUpper(string(short[:1]))+string(short[1:]))
	}
	for day := range time.Saturday + 1 {
		all = append(all, day.String())
	}
	for _, x := range []study.Test{study.PairedT, study.SignedRank, study.MixedT, study.Lottery, study.Equivalence,
		study.Ordinal, study.WelchT, study.RankSum, study.MixedF, study.RMAnova, study.Friedman} {
		all = append(all, x.Title())
	}
	return append(all, method.EquivalenceWelch.Title(), method.Holm.Title(), string(study.Yes), string(study.No))
}

// ofAFile is a path or a key of a study file, an address, a name of a form or of a class, a
// regular expression.
var ofAFile = regexp.MustCompile(`^\^|^\(\?|^[a-z0-9%.:/?#=&_\[\]-]+$|^[^\pL]*(%[a-z])?[^\pL]*$|^/|^\.|` +
	`^(analysis|attributes|dishes|panel|serving|translations|texts|samples|names)[.[]`)

// notRead are words of the program's own that nobody reads: keys of a study file, and what is
// written into one.
var notRead = []string{"%d. %s", "%g,%g", "S", "a little", "about right", "add ", "add attributes", "add dishes",
	"add groups", "add names", "add screening", "add staff ", "also contains", "also languages", "amounts in",
	"blind sample", "down ", "drop ", "effect of", "expected order", "first compared", "item scale", "none of the 14",
	"not at all", "own words", "propose amounts", "remove ", "second compared", "serve at", "served ", "size answer",
	"study: ", "text/html; charset=utf-8", "the draft says more than quick start shows", "the example of: ",
	"the study is no draft", "too little", "too much", "up ", "way way-%d", "°C"}

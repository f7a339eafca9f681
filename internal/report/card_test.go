package report_test

import (
	"bytes"
	"encoding/xml"
	"errors"
	"image/png"
	"io"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"cloche/internal/picture"
	"cloche/internal/report"
	"cloche/internal/study"
	"cloche/internal/words"
)

// wordsOf are the words of an SVG in the order in which they were written.
func wordsOf(t *testing.T, svg []byte) string {
	t.Helper()
	var words []string
	for in := xml.NewDecoder(bytes.NewReader(svg)); ; {
		token, err := in.Token()
		if errors.Is(err, io.EOF) {
			return strings.Join(words, " ")
		}
		if err != nil {
			t.Fatalf("the picture is no sound XML: %v", err)
		}
		if text, ok := token.(xml.CharData); ok {
			words = append(words, strings.Fields(string(text))...)
		}
	}
}

// TestCardSaysWhatTheReportSays: the sentence of every example's card is the report's, as
// it stands on the page; beside it on how many it rests, since when, whose, and that the
// data is invented, when it is.
func TestCardSaysWhatTheReportSays(t *testing.T) {
	for _, name := range invented(t) {
		s, r := inventedOf(t, name)
		page := report.Build(s, r, report.Options{})
		card := report.CardOf(page, r, report.English, report.Card{House: "The House at the Ford",
			Date: "28 November 2026"})
		drawn, err := card.Picture()
		if err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		svg := drawn.SVG()
		sentence := strings.Join(strings.Fields(render(t, s, r).Find(".report-first").Text()), " ")
		_, shown, _ := strings.Cut(wordsOf(t, svg), sentence) // the title of the picture has it too
		for _, want := range []string{sentence, "The House at the Ford", card.People + " · 28 November 2026",
			"Invented data"} {
			if !strings.Contains(shown, want) {
				t.Errorf("%s: the card lacks %q: %s", name, want, shown)
			}
		}
		if card.Figure != nil && !strings.Contains(shown, card.Figure.Key) {
			t.Errorf("%s: the card does not say what the letters of its figure are: %s", name, card.Figure.Key)
		}
		if got := card.People; !strings.HasPrefix(got, strconv.Itoa(r.Assessors)+" ") {
			t.Errorf("%s: %s, want %d", name, got, r.Assessors)
		}
		if bytes.Contains(svg, []byte("href")) || bytes.Contains(svg, []byte("url(")) {
			t.Errorf("%s: the picture refers to something", name)
		}
		image, err := drawn.PNG()
		if err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		size, err := png.DecodeConfig(bytes.NewReader(image))
		if err != nil || size.Width != 1200 || size.Height != 630 {
			t.Errorf("%s: %d × %d, %v", name, size.Width, size.Height, err)
		}
	}
	s, r := inventedOf(t, "celeriac-custard")
	s.Invented = false
	card := report.CardOf(report.Build(s, r, report.Options{}), r, report.English, report.Card{Date: "today"})
	drawn, err := card.Picture()
	if err != nil || strings.Contains(wordsOf(t, drawn.SVG()), "nvented") {
		t.Errorf("real data is called invented: %v", err)
	}
}

var textAt = regexp.MustCompile(`<text x="[^"]*" y="([^"]*)"`)

// TestWordsOfACardStayInIt: also the longest answer of a hostile study ends above the foot.
func TestWordsOfACardStayInIt(t *testing.T) {
	for _, n := range []int{1, 12, 60} {
		c := report.Card{Title: strings.Repeat("A long question ", n), Answer: strings.Repeat("wordy ", 4*n),
			Beside: strings.Repeat("and more ", 3*n), House: strings.Repeat("House", n), People: "40 people",
			Date: "today"}
		drawn, err := c.Picture()
		if err != nil {
			t.Fatal(err)
		}
		for _, at := range textAt.FindAllStringSubmatch(string(drawn.SVG()), -1) {
			if y, err := strconv.ParseFloat(at[1], 64); err != nil || y > 630-40 {
				t.Errorf("words of %d repeats reach down to %s of 630 pixels", n, at[1])
			}
		}
	}
}

var wordsAt = regexp.MustCompile(`<text x="([^"]*)"[^>]*font-size="([^"]*)"[^>]*>([^<]*)<`)

// TestLegendOfACardStaysInIt: in every language, of two dishes of long names; all of it is said.
func TestLegendOfACardStaysInIt(t *testing.T) {
	s, r := inventedOf(t, "browned-butter")
	for _, tag := range study.Spoken {
		tell := func(x study.Said) string { return words.In(tag).Tell(x) }
		card := report.CardOf(report.Build(s, r, report.Options{Tell: tell}), r, tell, report.Card{})
		drawn, err := card.Picture()
		if err != nil {
			t.Fatal(err)
		}
		all := wordsAt.FindAllStringSubmatch(string(drawn.SVG()), -1)
		if len(all) < 10 {
			t.Fatalf("%d texts in %s", len(all), drawn.SVG())
		}
		for _, at := range all {
			x, _ := strconv.ParseFloat(at[1], 64)
			size, _ := strconv.ParseFloat(at[2], 64)
			if end := x + picture.Length(at[3], picture.Style{Size: size}); size == 15 && x < 1100 && end > 1145 {
				t.Errorf("%s: %q reaches to %.0f of 1200 pixels", tag, at[3], end)
			}
		}
		for _, e := range card.Figure.Legend {
			if !strings.Contains(wordsOf(t, drawn.SVG()), strings.Join(strings.Fields(e.Text), " ")) {
				t.Errorf("%s: the card lacks %q", tag, e.Text)
			}
		}
	}
}

// Every figure of every example can be had as a picture of its own, with every word of its legend.
func TestFiguresAsStills(t *testing.T) {
	for _, name := range invented(t) {
		s, r := inventedOf(t, name)
		page := report.Build(s, r, report.Options{})
		for _, f := range page.Figures {
			still, err := f.Still(page.Invented)
			if err != nil {
				t.Errorf("%s, %s: %v", name, f.ID, err)
				continue
			}
			said := wordsOf(t, still.SVG())
			for _, e := range f.Legend {
				if !strings.Contains(said, strings.Join(strings.Fields(e.Text), " ")) {
					t.Errorf("%s, %s: the legend lacks %q", name, f.ID, e.Text)
				}
			}
		}
	}
}

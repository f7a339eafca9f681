package words

import (
	"reflect"
	"regexp"
	"strings"
	"testing"
)

// parting is where a line could end within what belongs together: before a French sign, after an opening
// guillemet, between a number and its percent sign.
var parting = map[string]*regexp.Regexp{"fr": regexp.MustCompile(` [:;?!»]|« |(\d|%[.0-9]*[a-z]) %%`),
	"de": numberAndSign, "es": numberAndSign, "it": numberAndSign}

var numberAndSign = regexp.MustCompile(`(\d|%[.0-9]*[a-z]) (%%|°C)`)

// TestNoLineEndsWithinWhatBelongsTogether: in no text of any list, nor in those of guests.
func TestNoLineEndsWithinWhatBelongsTogether(t *testing.T) {
	n := 0
	for tag, apart := range parting {
		check := func(text string) {
			n++
			if apart.MatchString(text) {
				t.Errorf("%s: %q can be parted", tag, text)
			}
		}
		for _, list := range []map[string]map[string]string{staffTexts, paperTexts} {
			for _, text := range list[tag] {
				check(text)
			}
		}
		w := reflect.ValueOf(catalogue[tag])
		for i := range w.NumField() {
			if f := w.Field(i); f.Kind() == reflect.String {
				check(f.String())
			}
		}
	}
	if n < 8000 {
		t.Errorf("only %d texts", n)
	}
}

func TestHold(t *testing.T) {
	for _, tc := range []struct{ tag, text, want string }{
		{"fr", "Quoi ? « Rien » : 74 %", "Quoi\u00a0? «\u00a0Rien\u00a0»\u00a0: 74\u00a0%"},
		{"de", "%s %% von %d g, und 5 min.", "%s\u00a0%% von %d\u00a0g, und 5\u00a0min."},
		{"de", "5 gute Gründe: 3 Gäste", "5 gute Gründe: 3 Gäste"},
		{"es", "{n} °C y 3 s", "{n}\u00a0°C y 3\u00a0s"},
		{"en", "95 % ?", "95 % ?"},
	} {
		if got := hold(tc.tag, tc.text); got != tc.want {
			t.Errorf("%s: %q became %q, want %q", tc.tag, tc.text, got, tc.want)
		}
	}
}

// percent is a level within a sentence, as a report says it.
type percent struct{}

func (percent) InMark(mark string) string { return "97" + mark + "5 %" }

type level struct{}

func (level) String() string         { return "97.5 %" }
func (level) Parts() (string, []any) { return "%s", []any{percent{}} }

func TestALevelKeepsItsSign(t *testing.T) {
	for tag, want := range map[string]string{"en": "97.5 %", "fr": "97,5\u00a0%", "de": "97,5\u00a0%"} {
		if got := catalogue[tag].Tell(level{}); got != want {
			t.Errorf("%s: %q, want %q", tag, got, want)
		}
	}
}

// TestAColumnIsExplainedByItsName: what explains the table of assessors calls its columns as their heads do.
func TestAColumnIsExplainedByItsName(t *testing.T) {
	explained := 0
	for english, text := range staffTexts["en"] {
		if !strings.HasPrefix(text, "Tells apart: ") {
			continue
		}
		for tag, w := range catalogue {
			for _, head := range []string{"Tells apart", "Repeats within", "Agrees", "Level", "Spread on the scale"} {
				explained++
				said, named := w.Translate(english), w.Translate(head)+hold(tag, colon(tag))
				if !strings.Contains(said, named) {
					t.Errorf("%s: no column is explained as %q: %s", tag, named, said)
				}
			}
		}
	}
	if explained != 25 {
		t.Errorf("%d heads are explained, want 5 in 5 languages", explained)
	}
}

func colon(tag string) string {
	if tag == "fr" {
		return " :"
	}
	return ":"
}

// TestOneWordForALook: the builder and the desk call an interim look at the data by one word in each language.
func TestOneWordForALook(t *testing.T) {
	other := map[string]*regexp.Regexp{"fr": regexp.MustCompile(`\bregards?\b`),
		"de": regexp.MustCompile(`\bBlick(e|en|s)?\b`), "es": regexp.MustCompile(`\bmiradas?\b`),
		"it": regexp.MustCompile(`\bocchiat[ae]\b`)}
	look := regexp.MustCompile(`\b(?i:a|the|%d|1|planned|early|earlier|last|next|each|all|its|no) looks?\b`)
	n := 0
	for _, x := range staffBlocks(houseFile + "\n" + paperFile) {
		if !look.MatchString(x["en"]) {
			continue
		}
		n++
		for tag, word := range other {
			if word.MatchString(x[tag]) {
				t.Errorf("%s calls a look by another word in %q", tag, x[tag])
			}
		}
	}
	if n < 25 {
		t.Errorf("only %d texts of looks", n)
	}
}

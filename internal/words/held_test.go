package words

import (
	"reflect"
	"regexp"
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

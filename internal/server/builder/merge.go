package builder

import (
	"crypto/sha256"
	"encoding/base64"
	"encoding/json"
	"slices"
	"strings"
)

// A form of the builder says what its page showed: a short hash of each field's value,
// by the field's name. When the draft has moved on since, that tells a field that
// somebody changed on this page from one that somebody changed on another, so that only
// what both changed is in conflict.

// itemsShown names the hash of the items of the draft's lists and their order. With
// other items the same path is another thing, and nothing can be merged.
const itemsShown = "items"

// shownField is the form's field that holds what its page showed.
const shownField = "shown"

// fingerprint is a short hash of the values of a field.
func fingerprint(values ...string) string {
	h := sha256.New()
	for _, v := range values {
		h.Write([]byte(v))
		h.Write([]byte{0})
	}
	return base64.RawURLEncoding.EncodeToString(h.Sum(nil)[:9])
}

// sentPrint is the fingerprint of what a form sent for a field, cleaned.
func (f buildField) sentPrint(sent []string) string {
	if f.Kind == tick {
		return fingerprint(map[bool]string{true: "true"}[sent[0] == "true"])
	}
	return fingerprint(sent...)
}

// shownPrint is the fingerprint of what the field sends when nobody touches it.
func (f buildField) shownPrint() string {
	switch f.Kind {
	case ticks, lines:
		return fingerprint(f.shownList()...)
	case tick:
		return f.sentPrint([]string{f.Value})
	}
	return fingerprint(strings.TrimSpace(f.Value))
}

// shown is what a page of the step shows of the draft as it is kept, whatever was typed.
func (b *builder) shown() string {
	kept := Open(b.saved, b.tongue)
	kept.step = b.step
	prints := map[string]string{itemsShown: kept.items()}
	if b.step.name == textStep {
		prints[textStep] = fingerprint(unixLines(b.saved.File))
	}
	if b.step.parts != nil && kept.text != nil {
		for _, p := range b.step.parts(kept) {
			for _, f := range p.Fields {
				prints[f.Name] = f.shownPrint()
			}
		}
	}
	text, err := json.Marshal(prints)
	if err != nil { // strings always marshal
		return ""
	}
	return string(text)
}

// items is the fingerprint of the ids of what the draft lists.
func (b *builder) items() string {
	var ids []string
	for _, d := range b.asked.Dishes {
		ids = append(ids, "dish", string(d.ID))
	}
	for _, n := range b.asked.Names {
		ids = append(ids, "name", string(n.ID))
	}
	for _, x := range b.asked.Samples {
		ids = append(ids, "sample", string(x.ID))
	}
	for _, a := range b.asked.Attributes {
		ids = append(ids, "attribute", string(a.ID))
	}
	return fingerprint(ids...)
}

// merge takes out of a form that came from an older page the fields that nobody
// touched there, and notes those that were changed both there and since. It reports
// whether the rest can be saved.
func (b *builder) merge() bool {
	var was map[string]string
	if json.Unmarshal([]byte(b.sent.Get(shownField)), &was) != nil || was[itemsShown] != b.items() {
		b.contested = nil
		return false
	}
	b.contested = map[string]bool{}
	known := map[string]bool{"revision": true, "do": true, shownField: true}
	for _, p := range b.step.parts(b) {
		for _, f := range p.Fields {
			known[f.Name] = true
			sent, ok := b.sent[f.Name]
			if !ok {
				continue
			}
			mine, now := f.sentPrint(f.cleaned(sent)), f.shownPrint()
			switch {
			case mine == was[f.Name]:
				delete(b.sent, f.Name)
			case now != was[f.Name] && now != mine:
				b.contested[f.Name] = true
			}
		}
	}
	lost := false
	for name, sent := range b.sent {
		if known[name] || slices.Contains(b.step.keeps, name) {
			continue
		}
		if fingerprint(strings.TrimSpace(strings.Join(sent, "\n"))) == was[name] {
			delete(b.sent, name)
			continue
		}
		lost = true
	}
	return len(b.contested) == 0 && !lost
}

// mergeText reports whether the file that was sent can be saved although the draft has
// moved on: nobody has touched it on one of the two pages. It returns the text to keep.
func (b *builder) mergeText(text string) (string, bool) {
	var was map[string]string
	if json.Unmarshal([]byte(b.sent.Get(shownField)), &was) != nil {
		return text, false
	}
	now := unixLines(b.saved.File)
	switch {
	case fingerprint(unixLines(text)) == was[textStep]:
		return b.saved.File, true
	case fingerprint(now) == was[textStep], now == unixLines(text):
		return text, true
	}
	return text, false
}

func unixLines(text string) string { return strings.ReplaceAll(text, "\r\n", "\n") }

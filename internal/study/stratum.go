package study

import (
	"slices"

	"github.com/goccy/go-yaml/ast"
)

var stratumKeys = []key{
	required("id", "id: and a short word, as in guest"),
	{"ask", false, Say("ask: and the question as the assessor reads it")},
	required("levels", "levels: and a list such as [regular, new]"),
}

func (o object) strata() []Stratum {
	var strata []Stratum
	ids := o.identifiers(o.sub("strata"))
	o.list("strata", 1, maxStrata, func(path string, node ast.Node) {
		b, ok := o.object(path, Say("a stratum"), node, stratumKeys)
		if !ok {
			strata = append(strata, Stratum{})
			return
		}
		x := Stratum{ID: b.id("id"), Levels: b.levels(2, maxLevels)}
		if _, asked := b.values["ask"]; asked {
			x.Ask = b.text("ask", maxLine)
		}
		ids.take(path, x.ID)
		strata = append(strata, x)
	})
	return strata
}

func (o object) levels(lo, hi int) []string {
	var levels []string
	seen := map[string]bool{}
	o.list("levels", lo, hi, func(path string, node ast.Node) {
		level := o.reader.text(path, "a level", node, maxWord)
		if level != "" && seen[fold(level)] {
			o.reject(path, Say("the level %s is listed twice", quoted(level)), Say("write levels that differ"))
		}
		seen[fold(level)] = true
		levels = append(levels, level)
	})
	return levels
}

// askedStrata are the ids of the strata that assessors are asked about.
func askedStrata(s *Study) []string {
	var ids []string
	for _, x := range s.Serving.Strata {
		if x.Ask != "" {
			ids = append(ids, x.ID)
		}
	}
	return ids
}

func (o object) translatedStrata(s *Study, lang string) []StratumWords {
	if !o.sound("serving.strata") {
		return nil
	}
	b, ok := o.part("strata", lang, keysOf(askedStrata(s), "%s: with ask: and the words of its levels"))
	if !ok {
		return nil
	}
	var all []StratumWords
	for _, x := range s.Serving.Strata {
		node, ok := b.value(x.ID)
		if x.Ask == "" || !ok {
			continue
		}
		w := StratumWords{ID: x.ID}
		in, ok := b.object(b.sub(x.ID), Say("%q in %s", x.ID, lang), node, []key{
			required("ask", "ask: and the question in %s", lang),
			required("levels", "levels: and the words for its %d", len(x.Levels))})
		if ok {
			w.Ask, w.Levels = in.text("ask", maxLine), in.levels(len(x.Levels), len(x.Levels))
		}
		all = append(all, w)
	}
	return all
}

func (t Translation) stratum(x Stratum) Stratum {
	if i := slices.IndexFunc(t.Strata, func(w StratumWords) bool { return w.ID == x.ID }); i >= 0 {
		x.Ask, x.Levels = t.Strata[i].Ask, t.Strata[i].Levels
	}
	return x
}

package report

import (
	"fmt"
	"math"
	"slices"

	"cloche/internal/analysis"
	"cloche/internal/panel"
	"cloche/internal/study"
)

// BlindTo says who was kept from knowing what while a study ran, and what came of it, by what the
// service showed to whom and what is on record.
func BlindTo(s *study.Study, r *analysis.Result, c panel.Collected) []Fact {
	guests := "each serving by its code alone"
	codes := "three digits, drawn at random for each serving, none twice at a sitting"
	for _, x := range s.Samples {
		if x.Name != "" {
			guests = "each serving by its code, and by the name that was said with it where it has one"
		}
	}
	if s.Serving.Codes == study.CodePerSample {
		codes = "three digits, drawn at random for each sample at each sitting, so that neighbours could compare"
	}
	lead := "the question and the samples from the start; key and ratings by sample after the close"
	if f := first(r); f != nil && (f.Looks != nil || f.Evidence != nil) {
		lead += ", but for what the planned looks told before it"
	}
	broken := 0
	for _, x := range c.Turns {
		for _, v := range x.Servings {
			if !v.RevealedAt.IsZero() {
				broken++
			}
		}
	}
	facts := []Fact{
		{"Guests were shown", guests + "; neither question nor key"},
		{"Kitchen was shown", "which dish goes under which code while it plated; no names and no ratings"},
		{"Floor was shown", "codes and seats, and the name of a serving as it went out; not which dish it was"},
		{"Lead and partner were shown", lead},
		{"Codes", codes},
		{"Orders of serving", "drawn at random and balanced, from a seed that was fixed with the plan"},
		{"The blind was broken", brokenWords(broken)},
	}
	guessed := "nobody was asked after the last plate"
	if r.Blinding != nil {
		guessed = "asked after the last plate: see “Did the blind hold?”"
	}
	return append(facts, Fact{"Whether guests guessed", guessed},
		Fact{"Temperatures", temperatureWords(s, c.Measured)}, Fact{"Guests who felt unwell", unwellWords(c)})
}

// first is the primary finding; nil when there is none.
func first(r *analysis.Result) *analysis.Finding {
	if len(r.Findings) == 0 {
		return nil
	}
	return &r.Findings[0]
}

func brokenWords(n int) string {
	switch n {
	case 0:
		return "for no serving"
	case 1:
		return "for 1 serving; the log says why"
	}
	return fmt.Sprintf("for %d servings; the log says why", n)
}

// temperatureWords say how many temperatures were further off than makes no difference; an entry
// that was corrected counts as it was corrected.
func temperatureWords(s *study.Study, measured []panel.Measured) string {
	corrected := map[int64]bool{}
	for _, x := range measured {
		corrected[x.Corrects] = true
	}
	n, off := 0, 0
	for _, x := range measured {
		i := slices.IndexFunc(s.Dishes, func(d study.Dish) bool { return d.ID == x.Dish })
		if corrected[x.ID] || i < 0 {
			continue
		}
		n++
		if math.Abs(x.Celsius-s.Dishes[i].ServeAt) > panel.ServeWithin {
			off++
		}
	}
	if n == 0 {
		return "none were noted"
	}
	return fmt.Sprintf("%d of %d were more than %d °C off the one at which the study has the dish served", off, n,
		panel.ServeWithin)
}

// unwellWords count the people of whom it was noted, with an answer or without.
func unwellWords(c panel.Collected) string {
	places := map[panel.TurnID]int{}
	for _, x := range c.Turns {
		places[x.ID] = x.Place
	}
	who := map[int]bool{}
	for _, x := range c.Incidents {
		if place, known := places[x.TurnID]; known && x.What == panel.Unwell {
			who[place] = true
		}
	}
	if len(who) == 0 {
		return "nobody, as far as floor noted it"
	}
	return people(len(who)).String() + ", as floor noted it"
}

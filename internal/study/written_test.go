package study

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
)

// Format writes a study as a study file, from which [Parse] reads the same
// study. It says what differs from the defaults and leaves the rest out.
func Format(s *Study) []byte {
	w := &writer{}
	w.line("cloche: %d", FormatVersion)
	w.text(0, "title", s.Title)
	w.line("question: %s", s.Question)
	w.text(0, "hypothesis", s.Hypothesis)
	w.flag(0, "invented", s.Invented)
	w.languages(s.Languages)
	w.word(0, "amounts in", s.AmountsIn.String(), "")
	w.dishes(s.Dishes, s.Question.Kind().Amounts)
	w.names(s.Names)
	w.samples(s.Samples)
	w.attributes(s.Attributes)
	w.panel(s.Panel, s.offered()[0])
	w.serving(s)
	w.section("texts", func() { w.texts(1, s.Texts) })
	w.analysis(s)
	w.section("translations", func() {
		for _, t := range s.Translations {
			w.translation(s, t)
		}
	})
	return w.b
}

type writer struct{ b []byte }

func (w *writer) line(format string, args ...any) {
	w.b = fmt.Appendf(w.b, format+"\n", args...)
}

// section writes a block under a key, after an empty line; an empty block is
// left out.
func (w *writer) section(name string, body func()) {
	before := len(w.b)
	w.line("\n%s:", name)
	empty := len(w.b)
	body()
	if len(w.b) == empty {
		w.b = w.b[:before]
	}
}

// key writes "name: value" at a depth of indentation.
func (w *writer) key(depth int, name, value string) {
	w.line("%s%s: %s", strings.Repeat("  ", depth), name, value)
}

func (w *writer) text(depth int, name, s string) {
	if s == "" {
		return
	}
	indent := strings.Repeat("  ", depth+1)
	if !strings.Contains(s, "\n") || strings.TrimSpace(s) != s {
		w.key(depth, name, scalar(s))
		return
	}
	w.key(depth, name, "|-")
	for _, line := range strings.Split(s, "\n") {
		if line == "" {
			w.line("")
			continue
		}
		w.line("%s%s", indent, line)
	}
}

func (w *writer) texts(depth int, t Texts) {
	w.text(depth, "welcome", t.Welcome)
	w.text(depth, "consent", t.Consent)
	w.text(depth, "instructions", t.Instructions)
	w.text(depth, "thanks", t.Thanks)
	w.text(depth, "debrief", t.Debrief)
	w.text(depth, "comment", t.Comment)
	w.text(depth, "first compared", t.FirstCompared)
	w.text(depth, "second compared", t.SecondCompared)
}

func (w *writer) flag(depth int, name string, on bool) {
	if on {
		w.key(depth, name, "true")
	}
}

// count writes a number that is not the default.
func (w *writer) count(depth int, name string, n, usual int) {
	if n != usual {
		w.key(depth, name, strconv.Itoa(n))
	}
}

// word writes a word that is not the default.
func (w *writer) word(depth int, name, s, usual string) {
	if s != usual {
		w.key(depth, name, scalar(s))
	}
}

func (w *writer) dishes(dishes []Dish, amounts bool) {
	w.section("dishes", func() {
		for _, d := range dishes {
			w.line("  - id: %s", scalar(string(d.ID)))
			w.key(2, "title", scalar(d.Title))
			if amounts {
				w.key(2, "amount", shortest(d.Amount))
			}
			w.key(2, "portion", scalar(d.Portion))
			w.key(2, "serve at", degrees(d.ServeAt))
			w.key(2, "allergens", flow(d.Allergens))
			if len(d.AlsoContains) > 0 {
				w.key(2, "also contains", flow(d.AlsoContains))
			}
			w.flag(2, "alcohol", d.Alcohol)
		}
	})
}

func (w *writer) names(names []Name) {
	w.section("names", func() {
		for _, n := range names {
			w.line("  - id: %s", scalar(string(n.ID)))
			w.key(2, "text", scalar(n.Text))
		}
	})
}

func (w *writer) samples(samples []Sample) {
	w.section("samples", func() {
		for _, x := range samples {
			w.line("  - id: %s", scalar(string(x.ID)))
			w.key(2, "dish", scalar(string(x.Dish)))
			if x.Name == "" {
				w.key(2, "blind", "true")
				continue
			}
			w.key(2, "name", scalar(string(x.Name)))
		}
	})
}

func (w *writer) attributes(attributes []Attribute) {
	w.section("attributes", func() {
		for _, a := range attributes {
			w.line("  - id: %s", scalar(string(a.ID)))
			w.key(2, "ask", scalar(a.Ask))
			switch s := a.Scale; s.Kind {
			case Hedonic9:
				w.key(2, "scale", string(Hedonic9))
			case Categories, AboutRight:
				w.key(2, "scale", "{"+s.labelsKey()+": "+flow(s.Labels)+"}")
			case WordList:
				w.key(2, "scale", "{words: "+flow(s.Labels)+"}")
			case Line:
				ends := flow([]string{s.Low, s.High})
				if s.Min() != lineFrom || s.Max() != lineTo {
					ends += fmt.Sprintf(", from: %s, to: %s", shortest(s.Min()), shortest(s.Max()))
				}
				w.key(2, "scale", "{line: "+ends+"}")
			}
		}
	})
}

func (w *writer) panel(p Panel, lang string) {
	w.section("panel", func() {
		w.count(1, "assessors", p.Assessors, 0)
		w.count(1, "sittings", p.Sittings, 1)
		w.count(1, "seats", p.Seats, 0)
		w.count(1, "minimum age", p.MinimumAge, 0)
		w.count(1, "withdrawal days", p.WithdrawalDays, defaultWithdrawal)
		w.flag(1, "tell result", p.TellResult)
		w.word(1, "last question", string(p.LastQuestion), "")
		w.screening(p.Screening, lang)
	})
}

// screening writes the words of a question unless they are the program's own.
func (w *writer) screening(list []Screen, lang string) {
	if len(list) == 0 {
		return
	}
	w.line("  screening:")
	for _, x := range list {
		stock, _ := StockScreenOf(x.ID)
		w.line("    - id: %s", scalar(x.ID))
		if !x.isStock(lang) {
			w.key(3, "ask", scalar(x.Ask))
			stock.LeavesOut = ""
		}
		w.word(3, "leaves out", string(x.LeavesOut), string(stock.LeavesOut))
	}
}

func (w *writer) serving(s *Study) {
	v := s.Serving
	w.section("serving", func() {
		w.word(1, "design", string(v.Design), string(All))
		w.count(1, "per assessor", v.PerAssessor, 0)
		w.count(1, "replicates", v.Replicates, 1)
		w.word(1, "warm-up", string(v.WarmUp), "")
		w.word(1, "fixed reference", string(v.FixedReference), "")
		if v.Reference != "" {
			w.word(1, "reference", string(v.Reference), string(BalancedReference))
		}
		w.flag(1, "blind first", v.BlindFirst)
		w.flag(1, "keep dishes apart", v.KeepDishesApart)
		w.flag(1, "expectation", v.Expectation)
		w.flag(1, "expectation of half", v.AskHalf)
		w.flag(1, "show numbers", v.ShowNumbers)
		w.flag(1, "one question a screen", v.OneQuestion)
		w.flag(1, "taste once", v.TasteOnce)
		if v.TrayOpens != "" {
			w.word(1, "tray opens", string(v.TrayOpens), string(ByAllCodes))
		}
		if v.PlateGate != gateUsual(s.Question) {
			w.key(1, "plate gate", strconv.FormatBool(v.PlateGate))
		}
		w.word(1, "attributes", string(v.Attributes), string(FixedOrder))
		w.count(1, "most per sitting", v.MaxPerSitting, 0)
		w.word(1, "codes", string(v.Codes), string(CodePerServing))
		w.count(1, "spare codes", v.SpareCodes, defaultSpares)
		if v.RinseSeconds != defaultRinse {
			w.key(1, "rinse", fmt.Sprintf("%d s", v.RinseSeconds))
		}
		w.count(1, "minutes at the pass", v.PassMinutes, defaultPass)
		w.word(1, "at one table", string(v.AtOneTable), string(MixedOrders))
		w.count(1, "minutes of grace", v.GraceMinutes, defaultGrace)
		if v.Zone != "" {
			w.key(1, "time zone", v.Zone)
		}
		if v.HasSeed {
			w.key(1, "seed", strconv.FormatUint(v.Seed, 10))
		}
		w.strata(v.Strata)
		w.flag(1, "minimise", v.Minimise)
		if v.Blocks != "" {
			w.word(1, "blocks", string(v.Blocks), string(v.usualBlocks()))
		}
	})
}

func (w *writer) strata(strata []Stratum) {
	if len(strata) == 0 {
		return
	}
	w.line("  strata:")
	for _, x := range strata {
		if x.Ask == "" {
			w.line("    - {id: %s, levels: %s}", scalar(x.ID), flow(x.Levels))
			continue
		}
		w.line("    - id: %s", scalar(x.ID))
		w.key(3, "ask", scalar(x.Ask))
		w.key(3, "levels", flow(x.Levels))
	}
}

// analysis writes the whole plan of a rating study, defaults and all: it is what
// the lead binds herself to.
func (w *writer) analysis(s *Study) {
	p := s.Plan
	w.section("analysis", func() {
		if p.Compare != [2]SampleID{} {
			w.key(1, "compare", flow(p.Compare[:]))
		}
		w.word(1, "effect of", string(p.EffectOf), "")
		if p.Levels != [2]string{} {
			w.key(1, "compare", flow(p.Levels[:]))
		}
		if p.WholePanel && s.Question.Kind().Plans("compare") || p.EffectOf != "" && p.Levels == [2]string{} {
			w.key(1, "compare", allSamples)
		}
		w.word(1, "attribute", string(p.Attribute), "")
		w.word(1, "liking", string(p.Liking), "")
		if s.Question.Kind().Plans("test") {
			w.word(1, "test", string(p.Test), "")
		}
		w.key(1, "sides", string(p.Sides))
		w.key(1, "alpha", shortest(p.Alpha))
		if p.SmallestEffect != 0 {
			w.key(1, "smallest effect", shortest(p.SmallestEffect))
		}
		if p.Beta != 0 {
			w.key(1, "beta", shortest(p.Beta))
		}
		if p.StopEarly {
			w.key(1, "stop early", "true")
		}
		if len(p.Looks) > 0 {
			w.key(1, "looks", numbersInBrackets(p.Looks))
			w.word(1, "spending", string(p.Spending), "")
		}
		if p.Evidence != "" {
			w.word(1, "evidence", string(p.Evidence), "")
			w.key(1, "evidence at", shortest(p.EvidenceAt))
		}
		w.word(1, "adjust", string(p.Adjust), "")
		w.word(1, "undecided", string(p.Undecided), "")
		if len(p.Expected) > 0 {
			w.key(1, "expected order", flow(p.Expected))
		}
		if p.WantedRating != nil {
			w.key(1, "wanted rating", shortest(*p.WantedRating))
		}
		w.count(1, "stop after", p.StopAfter, 0)
		w.word(1, "stop by", p.StopBy, "")
	})
}

func (w *writer) languages(tags []string) {
	if len(tags) > 1 || len(tags) == 1 && tags[0] != baseLanguage {
		w.key(0, "languages", flow(tags))
	}
}

func (w *writer) translation(s *Study, t Translation) {
	w.line("  %s:", scalar(t.Language))
	if len(t.Names) > 0 {
		w.line("    names:")
	}
	for _, n := range t.Names {
		w.key(3, scalar(string(n.ID)), scalar(n.Text))
	}
	if len(t.Attributes) > 0 {
		w.line("    attributes:")
	}
	for _, a := range t.Attributes {
		w.line("      %s:", scalar(string(a.ID)))
		w.key(4, "ask", scalar(a.Ask))
		of, _ := s.Attribute(a.ID)
		switch of.Scale.Kind {
		case Line:
			w.key(4, "line", flow([]string{a.Low, a.High}))
		case Categories, AboutRight:
			w.key(4, of.Scale.labelsKey(), flow(a.Labels))
		case WordList:
			w.key(4, "words", flow(a.Labels))
		}
	}
	if own := ownScreens(s); len(own) > 0 {
		w.line("    screening:")
		for _, x := range t.Screening {
			if slices.Contains(own, x.ID) {
				w.key(3, scalar(x.ID), scalar(x.Ask))
			}
		}
	}
	if len(t.Strata) > 0 {
		w.line("    strata:")
	}
	for _, x := range t.Strata {
		w.line("      %s:", scalar(x.ID))
		w.key(4, "ask", scalar(x.Ask))
		w.key(4, "levels", flow(x.Levels))
	}
	if len(t.AlsoContains) > 0 {
		w.line("    also contains:")
	}
	for _, n := range t.AlsoContains {
		w.key(3, scalar(n.Note), scalar(n.Text))
	}
	w.line("    texts:")
	w.texts(3, t.Texts)
}

// flow writes a list on one line.
func flow[T ~string](list []T) string {
	words := make([]string, len(list))
	for i, s := range list {
		words[i] = scalar(string(s))
	}
	return "[" + strings.Join(words, ", ") + "]"
}

// numbersInBrackets writes whole numbers as a list in one line.
func numbersInBrackets(list []int) string {
	words := make([]string, len(list))
	for i, n := range list {
		words[i] = strconv.Itoa(n)
	}
	return "[" + strings.Join(words, ", ") + "]"
}

func degrees(v float64) string { return shortest(v) + " °C" }

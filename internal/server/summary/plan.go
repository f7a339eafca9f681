package summary

import (
	"bytes"
	"cmp"
	"fmt"
	"strconv"
	"strings"

	"cloche/internal/analysis"
	"cloche/internal/panel"
	"cloche/internal/report"
	"cloche/internal/server/site"
	"cloche/internal/study"
)

// VersionState says where a version stands and when it was locked.
func VersionState(w site.Tongue, v panel.VersionLine) string {
	switch v.State {
	case panel.Draft:
		return w.Translate("draft")
	case panel.Locked:
		return w.Translate("locked %s", w.Moment(v.LockedAt))
	}
	return w.Translate(v.State.String()) + ", " + w.Translate("locked %s", w.Moment(v.LockedAt))
}

// VersionReason says why a version was started; "" for the first.
func VersionReason(w site.Tongue, v panel.VersionLine) string {
	switch {
	case v.Number == 1:
		return ""
	case v.RatingsBefore == 0:
		return w.Translate("Started before any serving of version %d was rated, because: %s", v.Number-1, v.Reason)
	case v.RatingsBefore == 1:
		return w.Translate("Started when one serving of version %d was rated, because: %s", v.Number-1, v.Reason)
	}
	return w.Translate("Started when %d servings of version %d were rated, because: %s", v.RatingsBefore, v.Number-1,
		v.Reason)
}

// Part is one part of the sheet.
type Part struct {
	Heading string
	Facts   []Fact
	Lines   []string
	of      *study.Study
	page    string // its language
}

// LangOf is [site.LangOf] on the page.
func (p Part) LangOf(text string) string { return site.LangOf(p.page, p.of, text) }

// LockedPlan says what was fixed. It is the same before and after close: nothing in
// it is drawn by lot.
func LockedPlan(w site.Tongue, stored panel.Study, lines []panel.VersionLine, stamped *analysis.TimeStamp) []Part {
	parts := append(PlanParts(w, stored.Spec), Part{Heading: "What was fixed, and how to check it",
		Facts: hashesFixed(w, stored, stamped), Lines: checkWords(w, stored, stamped)})
	return append(parts, versionsFixed(w, stored, lines)...)
}

// PlanParts is all that a lock fixes but what is drawn by lot.
func PlanParts(w site.Tongue, a *study.Study) []Part {
	parts := []Part{
		{Heading: "Question", Facts: []Fact{{"Asked", a.Title}, {"Kind of test", questionFixed(w, a.Question)},
			{"Hypothesis", cmp.Or(a.Hypothesis, w.Translate("none was written down"))}}},
		{Heading: "Samples", Facts: samplesFixed(w, a)},
		{Heading: "What each assessor is asked", Facts: asksFixed(w, a)},
		{Heading: "Panel", Facts: panelFixed(w, a)},
		{Heading: "What will be tested", Lines: AnalysisPlan(w, a)},
		{Heading: "What is left out, and when tasting ends", Facts: []Fact{
			{"Left out", leftOutFixed(w, a)}, {"Tasting ends", site.Sentence(analysis.StoppingRuleIn(a, w.Paper))}}},
		{Heading: "Words that assessors read", Facts: textsFixed(w, a.Texts)},
	}
	for i := range parts {
		parts[i].of, parts[i].page = a, w.Tag()
	}
	return parts
}

// questionFixed says a question as a cook would.
func questionFixed(w site.Tongue, q study.Question) string {
	if q.CollectsRatings() {
		return w.Translate(q.Kind().Asks)
	}
	return w.Translate(q.Kind().Asks) + " (" + string(q) + ")"
}

func samplesFixed(w site.Tongue, a *study.Study) []Fact {
	var facts []Fact
	for _, x := range a.Samples {
		d, _ := a.Dish(x.Dish)
		text := d.Title
		if name := a.NameText(x.ID); name != "" {
			text += w.Translate(", called “%s”", name)
		} else {
			text += w.Translate(", served without a name")
		}
		for _, more := range []string{d.Portion, site.Degrees(d.ServeAt)} {
			if more != "" {
				text += ", " + more
			}
		}
		facts = append(facts, Fact{w.Translate("Sample %s", x.ID),
			text + w.Translate("; contains: %s", contains(w, d))})
	}
	return facts
}

func asksFixed(w site.Tongue, a *study.Study) []Fact {
	facts := turnAsked(w, a)
	if len(facts) > 0 {
		return facts
	}
	for _, x := range a.Attributes {
		facts = append(facts, Fact{x.Ask, scaleWords(x.Scale, w.Translate)})
	}
	if a.Serving.Expectation {
		facts = append(facts, Fact{"Before tasting", w.Translate("the names are read, and what is expected of each is "+
			"rated") + whoReads(w, a)})
	}
	return facts
}

// turnAsked is the question that a turn puts as a whole, and whether one of its servings
// has to be chosen; nothing where each serving is rated.
func turnAsked(w site.Tongue, a *study.Study) []Fact {
	ask := a.TurnAsk()
	if ask == "" {
		return nil
	}
	of := "Of the servings side by side"
	if a.TurnServings() == 1 {
		of = "Of each serving"
	}
	text := "“" + ask + "”"
	if none := a.NoneWord(); none != "" {
		text += w.Translate(", or “%s”", none)
	}
	return []Fact{{of, text}}
}

func panelFixed(w site.Tongue, a *study.Study) []Fact {
	facts := panelFacts(w, a)
	if cost, err := analysis.CostOf(a, a.Panel.Assessors); err == nil {
		facts = append(facts, Fact{"Time of each", minutesOf(w, cost.Minutes)})
	}
	if !a.Serving.Minimise {
		facts = append(facts, Fact{"Blocks in which orders are drawn", blockWords(w, a.Serving)})
	}
	if a.Panel.MinimumAge > 0 {
		facts = append(facts, Fact{"Minimum age", strconv.Itoa(a.Panel.MinimumAge)})
	}
	for _, x := range a.Panel.Screening {
		facts = append(facts, Fact{"Asked before the first plate", w.Translate("“%s” (%s)", x.Ask, x.ID)})
	}
	return facts
}

// blockWords says what blocks are and what their size means.
func blockWords(w site.Tongue, v study.Serving) string {
	if v.RandomBlocks() {
		return w.Translate("of random size: whoever has seen the earlier orders of a block can hardly guess the next")
	}
	return w.Translate("of fixed size: counts stay even at every moment, but whoever has seen the other orders of a " +
		"block can guess its last")
}

// leftOutFixed says whose ratings are not analysed.
func leftOutFixed(w site.Tongue, a *study.Study) string {
	text := w.Translate("Guests can delete their answers, which then count nowhere.")
	if a.Serving.DealtOnArrival() {
		text = w.Translate("Guests can delete their answers, but for the group that they were in when they arrived: " +
			"what is dealt to others rests on it.")
	}
	for _, x := range a.Panel.Screening {
		text += " " + w.Translate("Whoever says %s to “%s” is not counted in the findings.",
			w.Translate(string(x.LeavesOut)), x.Ask)
	}
	return text + " " + w.Translate("The report counts them all.")
}

func textsFixed(w site.Tongue, t study.Texts) []Fact {
	var facts []Fact
	for _, x := range []Fact{{"Welcome", t.Welcome}, {"Consent", t.Consent}, {"Instructions", t.Instructions},
		{"Debrief, after close", t.Debrief}} {
		if x.Text != "" {
			facts = append(facts, x)
		}
	}
	return facts
}

func hashesFixed(w site.Tongue, stored panel.Study, stamped *analysis.TimeStamp) []Fact {
	facts := []Fact{{"Version", strconv.Itoa(stored.Version)}, {"Locked", w.Moment(stored.Lock.At.In(stored.Zone()))},
		{"Study, SHA-256", stored.Lock.StudyHash}, {"Serving plan, SHA-256", stored.Lock.PlanHash}}
	signed := w.Translate("no")
	if x := stored.Countersigned; !x.At.IsZero() {
		signed = x.Name + ", " + w.Moment(x.At.In(stored.Zone())) + ", " + w.Translate("before the first rating")
	}
	facts = append(facts, Fact{"Countersigned", signed})
	if stamped == nil {
		return append(facts, Fact{"Time stamp of an outside authority", w.Translate("none")})
	}
	return append(facts, Fact{"Time stamp of an outside authority", report.StampWords(*stamped, w.Translate)})
}

func checkWords(w site.Tongue, stored panel.Study, stamped *analysis.TimeStamp) []string {
	second := w.Translate("The second is that of the serving plan: who gets what, in which order, under which code. " +
		"It stays shut until the study is closed; serving-plan.txt in the data package then has this hash.")
	if stored.Spec.Serving.DealtOnArrival() {
		second = w.Translate("The second is that of the serving plan: places, order and codes. Which sample " +
			"each place " +
			"gets is dealt when somebody arrives, from the seed, their group and the order of arrival, and is told " +
			"after the close: serving-plan.txt in the data package has this hash, and dealt.csv says what was dealt.")
	}
	lines := []string{
		w.Translate("The first hash is that of study.json, to the byte: download it and run “sha256sum” on it, " +
			"or any " +
			"other program that makes a SHA-256."),
		second,
	}
	if stamped != nil {
		lines = append(lines, w.Translate("The time stamp is of locked.sha256, which holds both hashes. With the root "+
			"certificate of the authority in root.pem, check it by “openssl ts -verify -data locked.sha256 -in "+
			"time-stamp.tsr -CAfile root.pem”."))
	}
	return append(lines, w.Translate("Study %s.", stored.ID))
}

// versionsFixed tells of all versions, when there are several.
func versionsFixed(w site.Tongue, stored panel.Study, lines []panel.VersionLine) []Part {
	if len(lines) < 2 {
		return nil
	}
	part := Part{Heading: "Versions", Lines: []string{w.Translate("This is version %d.", stored.Version)}}
	for _, v := range lines {
		text := VersionState(w, v)
		if v.State != panel.Draft {
			text += w.Translate(", study %s", v.StudyHash)
		}
		if why := VersionReason(w, v); why != "" {
			text += ". " + why
		}
		part.Facts = append(part.Facts, Fact{w.Translate("Version %d", v.Number), text})
	}
	return []Part{part}
}

// PlanText is the sheet as plain text, in English.
func PlanText(stored panel.Study, lines []panel.VersionLine, stamped *analysis.TimeStamp) []byte {
	var b bytes.Buffer
	w := site.TongueIn("en")
	title := Title(w, stored)
	fmt.Fprintf(&b, "%s\n%s\n", title, strings.Repeat("=", len([]rune(title))))
	if stored.Spec.Invented {
		b.WriteString("\nThe data of this study are invented.\n")
	}
	for _, p := range LockedPlan(w, stored, lines, stamped) {
		fmt.Fprintf(&b, "\n%s\n%s\n", p.Heading, strings.Repeat("-", len([]rune(p.Heading))))
		for _, f := range p.Facts {
			fmt.Fprintf(&b, "%s: %s\n", f.Term, strings.ReplaceAll(strings.TrimSpace(f.Text), "\n", "\n  "))
		}
		for _, l := range p.Lines {
			fmt.Fprintf(&b, "%s\n", l)
		}
	}
	return b.Bytes()
}

// whoReads says that half of the panel reads names, where that is so.
func whoReads(w site.Tongue, a *study.Study) string {
	if !a.Serving.AskHalf {
		return ""
	}
	return w.Translate("; a random half of the panel does this, the other half does not")
}

// minutesOf says about how long something takes.
func minutesOf(w site.Tongue, n int) string {
	if n == 1 {
		return w.Translate("about one minute")
	}
	return w.Translate("about %d minutes", n)
}

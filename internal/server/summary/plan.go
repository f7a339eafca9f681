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
func VersionState(v panel.VersionLine) string {
	switch v.State {
	case panel.Draft:
		return "draft"
	case panel.Locked:
		return "locked " + site.Moment(v.LockedAt)
	}
	return v.State.String() + ", locked " + site.Moment(v.LockedAt)
}

// VersionReason says why a version was begun; "" for the first.
func VersionReason(v panel.VersionLine) string {
	switch {
	case v.Number == 1:
		return ""
	case v.RatingsBefore == 0:
		return fmt.Sprintf("Begun before any serving of version %d was rated, because: %s", v.Number-1, v.Reason)
	case v.RatingsBefore == 1:
		return fmt.Sprintf("Begun when one serving of version %d was rated, because: %s", v.Number-1, v.Reason)
	}
	return fmt.Sprintf("Begun when %d servings of version %d were rated, because: %s", v.RatingsBefore, v.Number-1,
		v.Reason)
}

// Part is one part of the sheet.
type Part struct {
	Heading string
	Facts   []Fact
	Lines   []string
}

// LockedPlan says what was fixed. It is the same before and after close: nothing in
// it is drawn by lot.
func LockedPlan(stored panel.Study, lines []panel.VersionLine, stamped *analysis.TimeStamp) []Part {
	parts := append(PlanParts(stored.Spec), Part{Heading: "What was fixed, and how to check it",
		Facts: hashesFixed(stored, stamped), Lines: checkWords(stored, stamped)})
	return append(parts, versionsFixed(stored, lines)...)
}

// PlanParts is all that a lock fixes but what is drawn by lot.
func PlanParts(a *study.Study) []Part {
	return []Part{
		{Heading: "Question", Facts: []Fact{{"Asked", a.Title}, {"Kind of test", questionFixed(a.Question)},
			{"Hypothesis", cmp.Or(a.Hypothesis, "none was written down")}}},
		{Heading: "Samples", Facts: samplesFixed(a)},
		{Heading: "What each assessor is asked", Facts: asksFixed(a)},
		{Heading: "Panel", Facts: panelFixed(a)},
		{Heading: "What will be tested", Lines: AnalysisPlan(a)},
		{Heading: "What is left out, and when tasting ends", Facts: []Fact{
			{"Left out", leftOutFixed(a)}, {"Tasting ends", site.Sentence(analysis.StoppingRule(a))}}},
		{Heading: "Words that assessors read", Facts: textsFixed(a.Texts)},
	}
}

// questionFixed says a question as a cook would.
func questionFixed(q study.Question) string {
	if q.CollectsRatings() {
		return q.Kind().Asks
	}
	return q.Kind().Asks + " (" + string(q) + ")"
}

func samplesFixed(a *study.Study) []Fact {
	var facts []Fact
	for _, x := range a.Samples {
		d, _ := a.Dish(x.Dish)
		text := d.Title
		if name := a.NameText(x.ID); name != "" {
			text += ", called “" + name + "”"
		} else {
			text += ", served without a name"
		}
		for _, more := range []string{d.Portion, site.Degrees(d.ServeAt)} {
			if more != "" {
				text += ", " + more
			}
		}
		facts = append(facts, Fact{"Sample " + string(x.ID), text + "; contains: " + d.Contents().Words()})
	}
	return facts
}

func asksFixed(a *study.Study) []Fact {
	facts := turnAsked(a)
	if len(facts) > 0 {
		return facts
	}
	for _, x := range a.Attributes {
		facts = append(facts, Fact{x.Ask, scaleWords(x.Scale, fmt.Sprintf)})
	}
	if a.Serving.Expectation {
		facts = append(facts, Fact{"Before tasting", "the names are read, and what is expected of each is rated" +
			whoReads(a)})
	}
	return facts
}

// turnAsked is the question that a turn puts as a whole, and whether one of its servings
// has to be chosen; nothing where each serving is rated.
func turnAsked(a *study.Study) []Fact {
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
		text += ", or “" + none + "”"
	}
	return []Fact{{of, text}}
}

func panelFixed(a *study.Study) []Fact {
	facts := panelFacts(a)
	if cost, err := analysis.CostOf(a, a.Panel.Assessors); err == nil {
		facts = append(facts, Fact{"Time of each", "about " + site.Counted(cost.Minutes, "minute")})
	}
	if !a.Serving.Minimise {
		facts = append(facts, Fact{"Blocks in which orders are drawn", blockWords(a.Serving)})
	}
	if a.Panel.MinimumAge > 0 {
		facts = append(facts, Fact{"Minimum age", strconv.Itoa(a.Panel.MinimumAge)})
	}
	for _, x := range a.Panel.Screening {
		facts = append(facts, Fact{"Asked before the first plate", fmt.Sprintf("“%s” (%s)", x.Ask, x.ID)})
	}
	return facts
}

// blockWords says what blocks are and what their size means.
func blockWords(v study.Serving) string {
	if v.RandomBlocks() {
		return "of random size: whoever has seen the earlier orders of a block can hardly guess the next"
	}
	return "of fixed size: counts stay even at every moment, but whoever has seen the other orders of a block can " +
		"guess its last"
}

// leftOutFixed says whose ratings are not analysed.
func leftOutFixed(a *study.Study) string {
	text := "Guests can delete their answers, which then count nowhere."
	if a.Serving.DealtOnArrival() {
		text = "Guests can delete their answers, but for the group that they were in when they arrived: " +
			"what is dealt to others rests on it."
	}
	for _, x := range a.Panel.Screening {
		text += fmt.Sprintf(" Whoever says %s to “%s” is not counted in the findings.", x.LeavesOut, x.Ask)
	}
	return text + " The report counts them all."
}

func textsFixed(t study.Texts) []Fact {
	var facts []Fact
	for _, x := range []Fact{{"Welcome", t.Welcome}, {"Consent", t.Consent}, {"Instructions", t.Instructions},
		{"Debrief, after close", t.Debrief}} {
		if x.Text != "" {
			facts = append(facts, x)
		}
	}
	return facts
}

func hashesFixed(stored panel.Study, stamped *analysis.TimeStamp) []Fact {
	facts := []Fact{{"Version", strconv.Itoa(stored.Version)}, {"Locked", site.Moment(stored.Lock.At)},
		{"Study, SHA-256", stored.Lock.StudyHash}, {"Serving plan, SHA-256", stored.Lock.PlanHash}}
	signed := "no"
	if x := stored.Countersigned; !x.At.IsZero() {
		signed = x.Name + ", " + site.Moment(x.At) + ", before the first rating"
	}
	facts = append(facts, Fact{"Countersigned", signed})
	if stamped == nil {
		return append(facts, Fact{"Time stamp of an outside authority", "none"})
	}
	return append(facts, Fact{"Time stamp of an outside authority", report.StampWords(*stamped)})
}

func checkWords(stored panel.Study, stamped *analysis.TimeStamp) []string {
	second := "The second is that of the serving plan: who gets what, in which order, under which code. It stays " +
		"shut " +
		"until the study is closed; serving-plan.txt in the data package then has this hash."
	if stored.Spec.Serving.DealtOnArrival() {
		second = "The second is that of the serving plan: places, order and codes. Which sample each place gets is " +
			"dealt " +
			"when somebody arrives, from the seed, their group and the order of arrival, and is told after the " +
			"close: serving-plan.txt in the data package has this hash, and dealt.csv says what was dealt."
	}
	lines := []string{
		"The first hash is that of study.json, to the byte: download it and run “sha256sum” on it, or any other " +
			"program that makes a SHA-256.",
		second,
	}
	if stamped != nil {
		lines = append(lines, "The time stamp is of locked.sha256, which holds both hashes. With the root certificate "+
			"of the authority in root.pem, check it by “openssl ts -verify -data locked.sha256 -in time-stamp.tsr "+
			"-CAfile root.pem”.")
	}
	return append(lines, "Study "+string(stored.ID)+".")
}

// versionsFixed tells of all versions, when there are several.
func versionsFixed(stored panel.Study, lines []panel.VersionLine) []Part {
	if len(lines) < 2 {
		return nil
	}
	part := Part{Heading: "Versions", Lines: []string{fmt.Sprintf("This is version %d.", stored.Version)}}
	for _, v := range lines {
		text := VersionState(v)
		if v.State != panel.Draft {
			text += ", study " + v.StudyHash
		}
		if why := VersionReason(v); why != "" {
			text += ". " + why
		}
		part.Facts = append(part.Facts, Fact{fmt.Sprintf("Version %d", v.Number), text})
	}
	return []Part{part}
}

// PlanText is the sheet as plain text.
func PlanText(stored panel.Study, lines []panel.VersionLine, stamped *analysis.TimeStamp) []byte {
	var b bytes.Buffer
	title := Title(stored)
	fmt.Fprintf(&b, "%s\n%s\n", title, strings.Repeat("=", len([]rune(title))))
	if stored.Spec.Invented {
		b.WriteString("\nThe data of this study are invented.\n")
	}
	for _, p := range LockedPlan(stored, lines, stamped) {
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
func whoReads(a *study.Study) string {
	if !a.Serving.AskHalf {
		return ""
	}
	return "; a random half of the panel does this, the other half does not"
}

package summary

import (
	"fmt"
	"runtime/debug"
	"slices"
	"strings"

	"cloche/internal/analysis"
	"cloche/internal/method"
	"cloche/internal/panel"
	"cloche/internal/report"
	"cloche/internal/study"
)

// MethodsText is a paragraph for a paper: what was done, by what is on record. It says
// nothing of what the service cannot know, such as where the tasting was held.
func MethodsText(stored panel.Study, flow report.Flow, found *analysis.Result) string {
	a := stored.Spec
	said := []string{
		"We held a blind tasting of " + samplesTasted(a) + "." + oneDish(a),
		"Each assessor was served " + eachGets(a) + ", under three-digit codes.",
		howDrawn(stored),
	}
	said = append(said, attributesAsked(a)...)
	said = append(said, tookPart(flow, found))
	if h := found.Stopping; h != nil && len(h.Deviations) > 0 {
		said = append(said, fmt.Sprintf("Tasting was planned to end so: %s. It ended otherwise: %s.", h.Planned,
			h.Happened))
	}
	said = append(said, tested(a, found)...)
	return strings.Join(append(said, "Plan, data collection and analysis: "+Software()+"."), " ")
}

// Software names this program and the build.
func Software() string {
	if info, ok := debug.ReadBuildInfo(); ok {
		for _, x := range info.Settings {
			if x.Key == "vcs.revision" {
				return "Cloche, revision " + x.Value[:min(12, len(x.Value))]
			}
		}
	}
	return "Cloche, a build without a revision"
}

// samplesTasted lists the samples, as the key names them.
func samplesTasted(a *study.Study) string {
	var all []string
	for _, x := range a.Samples {
		all = append(all, fmt.Sprintf("%s (%s)", analysis.Label(a, x.ID), x.ID))
	}
	last := len(all) - 1
	return strings.Join(all[:last], ", ") + " and " + all[last]
}

// oneDish says that nothing but the name differed, where that is so.
func oneDish(a *study.Study) string {
	for _, x := range a.Samples {
		if x.Dish != a.Samples[0].Dish {
			return ""
		}
	}
	return " All were one and the same dish; only the name that was said with it differed."
}

func howDrawn(stored panel.Study) string {
	return fmt.Sprintf("Orders and codes were drawn from the seed %d and can be drawn again from it; the plan of "+
		"serving and analysis was fixed on %s, before the first rating (SHA-256 of the study %s, of the plan %s).",
		stored.Lock.Seed, stored.Lock.At.UTC().Format("2 January 2006, 15:04 UTC"), stored.Lock.StudyHash,
		stored.Lock.PlanHash)
}

// attributesAsked quotes the questions with their scales; of answers about several
// servings at once, what was asked of them.
func attributesAsked(a *study.Study) []string {
	if !a.Question.CollectsRatings() {
		return []string{fmt.Sprintf("Of each set of servings they were asked: “%s”", a.TurnAsk())}
	}
	var all []string
	for _, x := range a.Attributes {
		all = append(all, fmt.Sprintf("“%s” (%s)", x.Ask, scaleWords(x.Scale)))
	}
	return []string{"Of each serving they were asked: " + strings.Join(all, "; ") + "."}
}

// tookPart is the flow in a sentence.
func tookPart(flow report.Flow, found *analysis.Result) string {
	text := fmt.Sprintf("%s took a place, of whom %d finished", people(flow.Seated), flow.Finished)
	for _, x := range []struct {
		n    int
		text string
	}{
		{flow.Left, "left early"}, {flow.Stopped, "had not finished at the close"},
		{flow.Withdrawn, "deleted their answers"},
	} {
		if x.n > 0 {
			text += fmt.Sprintf(", %d %s", x.n, x.text)
		}
	}
	text += fmt.Sprintf("; the analysis has answers of %d", found.Assessors)
	for _, x := range found.Excluded {
		if !analysis.FromComparisons(x.Reason) && x.Reason != analysis.ReasonWithdrawn {
			text += fmt.Sprintf(" (%d were left out: %s)", x.Count, x.Reason)
		}
	}
	if flow.SaidNo > 0 {
		text += fmt.Sprintf(". %s said no when asked to agree", people(flow.SaidNo))
	}
	return text + "."
}

func people(n int) string {
	if n == 1 {
		return "One person"
	}
	return fmt.Sprintf("%d people", n)
}

// tested says what the primary test was, what stood beside it, and where it is from.
func tested(a *study.Study, found *analysis.Result) []string {
	primary := found.Findings[0]
	text := fmt.Sprintf("The primary analysis, fixed with the plan, was the %s", method.Of(primary.Test.Method).Title)
	if x, ok := a.Attribute(primary.Attribute); ok {
		text += fmt.Sprintf(" on “%s”", x.Ask)
	}
	var compared []string
	for _, id := range primary.Comparison {
		compared = append(compared, string(id))
	}
	if len(compared) > 0 {
		text += " (" + strings.Join(compared, ", ") + ")"
	}
	said := []string{fmt.Sprintf("%s, at a level of %g.", text, a.Plan.Alpha)}
	family := 0
	for _, f := range found.Findings {
		family = max(family, f.Family)
	}
	if family > 1 {
		said = append(said, fmt.Sprintf("%d secondary comparisons were adjusted together (%s).", family, a.Plan.Adjust))
	}
	said = append(said, profileTested(found)...)
	var sources []string
	for _, f := range found.Findings {
		m := method.Of(f.Test.Method)
		if source := m.Title + ": " + m.Source; m.Source != "" && !slices.Contains(sources, source) {
			sources = append(sources, source)
		}
	}
	if len(sources) > 0 {
		said = append(said, "Sources: "+strings.Join(sources, "; ")+".")
	}
	return said
}

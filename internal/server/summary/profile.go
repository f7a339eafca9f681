package summary

import (
	"cloche/internal/analysis"
	"cloche/internal/method"
	"cloche/internal/server/site"
	"cloche/internal/study"
)

// profilePlan is what stands in the plan of a study that describes its samples beside the
// comparison of them all; nothing in that of any other.
func profilePlan(w site.Tongue, a *study.Study) []string {
	if !a.Question.Kind().Describes {
		return nil
	}
	lines := []string{w.Translate("Beside it, described and not tested: a map of the samples, of the attributes " +
		"on which they " +
		"are told " +
		"apart, and how well the panel agrees and repeats itself. What each assessor does well is told to the lead " +
		"alone.")}
	if a.Serving.Replicates < 2 {
		lines = append(lines, w.Translate("Each sample is served once, so that nobody can tell how well "+
			"assessors repeat "+
			"themselves: "+
			"serve each twice or three times if you can."))
	}
	return lines
}

// profileTested says in the words of a paper what described the samples and the panel.
func profileTested(found *analysis.Result, say analysis.Say) (said []string) {
	if found.Profile == nil {
		return nil
	}
	if m := found.Profile.Map; m != nil {
		x := method.Of(method.ProductMap)
		said = append(said, say("The samples were laid out on a %s, of the %d attributes on which they were told "+
			"apart and of %d people who rated everything; %d panels were drawn (%s).", say(x.Title), len(m.Attributes),
			m.N, m.Draws, sourceIn(x.Source, say)))
	}
	x, alike := method.Of(method.Consistency), method.Of(method.SampleByAssessor)
	return append(said, say("The panel was described by its %s (%s) and by whether assessors were alike in how they "+
		"see the samples (%s).", say(x.Title), sourceIn(x.Source, say), sourceIn(alike.Source, say)))
}

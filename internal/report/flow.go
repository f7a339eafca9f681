package report

import (
	"cloche/internal/analysis"
	"cloche/internal/panel"
)

// Flow counts how people went through a study until it was closed. Seated is the sum
// of the four after it.
type Flow struct {
	Places int             // of the plan
	SaidNo int             // when they were asked to agree
	WhyNot panel.WhyCounts // of them, as far as they said
	GaveUp int             // agreed, and gave their place up before any plate
	Seated int             // agreed, and kept their place

	Finished, Left, Withdrawn, Stopped int
}

// FlowStep is a station on the way from the plan to the findings, after the extension
// of CONSORT to crossover trials (Dwan et al. 2019): how many came so far, and who
// went no further, or how.
type FlowStep struct {
	N     int
	Text  string
	Aside []FlowAside
}

// FlowAside is part of those of a station, or who did not come to it.
type FlowAside struct {
	N    int
	Text string
}

// FlowSteps are the stations of a study; none when it is not known who came, as of
// ratings from paper.
func FlowSteps(flow *Flow, r *analysis.Result) []FlowStep {
	if flow == nil {
		return nil
	}
	in := FlowStep{N: r.Assessors, Text: "are in the findings"}
	answered := FlowStep{N: r.Assessors, Text: "gave an answer that is kept"}
	for _, x := range r.Excluded {
		switch {
		case analysis.FromComparisons(x.Reason):
			in.Aside = append(in.Aside, FlowAside{x.Count, "left out of one comparison or more: " + x.Reason})
		case x.Reason != analysis.ReasonWithdrawn: // they have no answers that are kept
			answered.N += x.Count
			answered.Aside = append(answered.Aside, FlowAside{x.Count, "left out: " + x.Reason})
		}
	}
	if n := r.AfterClose.Assessors; n > 0 {
		answered.Aside = append(answered.Aside, FlowAside{n, "sent answers after the close too; these are kept aside"})
	}
	return []FlowStep{
		{flow.Places, "places were planned", asides(append(saidNo(flow),
			FlowAside{flow.GaveUp, "agreed and gave the place up before any plate"},
			FlowAside{max(0, flow.Places-flow.Seated), "were not taken"})...)},
		{flow.Seated, "took a place", asides(
			FlowAside{flow.Finished, "finished"},
			FlowAside{flow.Left, "left early; what they had answered is kept"},
			FlowAside{flow.Stopped, "had not finished when the study was closed"},
			FlowAside{flow.Withdrawn, "deleted their answers"})},
		answered, in,
	}
}

// whyNotWords say why somebody said no, in the order of [panel.WhysNot].
var whyNotWords = [len(panel.WhysNot)]string{"had no time", "could not or do not eat something in it",
	"did not want to take part", "had another reason"}

// saidNo are those who said no, by what they said of why: each stands in one line.
func saidNo(flow *Flow) []FlowAside {
	all := []FlowAside{{flow.SaidNo - flow.WhyNot.Said(), "said no when asked to agree, and did not say why"}}
	for i, n := range flow.WhyNot {
		all = append(all, FlowAside{n, "said no when asked to agree, and that they " + whyNotWords[i]})
	}
	return all
}

// asides are those that somebody is part of.
func asides(all ...FlowAside) (some []FlowAside) {
	for _, x := range all {
		if x.N > 0 {
			some = append(some, x)
		}
	}
	return some
}

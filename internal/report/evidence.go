package report

import (
	"fmt"

	"cloche/internal/analysis"
	"cloche/internal/method"
	"cloche/internal/study"
)

// counted says what running evidence did to the answer.
func (t teller) counted() study.Said {
	e, n := t.f.Evidence, decimalsFor(t.a.Scale)
	enough := study.Say("from %s on the plan stops", analysis.OddsSaid(e.Enough()))
	if !e.Stopped {
		return study.Say("Evidence for a difference stands at %s after %s, and %s: that is too little to say so, "+
			"and "+
			"no proof that there is none.", analysis.OddsSaid(e.LogE()), people(t.f.N), enough)
	}
	return study.Say("Evidence for it reached %s after %d of at most %d people; %s. The range holds whenever one "+
		"looks; the plain mean of the differences, %s, exaggerates, because tasting stopped as soon as it was "+
		"clear: "+
		"plan the next study on less.", analysis.OddsSaid(e.LogE()), t.f.N, e.Planned, enough,
		signedFigure(e.Plain.Value, n))
}

// evidenceFacts are running evidence for whoever checks the work.
func evidenceFacts(s *study.Study, f analysis.Finding) []Fact {
	e := f.Evidence
	a, _ := s.Attribute(f.Attribute)
	n := decimalsFor(a.Scale) + 1
	this, other := method.Mixture, method.Betting
	if e.By == study.ByBetting {
		this, other = other, this
	}
	prior := fmt.Sprintf("the t mixture has a prior N(0, %s) on mean over standard deviation",
		number(e.At*e.At, 4))
	return []Fact{
		{"Evidence", fmt.Sprintf("%s (ln E = %s) after %d of at most %d people by the %s, looked at from %d on; "+
			"%s is "+
			"enough; %s", analysis.Odds(e.LogE()), number(e.LogE(), 3), f.N, e.Planned, this.Title(),
			study.FewestForEvidence, analysis.Odds(e.Enough()), prior)},
		{"Beside it, by the " + other.Title(), fmt.Sprintf("%s (ln E = %s)", analysis.Odds(e.Beside),
			number(e.Beside, 3))},
		{"Mean difference as if nobody had looked", fmt.Sprintf("%s (%s)", signed(e.Plain.Value, n),
			interval(e.Plain.CI, n))},
	}
}

// evidenceWire is what running evidence came to.
type evidenceWire struct {
	By      study.Evidence `json:"by"`
	At      value          `json:"at"`      // mean over standard deviation at which it grows best
	Enough  value          `json:"enough"`  // ln E from which on tasting stops
	Range   value          `json:"range"`   // of the scale
	Planned int            `json:"planned"` // people, at the most
	Stopped bool           `json:"stopped"`
	Later   int            `json:"later"` // people who rated after it and do not count
	LogE    value          `json:"log_e"`
	Beside  value          `json:"log_e_beside"` // by the other way
	Plain   effectWire     `json:"plain"`
	Steps   []value        `json:"steps"` // ln E after each person
}

func evidenceToWire(e *analysis.EvidencePart) *evidenceWire {
	if e == nil {
		return nil
	}
	w := &evidenceWire{By: e.By, At: value(e.At), Enough: value(e.Enough()), Range: value(e.Range),
		Planned: e.Planned,
		Stopped: e.Stopped, Later: e.Later, LogE: value(e.LogE()), Beside: value(e.Beside),
		Plain: effectToWire(e.Plain)}
	for _, step := range e.Steps {
		w.Steps = append(w.Steps, value(step))
	}
	return w
}

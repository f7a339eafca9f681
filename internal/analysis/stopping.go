package analysis

import (
	"fmt"

	"cloche/internal/study"
)

// Ended is how the tasting of a study came to its end. Days are those of the place,
// as in 2026-12-05; an evening that ends after midnight belongs to the day on which
// it began.
type Ended struct {
	Finished int    // assessors who finished, those who withdrew afterwards too
	Sittings int    // that were held
	LastDay  string // of the last answer; "" when there was none
	Closed   string // day on which the study was closed
}

// Stopping holds the rule of the plan against what happened.
type Stopping struct {
	Planned    string    // the rule, in words
	Happened   string    // what happened, in words
	Deviations []Warning // in what it differs; empty when it was as planned
	Ended
}

// StoppingRule says in words when the tasting of a study is planned to end.
func StoppingRule(s *study.Study) string { return StoppingRuleIn(s, fmt.Sprintf) }

// StoppingRuleIn is [StoppingRule] in a language.
func StoppingRuleIn(s *study.Study, say Say) string {
	text := say("when all %d assessors have finished", s.Panel.Assessors)
	if n := s.Plan.StopAfter; n > 0 {
		text = say("when %d assessors have finished", n)
	}
	if len(s.Plan.Looks) > 0 {
		text += say(", or at an earlier planned look that is clear enough")
	}
	if s.Plan.Evidence != "" {
		text += say(", or as soon as there is enough evidence")
	}
	if s.Plan.StopBy != "" {
		text += say(", or after %s, whichever comes first", s.Plan.StopBy)
	}
	return text
}

// decidedEarly reports whether a planned look was clear enough to stop, or there was enough evidence.
func decidedEarly(r *Result) bool {
	if len(r.Findings) == 0 {
		return false
	}
	f := r.Findings[0]
	return f.Looks != nil && f.Looks.Stopped > 0 || f.Evidence != nil && f.Evidence.Stopped
}

// holdStopping compares the rule with what happened; nil when that is not known. Decided is
// whether what came was clear enough to stop.
func holdStopping(s *study.Study, e *Ended, decided bool) *Stopping {
	if e == nil {
		return nil
	}
	h := &Stopping{Planned: StoppingRule(s), Happened: e.HappenedIn(fmt.Sprintf), Ended: *e}
	planned := s.Panel.Assessors
	if s.Plan.StopAfter > 0 {
		planned = s.Plan.StopAfter
	}
	by := s.Plan.StopBy
	add := func(code, text string, args ...any) {
		h.Deviations = append(h.Deviations, Warning{code, fmt.Sprintf(text, args...)})
	}
	switch short := planned - e.Finished; {
	case short > 0 && decided: // as planned
	case short > 0 && (by == "" || e.Closed < by):
		add(WarnStoppedEarly, "tasting ended before the plan said: %d of the %d assessors planned had finished%s",
			e.Finished, planned, beforeDay(e.Closed, by))
	case short > 0:
		add(WarnFewerThanPlanned, "%d of the %d assessors planned had finished by the last day of tasting, %s",
			e.Finished, planned, by)
	case short < 0:
		add(WarnMoreThanPlanned, "%d assessors finished where the plan was to stop at %d", e.Finished, planned)
	}
	if by != "" && e.LastDay > by {
		add(WarnStoppedLate, "tasting went on until %s; the plan was to stop by %s", e.LastDay, by)
	}
	return h
}

// HappenedIn says in a language how tasting ended.
func (e Ended) HappenedIn(say Say) string {
	some := func(n int, one, more string) string {
		if n == 1 {
			return say(one)
		}
		return say(more, n)
	}
	text := say("closed on %s, after %s had finished at %s", e.Closed, some(e.Finished, "one assessor", "%d assessors"),
		some(e.Sittings, "one sitting", "%d sittings"))
	if e.LastDay != "" && e.LastDay != e.Closed {
		text += say("; the last answer came on %s", e.LastDay)
	}
	return text
}

func beforeDay(closed, by string) string {
	if by == "" {
		return ""
	}
	return fmt.Sprintf(", and it was closed on %s, before %s", closed, by)
}

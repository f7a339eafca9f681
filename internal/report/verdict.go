package report

import (
	"fmt"
	"math"
	"strings"

	"cloche/internal/analysis"
	"cloche/internal/study"
)

// Outcome says what the planned test found.
type Outcome string

// The outcomes.
const (
	Clear    Outcome = "clear"    // the planned test found a difference
	Unclear  Outcome = "unclear"  // it did not
	NoAnswer Outcome = "noanswer" // it could not be computed
)

// Verdict is a finding in plain words.
type Verdict struct {
	Outcome   Outcome
	Sentences []string
}

// Text is the verdict as one paragraph.
func (v Verdict) Text() string { return strings.Join(v.Sentences, " ") }

// verdictOf says a finding in plain words. A difference is clear when the
// planned test, adjusted where it was adjusted, falls below alpha.
func verdictOf(s *study.Study, f analysis.Finding) Verdict {
	a, _ := s.Attribute(f.Attribute)
	c := contrastOf(s, f.Comparison)
	p := decidingP(f)
	switch {
	case math.IsNaN(p):
		return noAnswer(a, c, f)
	case p < s.Plan.Alpha:
		return clearVerdict(s, a, c, f)
	}
	return unclearVerdict(s, a, c, f)
}

// decidingP is the p-value that decides: the adjusted one where there is one.
func decidingP(f analysis.Finding) float64 {
	if !math.IsNaN(f.Test.PAdjusted) {
		return f.Test.PAdjusted
	}
	return f.Test.P
}

func noAnswer(a study.Attribute, c contrast, f analysis.Finding) Verdict {
	text := fmt.Sprintf("No answer on “%s”: %s rated both %s, and the planned test cannot be computed from that.",
		a.Ask, people(f.N), c.between())
	if f.N > 1 && f.Moved.Same == f.N {
		text = fmt.Sprintf("No difference at all on “%s”: each of %s gave %s the same rating, so there is nothing to test.",
			a.Ask, people(f.N), c.between())
	}
	return Verdict{NoAnswer, []string{text}}
}

func clearVerdict(s *study.Study, a study.Attribute, c contrast, f analysis.Finding) Verdict {
	w := wordingOf(a)
	first := strings.Join(nonEmpty(c.subject, w.verb, w.toward(f.Difference), c.than), " ")
	v := Verdict{Clear, []string{
		fmt.Sprintf("%s: %s %s (%s).", first, signed(f.Difference, decimalsFor(a.Scale)), points(a.Scale), intervalPhrase(a, f)),
		movedSentence(f),
	}}
	if f.CI.Lo <= 0 && f.CI.Hi >= 0 {
		v.Sentences = append(v.Sentences, fmt.Sprintf("The planned test finds a difference (%s), but the interval includes 0: read the notes.", pPhrase(decidingP(f))))
	}
	return v.withSmallest(s.Plan, f)
}

func unclearVerdict(s *study.Study, a study.Attribute, c contrast, f analysis.Finding) Verdict {
	first := fmt.Sprintf("No clear difference on “%s” between %s: %s %s (%s).",
		a.Ask, c.between(), signed(f.Difference, decimalsFor(a.Scale)), points(a.Scale), intervalPhrase(a, f))
	counts := fmt.Sprintf("%d of %s rated %s higher, %d lower, %d the same.", f.Moved.Up, people(f.N), c.short[0], f.Moved.Down, f.Moved.Same)
	v := Verdict{Unclear, []string{first, counts}}
	if f.CI.Lo > 0 || f.CI.Hi < 0 {
		reason := fmt.Sprintf("the planned test does not find a difference (%s)", pPhrase(f.Test.P))
		if againstPlan(s.Plan, f) {
			reason = fmt.Sprintf("the difference went against the direction that the planned test looks in (%s)", pPhrase(f.Test.P))
		}
		if f.Test.P < s.Plan.Alpha {
			reason = fmt.Sprintf("with all secondary comparisons adjusted together it could be chance (adjusted %s)", pPhrase(f.Test.PAdjusted))
		}
		v.Sentences = append(v.Sentences, "The interval leaves out 0, but "+reason+".")
	}
	return v.withSmallest(s.Plan, f)
}

// againstPlan reports whether a one-sided primary test met a difference of the
// other sign.
func againstPlan(p study.AnalysisPlan, f analysis.Finding) bool {
	return f.Role == analysis.Primary &&
		(p.Sides == study.Less && f.Difference > 0 || p.Sides == study.Greater && f.Difference < 0)
}

func intervalPhrase(a study.Attribute, f analysis.Finding) string {
	if f.CI.Absent() {
		return percent(f.CI.Level) + " interval " + absent
	}
	return percent(f.CI.Level) + " interval " + interval(f.CI, decimalsFor(a.Scale))
}

// movedSentence counts who moved with the difference.
func movedSentence(f analysis.Finding) string {
	with, against := f.Moved.Up, f.Moved.Down
	if f.Difference < 0 {
		with, against = against, with
	}
	text := fmt.Sprintf("%d of %s moved that way", with, people(f.N))
	if against > 0 {
		text += fmt.Sprintf(", %d the other way", against)
	}
	if f.Moved.Same > 0 {
		text += fmt.Sprintf(", %d not at all", f.Moved.Same)
	}
	return text + "."
}

// withSmallest adds how the interval stands to the smallest difference worth
// acting on, when the plan states one for this attribute.
func (v Verdict) withSmallest(plan study.AnalysisPlan, f analysis.Finding) Verdict {
	least := plan.SmallestEffect
	if least <= 0 || f.Attribute != plan.Attribute || f.CI.Absent() {
		return v
	}
	worth := fmt.Sprintf("the %g points that the study set out to act on", least)
	if least == 1 {
		worth = "the 1 point that the study set out to act on"
	}
	nearest, farthest := min(math.Abs(f.CI.Lo), math.Abs(f.CI.Hi)), max(math.Abs(f.CI.Lo), math.Abs(f.CI.Hi))
	inside := f.CI.Lo <= 0 && f.CI.Hi >= 0
	switch {
	case farthest < least && v.Outcome == Clear:
		v.Sentences = append(v.Sentences, "There is a difference, but the whole interval is smaller than "+worth+".")
	case farthest < least:
		v.Sentences = append(v.Sentences, "Any difference is smaller than "+worth+": for that purpose the two are alike.")
	case !inside && nearest >= least:
		v.Sentences = append(v.Sentences, "The whole interval is beyond "+worth+".")
	case v.Outcome == Clear:
		v.Sentences = append(v.Sentences, "Whether it reaches "+worth+" is open: the interval holds smaller and larger differences.")
	default:
		v.Sentences = append(v.Sentences, "A difference of "+worth+" is still possible: this does not show that the two are alike.")
	}
	return v
}

func nonEmpty(parts ...string) []string {
	var out []string
	for _, p := range parts {
		if p != "" {
			out = append(out, p)
		}
	}
	return out
}

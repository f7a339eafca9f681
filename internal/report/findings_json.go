package report

import (
	"encoding/json"
	"io"
	"math"

	"cloche/internal/analysis"
	"cloche/internal/stats"
	"cloche/internal/study"
)

// WriteJSON writes the findings as one object, in full precision. What could
// not be computed is null, and a warning says why. Readers must ignore fields
// they do not know.
func WriteJSON(w io.Writer, s *study.Study, r *analysis.Result) error {
	out := json.NewEncoder(w)
	out.SetIndent("", "  ")
	out.SetEscapeHTML(false)
	return out.Encode(resultToWire(s, r))
}

// value is a number that is null when it could not be computed.
type value float64

func (v value) MarshalJSON() ([]byte, error) {
	if math.IsNaN(float64(v)) || math.IsInf(float64(v), 0) {
		return []byte("null"), nil
	}
	return json.Marshal(float64(v))
}

type resultWire struct {
	Study     string         `json:"study"`
	PlanHash  *string        `json:"plan_hash"` // null when the plan was not locked
	Assessors int            `json:"n_assessors"`
	Excluded  map[string]int `json:"excluded"`
	Findings  []findingWire  `json:"findings"`
	Expected  []expectedWire `json:"expected,omitempty"` // only when names were read before tasting
	Warnings  []warningWire  `json:"warnings"`
	Versions  []versionWire  `json:"versions,omitempty"` // only when the plan was changed
	Signed    *signedWire    `json:"countersigned,omitempty"`

	AfterClose *afterCloseWire `json:"after_close,omitempty"` // only when something happened then
	Stopping   *stoppingWire   `json:"stopping,omitempty"`    // only when it is known how tasting ended
}

type versionWire struct {
	Number    int    `json:"number"`
	This      bool   `json:"this"`
	Reason    string `json:"reason"`
	Before    int    `json:"servings_rated_before"`
	LockedAt  string `json:"locked_at"`
	StudyHash string `json:"study_hash"`
	PlanHash  string `json:"plan_hash"`
}

type afterCloseWire struct {
	FindingsVersion int      `json:"findings_version"`
	WithdrawnAt     []string `json:"withdrawn_at"`
	LateAssessors   int      `json:"late_assessors"`
	LateServings    int      `json:"late_servings"`
}

type signedWire struct {
	Name string `json:"name"`
	At   string `json:"at"`
}

// stoppingWire holds the plan for the end of tasting against what happened.
type stoppingWire struct {
	Planned    string   `json:"planned"`
	Happened   string   `json:"happened"`
	Finished   int      `json:"finished"`
	Sittings   int      `json:"sittings"`
	LastDay    string   `json:"last_day"`
	Closed     string   `json:"closed"`
	Deviations []string `json:"deviations"` // codes of warnings
}

func stoppingToWire(h *analysis.Stopping) *stoppingWire {
	if h == nil {
		return nil
	}
	w := &stoppingWire{h.Planned, h.Happened, h.Finished, h.Sittings, h.LastDay, h.Closed, []string{}}
	for _, x := range h.Deviations {
		w.Deviations = append(w.Deviations, x.Code)
	}
	return w
}

type findingWire struct {
	Attribute  study.AttributeID        `json:"attribute"`
	Comparison [2]study.SampleID        `json:"comparison"`
	Role       analysis.Role            `json:"role"`
	N          int                      `json:"n"`
	Means      map[study.SampleID]value `json:"means"`
	SDs        map[study.SampleID]value `json:"sds"`
	Difference value                    `json:"difference"`
	Estimate   string                   `json:"estimate"` // the measure that the difference is
	CI         [2]value                 `json:"ci"`
	Level      value                    `json:"level"`
	Adjusted   *[2]value                `json:"ci_adjusted,omitempty"` // only of secondary findings that are adjusted together
	AdjustedAt *value                   `json:"level_adjusted,omitempty"`
	Verdict    *verdictWire             `json:"verdict,omitempty"` // not of what was expected
	Test       testWire                 `json:"test"`
	Effect     []effectWire             `json:"effect"`
	Moved      movedWire                `json:"moved"`
	Also       []testWire               `json:"also"`
	Excluded   map[string]int           `json:"excluded"`
	Checks     []checkWire              `json:"checks"`
	Warnings   []warningWire            `json:"warnings"`
}

// expectedWire is a finding on what was expected. Comparison and means are of the
// names of two samples, or of one sample “expected” and “rated” or “blind”.
type expectedWire struct {
	Kind   analysis.Kind  `json:"kind"`
	Sample study.SampleID `json:"sample,omitempty"` // of expected-minus-rated and expected-minus-blind
	findingWire
}

type verdictWire struct {
	Code analysis.VerdictCode `json:"code"`
	Text string               `json:"text"`
}

type testWire struct {
	Method    string `json:"method"`
	Statistic value  `json:"statistic"`
	DF        value  `json:"df"`
	P         value  `json:"p"`
	PAdjusted value  `json:"p_adjusted"`
}

type effectWire struct {
	Measure string   `json:"measure"`
	Value   value    `json:"value"`
	CI      [2]value `json:"ci"`
	Level   value    `json:"level"`
}

type movedWire struct {
	Up   int `json:"up"`
	Down int `json:"down"`
	Same int `json:"same"`
}

type checkWire struct {
	Method    string   `json:"method"`
	Estimate  value    `json:"estimate"`
	CI        [2]value `json:"ci"`
	Statistic value    `json:"statistic"`
	DF        value    `json:"df"`
	DF2       value    `json:"df2"`
	P         value    `json:"p"`
}

type warningWire struct {
	Code string `json:"code"`
	Text string `json:"text"`
}

func resultToWire(s *study.Study, r *analysis.Result) resultWire {
	w := resultWire{Study: r.Study, Assessors: r.Assessors, Excluded: exclusionsToWire(r.Excluded),
		Findings: []findingWire{}, Stopping: stoppingToWire(r.Stopping), Warnings: warningsToWire(r.Warnings)}
	if r.PlanHash != "" {
		w.PlanHash = &r.PlanHash
	}
	for _, f := range r.Findings {
		one := findingToWire(f)
		one.Verdict = &verdictWire{f.Verdict.Code, verdictOf(s, f).Text()}
		w.Findings = append(w.Findings, one)
	}
	for _, f := range r.Expected {
		w.Expected = append(w.Expected, expectedToWire(f))
	}
	for _, v := range r.Versions {
		w.Versions = append(w.Versions, versionWire(v))
	}
	if r.Signed != nil {
		w.Signed = (*signedWire)(r.Signed)
	}
	if a := r.AfterClose; a.Servings > 0 || len(a.Withdrawn) > 0 {
		w.AfterClose = &afterCloseWire{FindingsVersion: a.FindingsVersion(), WithdrawnAt: append([]string{}, a.Withdrawn...),
			LateAssessors: a.Assessors, LateServings: a.Servings}
	}
	return w
}

func expectedToWire(f analysis.Finding) expectedWire {
	w := expectedWire{Kind: f.Kind}
	switch f.Kind {
	case analysis.KindMet:
		w.Sample, f.Comparison = f.Comparison[0], [2]study.SampleID{"expected", "rated"}
	case analysis.KindPromised:
		w.Sample, f.Comparison = f.Comparison[0], [2]study.SampleID{"expected", "blind"}
	}
	w.findingWire = findingToWire(f)
	return w
}

func findingToWire(f analysis.Finding) findingWire {
	a, b := f.Comparison[0], f.Comparison[1]
	w := findingWire{
		Attribute: f.Attribute, Comparison: f.Comparison, Role: f.Role, N: f.N,
		Means:      map[study.SampleID]value{a: value(f.Means[0]), b: value(f.Means[1])},
		SDs:        map[study.SampleID]value{a: value(f.SDs[0]), b: value(f.SDs[1])},
		Difference: value(f.Difference), Estimate: f.Estimate, CI: ends(f.CI), Level: value(f.CI.Level),
		Test: testToWire(f.Test), Moved: movedWire(f.Moved),
		Effect: []effectWire{}, Also: []testWire{}, Checks: []checkWire{},
		Excluded: exclusionsToWire(f.Excluded), Warnings: warningsToWire(f.Warnings),
	}
	if f.Adjusted.Level > 0 {
		ci, level := ends(f.Adjusted), value(f.Adjusted.Level)
		w.Adjusted, w.AdjustedAt = &ci, &level
	}
	for _, e := range f.Effects {
		w.Effect = append(w.Effect, effectWire{e.Measure, value(e.Value), ends(e.CI), value(e.CI.Level)})
	}
	for _, t := range f.Also {
		w.Also = append(w.Also, testToWire(t))
	}
	for _, c := range f.Checks {
		w.Checks = append(w.Checks, checkWire{c.Method, value(c.Estimate), ends(c.CI),
			value(c.Statistic), value(c.DF), value(c.DF2), value(c.P)})
	}
	return w
}

func testToWire(t analysis.Test) testWire {
	return testWire{t.Method, value(t.Statistic), value(t.DF), value(t.P), value(t.PAdjusted)}
}

func ends(i stats.Interval) [2]value { return [2]value{value(i.Lo), value(i.Hi)} }

func exclusionsToWire(list []analysis.Exclusion) map[string]int {
	out := map[string]int{}
	for _, e := range list {
		out[e.Reason] += e.Count
	}
	return out
}

func warningsToWire(list []analysis.Warning) []warningWire {
	out := []warningWire{}
	for _, w := range list {
		out = append(out, warningWire(w))
	}
	return out
}

package report

import (
	"encoding/json"
	"io"
	"math"

	"cloche/internal/analysis"
	"cloche/internal/method"
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
	Study     string             `json:"study"`
	PlanHash  *string            `json:"plan_hash"` // null when the plan was not locked
	Assessors int                `json:"n_assessors"`
	Excluded  map[string]int     `json:"excluded"`
	Findings  []findingWire      `json:"findings"`
	Expected  []findingWire      `json:"expected,omitempty"` // only when names were read before tasting
	Ways      []wayWire          `json:"ways,omitempty"`     // only where a named dish is served blind too
	Asking    []askingEffectWire `json:"asking,omitempty"`   // only where half of the panel was asked
	Profile   *profileWire       `json:"profile,omitempty"`  // only where samples are described
	Warnings  []warningWire      `json:"warnings"`
	Versions  []versionWire      `json:"versions,omitempty"` // only when the plan was changed
	Signed    *signedWire        `json:"countersigned,omitempty"`
	Stamped   *stampedWire       `json:"time_stamp,omitempty"`

	AfterClose *afterCloseWire `json:"after_close,omitempty"` // only when something happened then
	Stopping   *stoppingWire   `json:"stopping,omitempty"`    // only when it is known how tasting ended
	Blinding   *blindingWire   `json:"blinding,omitempty"`    // only where guests were asked after the last plate
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

type stampedWire struct {
	At            string `json:"at"`
	Authority     string `json:"authority"`
	Issuer        string `json:"issuer"`
	Fingerprint   string `json:"certificate_sha256"`
	BeforeOpening bool   `json:"before_opening"`
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

// findingWire is a finding of any kind: what a kind does not have is absent.
type findingWire struct {
	Kind       analysis.Kind     `json:"kind"`
	Sample     study.SampleID    `json:"sample,omitempty"` // of expected-minus-rated and expected-minus-blind
	Attribute  study.AttributeID `json:"attribute,omitempty"`
	Comparison []study.SampleID  `json:"comparison"`
	Role       analysis.Role     `json:"role"`
	N          *int              `json:"n,omitempty"` // not of groups, which have ns
	*pairWire
	*groupsWire
	*choiceWire
	*panelWire
	*rankingWire
	*aboutRightWire
	Threshold *thresholdWire `json:"threshold,omitempty"` // of a threshold
	Dose      *doseWire      `json:"dose,omitempty"`      // of a dose and a named dose
	*wordsWire
	Factor     string          `json:"factor,omitempty"`    // of crossed samples
	Estimates  *[]estimateWire `json:"estimates,omitempty"` // of a panel and of crossed samples
	CI         *[2]value       `json:"ci,omitempty"`
	Level      *value          `json:"level,omitempty"`
	Adjusted   *[2]value       `json:"ci_adjusted,omitempty"` // only of secondary findings that are adjusted together
	AdjustedAt *value          `json:"level_adjusted,omitempty"`
	Ordinal    *ordinalWire    `json:"ordinal,omitempty"`        // only of two samples on a scale of few labels
	Rechecks   []recheckWire   `json:"rechecks,omitempty"`       // only of a primary finding
	People     *peopleWire     `json:"people,omitempty"`         // only where people tasted both samples more than once
	Looks      *looksWire      `json:"looks,omitempty"`          // only of a primary finding with planned looks
	Evidence   *evidenceWire   `json:"evidence,omitempty"`       // only of a primary finding with running evidence
	Hint       *hintWire       `json:"hint,omitempty"`           // only of a finding that is no more than a hint
	Same       *[2]value       `json:"ci_equivalence,omitempty"` // only where a smallest effect is stated
	SameAt     *value          `json:"level_equivalence,omitempty"`
	Verdict    *verdictWire    `json:"verdict,omitempty"` // not of what was expected
	Test       testWire        `json:"test"`
	Effect     []effectWire    `json:"effect"`
	Also       []testWire      `json:"also"`
	Excluded   map[string]int  `json:"excluded"`
	Checks     []checkWire     `json:"checks"`
	Warnings   []warningWire   `json:"warnings"`
}

// pairWire is what a comparison of two samples within people has. Means are of the
// samples compared, or of what was “expected” and “rated” or “blind” of one.
type pairWire struct {
	Means      map[study.SampleID]value `json:"means"`
	SDs        map[study.SampleID]value `json:"sds"`
	Difference value                    `json:"difference"`
	Estimate   method.ID                `json:"estimate"`        // the measure that the difference is
	Moved      *movedWire               `json:"moved,omitempty"` // not of two groups
}

// panelWire is what a comparison of all samples has.
type panelWire struct {
	Pairs    []panelPairWire `json:"pairs"`
	Complete int             `json:"n_complete"` // assessors who rated every sample
	Sittings int             `json:"sittings,omitempty"`
	Scatter  []scatterWire   `json:"scatter"` // by the model, of what is random in it
}

type estimateWire struct {
	Sample  study.SampleID `json:"sample"`
	N       int            `json:"n"`
	Mean    value          `json:"mean"`
	CI      [2]value       `json:"ci"`
	Letters string         `json:"letters"`
}

// scatterWire is a standard deviation in scale points.
type scatterWire struct {
	Of analysis.ScatterOf `json:"of"`
	SD value              `json:"sd"`
}

// panelPairWire is a pair of samples within a panel finding.
type panelPairWire struct {
	Kind            analysis.Kind     `json:"kind"` // pair
	Comparison      [2]study.SampleID `json:"comparison"`
	Difference      value             `json:"difference"`
	CI              [2]value          `json:"ci"`
	Level           value             `json:"level"`
	Adjusted        [2]value          `json:"ci_adjusted"`
	Adjustment      method.ID         `json:"adjustment"`
	Same            [2]value          `json:"ci_equivalence"`
	Test            testWire          `json:"test"`
	WithCarryOver   value             `json:"difference_with_carry_over"`
	WithCarryOverCI [2]value          `json:"ci_with_carry_over"`
}

// hintWire is what a panel of this size does at the smallest effect worth acting on.
type hintWire struct {
	Power        float64 `json:"power"`
	WrongSign    float64 `json:"wrong_sign"`   // share of what it finds
	Exaggeration float64 `json:"exaggeration"` // of what it finds, on average
}

type verdictWire struct {
	Code analysis.VerdictCode `json:"code"`
	Text string               `json:"text"`
	Next nextWire             `json:"next"`
}

type nextWire struct {
	Code   analysis.NextCode `json:"code"`
	Text   string            `json:"text"`
	More   int               `json:"more,omitempty"`   // people to add
	Chance float64           `json:"chance,omitempty"` // that they settle it
}

type testWire struct {
	Method    method.ID `json:"method"`
	Statistic value     `json:"statistic"`
	DF        value     `json:"df"`
	DF2       *value    `json:"df2,omitempty"` // of an F
	P         value     `json:"p"`
	PAdjusted value     `json:"p_adjusted"`
}

type effectWire struct {
	Measure method.ID `json:"measure,omitempty"`
	Value   value     `json:"value"`
	CI      [2]value  `json:"ci"`
	Level   value     `json:"level"`
}

type movedWire struct {
	Up   int `json:"up"`
	Down int `json:"down"`
	Same int `json:"same"`
}

type checkWire struct {
	Method    method.ID `json:"method"`
	Estimate  value     `json:"estimate"`
	CI        [2]value  `json:"ci"`
	Statistic value     `json:"statistic"`
	DF        value     `json:"df"`
	DF2       value     `json:"df2"`
	P         value     `json:"p"`
}

type warningWire struct {
	Code string `json:"code"`
	Text string `json:"text"`
}

func resultToWire(s *study.Study, r *analysis.Result) resultWire {
	w := resultWire{Study: r.Study, Assessors: r.Assessors, Excluded: exclusionsToWire(r.Excluded),
		Findings: []findingWire{}, Stopping: stoppingToWire(r.Stopping), Warnings: warningsToWire(r.Warnings),
		Profile: profileToWire(r.Profile), Blinding: blindingToWire(r.Blinding)}
	if r.PlanHash != "" {
		w.PlanHash = &r.PlanHash
	}
	for _, f := range r.Findings {
		one := findingToWire(f)
		one.Verdict = verdictToWire(s, f)
		w.Findings = append(w.Findings, one)
	}
	for _, f := range r.Expected {
		w.Expected = append(w.Expected, expectedToWire(f))
	}
	for _, x := range r.Asking {
		w.Asking = append(w.Asking, askingEffectToWire(x))
	}
	for _, x := range r.Ways {
		w.Ways = append(w.Ways, wayToWire(x))
	}
	for _, v := range r.Versions {
		w.Versions = append(w.Versions, versionWire(v))
	}
	if r.Signed != nil {
		w.Signed = (*signedWire)(r.Signed)
	}
	if r.Stamped != nil {
		w.Stamped = (*stampedWire)(r.Stamped)
	}
	if a := r.AfterClose; a.Servings > 0 || len(a.Withdrawn) > 0 {
		w.AfterClose = &afterCloseWire{FindingsVersion: a.FindingsVersion(),
			WithdrawnAt:   append([]string{}, a.Withdrawn...),
			LateAssessors: a.Assessors, LateServings: a.Servings}
	}
	return w
}

func verdictToWire(s *study.Study, f analysis.Finding) *verdictWire {
	n := f.Verdict.Next
	return &verdictWire{f.Verdict.Code, verdictOf(s, f).Text(),
		nextWire{n.Code, upperFirst(nextWords(f).String()), n.More, n.Chance}}
}

func expectedToWire(f analysis.Finding) findingWire {
	sample := f.Comparison[0]
	switch f.Kind {
	case analysis.KindExpectedMinusRated:
		f.Comparison = []study.SampleID{"expected", "rated"}
	case analysis.KindExpectedMinusBlind:
		f.Comparison = []study.SampleID{"expected", "blind"}
	default:
		sample = ""
	}
	w := findingToWire(f)
	w.Sample = sample
	return w
}

func findingToWire(f analysis.Finding) findingWire {
	w := findingWire{
		Kind: f.Kind, Attribute: f.Attribute, Comparison: f.Comparison, Role: f.Role, N: &f.N,
		Test: testToWire(f.Test), Effect: []effectWire{}, Also: []testWire{}, Checks: []checkWire{},
		Excluded: exclusionsToWire(f.Excluded), Warnings: warningsToWire(f.Warnings),
	}
	w.partOf(f)
	w.Ordinal, w.Rechecks, w.People = ordinalToWire(f), rechecksToWire(f), peopleToWire(f)
	w.Looks, w.Evidence = looksToWire(f.Looks), evidenceToWire(f.Evidence)
	if f.Hint != nil {
		w.Hint = (*hintWire)(f.Hint)
	}
	if f.EquivalenceCI.Level > 0 {
		w.Same, w.SameAt = pointTo(ends(f.EquivalenceCI)), pointTo(value(f.EquivalenceCI.Level))
	}
	if f.Adjusted.Level > 0 {
		w.Adjusted, w.AdjustedAt = pointTo(ends(f.Adjusted)), pointTo(value(f.Adjusted.Level))
	}
	for _, e := range f.Effects {
		w.Effect = append(w.Effect, effectToWire(e))
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

// partOf fills what the kind of a finding has beside the common core.
func (w *findingWire) partOf(f analysis.Finding) {
	switch f.Kind {
	case analysis.KindPanel:
		w.panelWire, w.Estimates = panelToWire(f), estimatesToWire(f.Panel.Estimates)
		return
	case analysis.KindRanking:
		w.rankingWire = rankingToWire(f)
		return
	case analysis.KindAboutRight:
		w.aboutRightWire = aboutRightToWire(f)
		return
	case analysis.KindDose, analysis.KindNamedDose:
		w.Dose = doseToWire(f)
	case analysis.KindThreshold:
		w.Threshold = thresholdToWire(f)
	case analysis.KindWords:
		w.wordsWire = wordsToWire(f)
		return
	case analysis.KindFactor:
		f.Comparison = levelsCompared(f)
		w.Factor, w.Comparison = factorWord(f), f.Comparison
		if w.Estimates = estimatesToWire(f.Factor.Cells); !f.Factor.Contrast {
			return
		}
		w.pairWire = pairToWire(f)
		if len(f.Pair.Each) == 0 {
			w.pairWire.Moved = nil
		}
	case analysis.KindChoice:
		w.choiceWire = choiceToWire(f)
	case analysis.KindGroups:
		w.groupsWire, w.N = &groupsWire{f.Groups.Ns, f.Groups.Strata}, nil
		f.Pair.Means, f.Pair.SDs = f.Groups.Means, f.Groups.SDs
		w.pairWire = pairToWire(f)
		w.pairWire.Moved = nil
	default:
		w.pairWire = pairToWire(f)
	}
	w.CI, w.Level = pointTo(ends(f.CI)), pointTo(value(f.CI.Level))
}

func pairToWire(f analysis.Finding) *pairWire {
	a, b := f.Comparison[0], f.Comparison[1]
	return &pairWire{
		Means:      map[study.SampleID]value{a: value(f.Pair.Means[0]), b: value(f.Pair.Means[1])},
		SDs:        map[study.SampleID]value{a: value(f.Pair.SDs[0]), b: value(f.Pair.SDs[1])},
		Difference: value(f.Value), Estimate: f.Measure, Moved: (*movedWire)(&f.Pair.Moved),
	}
}

func panelToWire(f analysis.Finding) *panelWire {
	w := &panelWire{Pairs: []panelPairWire{}, Complete: f.Panel.Complete, Sittings: f.Panel.Sittings,
		Scatter: []scatterWire{}}
	for _, x := range f.Panel.Scatter {
		w.Scatter = append(w.Scatter, scatterWire{x.Of, value(x.SD)})
	}
	for _, p := range f.Panel.Pairs {
		w.Pairs = append(w.Pairs, panelPairWire{analysis.KindPair, [2]study.SampleID{p.First, p.Second},
			value(p.Difference), ends(p.CI), value(p.CI.Level),
			ends(p.Adjusted), f.Panel.Adjustment, ends(p.EquivalenceCI), testToWire(p.Test),
			value(p.WithCarryOver), ends(p.WithCarryOverCI)})
	}
	return w
}

func estimatesToWire(list []analysis.SampleEstimate) *[]estimateWire {
	w := []estimateWire{}
	for _, e := range list {
		w = append(w, estimateWire{e.Sample, e.N, value(e.Mean), ends(e.CI), e.Letters})
	}
	return &w
}

func effectToWire(e analysis.Effect) effectWire {
	return effectWire{e.Measure, value(e.Value), ends(e.CI), value(e.CI.Level)}
}

func pointTo[T any](v T) *T { return &v }

func testToWire(t analysis.Test) testWire {
	w := testWire{t.Method, value(t.Statistic), value(t.DF), nil, value(t.P), value(t.PAdjusted)}
	if t.DF2 > 0 {
		w.DF2 = pointTo(value(t.DF2))
	}
	return w
}

// ends are null where there is no interval.
func ends(i stats.Interval) [2]value {
	if i == (stats.Interval{}) {
		return [2]value{value(math.NaN()), value(math.NaN())}
	}
	return [2]value{value(i.Lo), value(i.Hi)}
}

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

package analysis

import (
	"errors"
	"fmt"
	"slices"

	"cloche/internal/study"
)

// Errors of [Analyse], matched with errors.Is.
var (
	ErrNoRatings  = errors.New("there are no ratings to analyse")
	ErrNotRatings = errors.New("this question is answered by choosing among servings, not by ratings")
	ErrNoAnalysis = errors.New("answers to this question cannot be analysed yet")
	ErrPlan       = errors.New("the analysis plan does not fit the study")
	ErrRating     = errors.New("a rating does not fit the study")
)

// Options are what [Analyse] needs to know beside the study and its ratings.
type Options struct {
	Lottery  *Lottery      // how the serving plan was drawn; nil = not known
	PlanHash string        // SHA-256 of the locked plan, "" when it was not locked
	Excluded []Exclusion   // assessors left out before the ratings came here, e.g. consent withdrawn
	Expected []Expectation // said of names before any tasting; nil when nobody was asked
	Guessed  []Guessed     // said after the last plate; nil when nobody was asked
	Screened []Screened    // said before the first plate; nil when nobody was asked
	Ended    *Ended        // how tasting ended; nil when that is not known
	Versions []Version     // of the plan, the first one first; nil when there is one only
	Signed   *Signature    // of the partner under the plan; nil when there is none
	Stamped  *TimeStamp    // of an outside authority on the plan; nil when there is none

	AfterClose AfterClose // what happened to the answers after the study was closed
}

// Analyse answers the question of a study from what assessors said: see [answering],
// and for ratings [findRatings]. Assessors whom the screening leaves out are counted
// with the reason. The order of the answers is without effect.
//
// Errors: [ErrNoRatings], [ErrNoAnalysis], [ErrPlan], [ErrRating].
func Analyse(s *study.Study, ratings []Rating, o Options) (*Result, error) {
	question, _ := answeringOf(s.Question)
	if question.find == nil {
		return nil, fmt.Errorf("%w: %s", ErrNoAnalysis, s.Question)
	}
	if err := checkPlan(s); err != nil {
		return nil, err
	}
	out := ScreenedOut(s, o.Screened)
	ratings, o.Expected = screen(out, ratings, o.Expected)
	if len(ratings) == 0 {
		return nil, ErrNoRatings
	}
	assessors := assessorsOf(ratings)
	r := &Result{Study: s.Title, PlanHash: o.PlanHash, Assessors: len(assessors), Versions: o.Versions,
		Signed: o.Signed, Stamped: o.Stamped, AfterClose: o.AfterClose, Lottery: o.Lottery}
	left := newLeftOut(o.Excluded)
	for assessor, reason := range out {
		left.add(reason, assessor)
	}
	var err error
	if r.Blinding, err = findBlinding(s, ratings, o.Guessed); err != nil {
		return nil, err
	}
	if err := question.find(s, ratings, o.Expected, left, r); err != nil {
		return nil, err
	}
	if err := recheckAnswers(s, question.find, ratings, r); err != nil {
		return nil, fmt.Errorf("reckon the primary finding anew: %w", err)
	}
	r.Excluded = left.exclusions()
	r.Stopping = holdStopping(s, o.Ended, decidedEarly(r))
	remarkStudy(s, ratings, r)
	if decidedEarly(r) && len(r.Findings) > 1 {
		r.Warnings = append(r.Warnings, warnOthersAtLook)
	}
	r.Warnings = append(r.Warnings, remarkUnscreened(s, assessors, o.Screened)...)
	if r.Blinding != nil {
		r.Warnings = append(r.Warnings, r.Blinding.Warnings...)
	}
	if r.Stopping != nil {
		r.Warnings = append(r.Warnings, r.Stopping.Deviations...)
	}
	return r, nil
}

// findRatings compares the samples of a study on every attribute: first what the
// plan calls primary, then the primary pair on every other attribute, then
// every other pair on each attribute, these as secondary and adjusted together.
//
// A comparison uses the assessors who rated both samples; the others are
// counted with the reason. Replicates are averaged per assessor. Intervals are
// two-sided at 1 − alpha; the primary test has the sides of the plan, secondary
// tests two. Of three samples or more, all are compared together too.
//
// Answers about right are no part of that: see [findAboutRight].
func findRatings(s *study.Study, ratings []Rating, expected []Expectation, left *leftOut, r *Result) error {
	averaged, rest := withoutAboutRight(s, ratings)
	if err := findAveraged(averaged, rest, sayTheSame(s, ratings), expected, left, r); err != nil {
		return err
	}
	right, err := findAboutRight(s, ratings)
	r.Findings = append(r.Findings, right...)
	return err
}

// findAveraged is [findRatings] of what is rated on scales whose answers have a mean.
// Same are those who gave the same answer to everything, on other scales too.
func findAveraged(s *study.Study, ratings []Rating, same map[string]bool, expected []Expectation, left *leftOut,
	r *Result) error {
	panel, err := tabulate(s, ratings)
	if err != nil {
		return err
	}
	panel.mark(same)
	panel.came = arrivalsOf(s, ratings)
	panel.markGuesses(r.Blinding)
	panel.lottery, panel.noLottery = redraw(s, r.Lottery)
	if err := panel.drawPlanned(s, comparisons(s)); err != nil {
		return err
	}
	if err := panel.fitOrdinal(s); err != nil {
		return err
	}
	if err := panel.fitPairModels(s); err != nil {
		return err
	}
	effects, err := panel.findEffects(s, left)
	if err != nil {
		return err
	}
	if r.Findings, err = panel.compareAll(s, left); err != nil {
		return err
	}
	r.Findings = slices.Insert(r.Findings, min(primaryPairs(s.Plan), len(r.Findings)), effects...)
	if err := adjustSecondary(s.Plan, r); err != nil {
		return err
	}
	panels, err := panel.wholePanels(s)
	if err != nil {
		return err
	}
	adjustPanels(s.Plan, panels)
	remarkCarryOver(r.Findings, panels)
	if s.Plan.WholePanel {
		r.Findings = append(panels, r.Findings...)
	} else {
		r.Findings = append(r.Findings, panels...)
	}
	for i := range r.Findings {
		r.Findings[i].conclude(s.Plan)
		if err := panel.recheck(s, &r.Findings[i], panels); err != nil {
			return fmt.Errorf("reckon the primary finding anew: %w", err)
		}
	}
	for _, f := range r.Findings {
		if f.Drawn != nil {
			f.Drawn.Forget()
		}
	}
	if err := panel.findExpected(s, expected, r); err != nil {
		return fmt.Errorf("compare what was expected: %w", err)
	}
	return nil
}

// checkPlan checks what every plan says.
func checkPlan(s *study.Study) error {
	p := s.Plan
	if err := checkCompare(s); err != nil {
		return err
	}
	if s.Question.CollectsRatings() {
		if _, ok := s.Attribute(p.Attribute); !ok {
			return fmt.Errorf("%w: no attribute %q", ErrPlan, p.Attribute)
		}
		if liking, ok := s.Attribute(p.Liking); len(s.AboutRights()) > 0 && (!ok || !liking.Scale.Averages()) {
			return fmt.Errorf("%w: no attribute says how much a serving is liked", ErrPlan)
		}
	}
	if !(p.Alpha > 0 && p.Alpha < 1) {
		return fmt.Errorf("%w: alpha is %g, not between 0 and 1", ErrPlan, p.Alpha)
	}
	return nil
}

func checkCompare(s *study.Study) error {
	p := s.Plan
	if s.Question.Response() == study.TickWords {
		return nil
	}
	if s.Question.Response() == study.RankAll { // all samples, no two of them
		for _, id := range p.Expected {
			if _, ok := s.Sample(id); !ok || len(p.Expected) != len(s.Samples) {
				return fmt.Errorf("%w: the expected order is none of all samples", ErrPlan)
			}
		}
		return nil
	}
	if s.Question.Kind().Ascending {
		if len(s.Samples) < fewestSamples {
			return fmt.Errorf("%w: a series takes a dish without and two amounts at least", ErrPlan)
		}
		return nil
	}
	if s.Question.Kind().OneDish {
		if a, ok := s.Attribute(p.Attribute); !ok || a.Scale.Averages() || len(s.Samples) != 1 {
			return fmt.Errorf("%w: of one dish an attribute about right decides", ErrPlan)
		}
		return nil
	}
	if s.Question.Kind().Amounts {
		if series, _ := s.Series(); len(series) < fewestSamples {
			return fmt.Errorf("%w: a line takes three amounts at least", ErrPlan)
		}
		return nil
	}
	if p.EffectOf != "" {
		if _, all := effectsOf(s); len(all) == 0 || all[0].role != Primary {
			return fmt.Errorf("%w: the samples have no such effect of the %s", ErrPlan, p.EffectOf)
		}
		return nil
	}
	if p.WholePanel {
		if len(s.Samples) < fewestSamples || s.Serving.Design == study.One {
			return fmt.Errorf("%w: all samples cannot be compared together", ErrPlan)
		}
		return nil
	}
	two := compared(s)
	for _, id := range two {
		if _, ok := s.Sample(id); !ok {
			return fmt.Errorf("%w: no sample %q", ErrPlan, id)
		}
	}
	if two[0] == two[1] {
		return fmt.Errorf("%w: sample %q is compared with itself", ErrPlan, two[0])
	}
	return nil
}

// primaryPairs counts the pairs that stand before what is found of crossed samples.
func primaryPairs(p study.AnalysisPlan) int { return boolToInt(p.ComparesTwo()) }

// comparison is one question to the ratings.
type comparison struct {
	attribute study.Attribute
	pair      [2]study.SampleID
	role      Role
}

// comparisons lists what the plan asks: primary first, then the primary pair
// on the other attributes, then the other pairs, all in the order of the study. None
// when all samples are compared together: that finding has its own pairs.
func comparisons(s *study.Study) []comparison {
	if s.Plan.WholePanel {
		return nil
	}
	var all []comparison
	if s.Plan.ComparesTwo() {
		for _, a := range attributesFromPrimary(s) {
			all = append(all, comparison{a, s.Plan.Compare, Secondary})
		}
		all[0].role = Primary
	}
	for _, pair := range otherPairs(s) {
		for _, a := range s.Attributes {
			all = append(all, comparison{a, pair, Secondary})
		}
	}
	return all
}

// otherPairs are all pairs but the planned one; of crossed samples those that differ in one
// thing only.
func otherPairs(s *study.Study) [][2]study.SampleID {
	var pairs [][2]study.SampleID
	_, crossed := s.Crossed()
	for i, a := range s.Samples {
		for _, b := range s.Samples[i+1:] {
			if crossed && s.Serving.Design != study.One && a.Dish != b.Dish && a.Name != b.Name {
				continue
			}
			pair := [2]study.SampleID{a.ID, b.ID}
			if pair != s.Plan.Compare && pair != [2]study.SampleID{s.Plan.Compare[1], s.Plan.Compare[0]} {
				pairs = append(pairs, pair)
			}
		}
	}
	return pairs
}

package analysis

import (
	"slices"
	"strings"

	"cloche/internal/design"
	"cloche/internal/method"
	"cloche/internal/stats"
	"cloche/internal/stats/choice"
	"cloche/internal/stats/lottery"
	"cloche/internal/study"
)

// Rating is one answer: what an assessor said of one attribute of one serving.
type Rating struct {
	Assessor  string      // label of the assessor
	Turn      int         // what the assessor answered at once, from 1; 0 = not known
	Position  int         // position of the serving, from 1; 0 = not known
	Sitting   int         // at which it was tasted, from 1; 0 = not known
	Code      design.Code // blinding code; "" = not known
	Sample    study.SampleID
	Attribute study.AttributeID
	Value     float64        // on the attribute's scale
	Stratum   string         // of the assessor, where each gets one sample within strata; "" = none, or not known
	Revealed  bool           // the blind was broken for its serving
	Reference study.SampleID // what the known reference of its turn was; "" = there is none, or not known

	// Look is before which look it was in, from 1, the one at the end counted; 0 = not known
	Look       int
	Arrived    int     // as which answer of the study its turn came, from 1; 0 = not known
	NotSetDown bool    // nobody noted that its plate was set down; false when that is not known
	WrongPlate bool    // another plate than its own reached the assessor
	OutOfTurn  bool    // it was given before the answer to a serving that the plan has earlier
	Seconds    float64 // from when its plate was noted as set down until it was given; 0 when that is not known

	TastedEarly, Talked, Spilt, Unwell bool // what floor noted of its turn, see [breaches]
}

// Role says how a comparison was meant before the ratings were seen.
type Role string

// The roles of a finding.
const (
	Primary     Role = "primary"
	Secondary   Role = "secondary"
	Exploratory Role = "exploratory"
)

// Kind says what a finding is about, and so which part of it is filled. Stable short words.
type Kind string

// The kinds of findings.
const (
	KindPair    Kind = "pair"    // how the same people rated two samples: [Finding.Pair]
	KindGroups  Kind = "groups"  // how different people rated two samples, one each: [Finding.Groups]
	KindPanel   Kind = "panel"   // how all samples were rated, three or more: [Finding.Panel]
	KindFactor  Kind = "factor"  // what one factor of crossed samples does over the other: [Finding.Factor]
	KindChoice  Kind = "choice"  // what people chose among servings: [Finding.Choice]
	KindRanking Kind = "ranking" // in what order people put all samples: [Finding.Ranking]
	KindDose    Kind = "dose"    // how a rating goes with the amount of something: [Finding.Dose]
	// what a dish served under another name is worth in amounts: [Finding.Dose]
	KindNamedDose Kind = "named-dose"
	KindWords     Kind = "words" // which words of a list people tick for each sample: [Finding.Words]
	// from which amount on something is tasted: [Finding.Threshold]
	KindThreshold Kind = "tasted-from"

	// whether samples are about right, and whether those who say otherwise like them less: [Finding.AboutRight]
	KindAboutRight Kind = "about-right"

	// Of what was expected of names before tasting; each fills [Finding.Pair] too.
	KindExpected           Kind = "expected"             // of the names of two samples
	KindExpectedMinusRated Kind = "expected-minus-rated" // of the name of a sample, and how it was rated under it
	KindExpectedMinusBlind Kind = "expected-minus-blind" // of the name of a sample, and how its dish was rated blind
)

// Result is everything found in a study.
type Result struct {
	Study     string // title
	PlanHash  string // SHA-256 of the locked plan, "" when it was not locked
	Assessors int    // assessors with at least one rating
	Excluded  []Exclusion
	Findings  []Finding      // primary first, then secondary in the order of the study
	Expected  []Finding      // exploratory, of other kinds than the ratings; empty when no name was read before tasting
	Ways      []Way          // that names went from blind to expected; empty where no named dish is served blind too
	Asking    []AskingEffect // whether being asked changed the tasting; empty where everybody was asked
	Profile   *Profile       // of a study that describes its samples; nil otherwise
	Warnings  []Warning      // of the whole study
	Lottery   *Lottery       // the serving plan, where its draw can be repeated; nil = not known
	Versions  []Version      // of the plan, when there are several
	Signed    *Signature
	Stamped   *TimeStamp

	AfterClose AfterClose // what happened to the answers after the study was closed
	Stopping   *Stopping  // nil when it is not known how tasting ended
	Blinding   *Blinding  // whether the blind held; nil where nobody was asked after the last plate
}

// Exclusion counts the assessors left out for one reason.
type Exclusion struct {
	Reason string // plain words, stable
	Count  int
}

// Finding is an answer with its effect, interval and test: what findings of every
// kind have, and the part of its own kind.
type Finding struct {
	Kind       Kind
	Attribute  study.AttributeID // "" when servings were chosen or put in an order, not rated
	Comparison []study.SampleID  // two: the first against the second; more: all of them; of one name, its sample twice
	Role       Role
	N          int // people it rests on, or answers of a [KindChoice]
	Estimate
	Test     Test   // as the analysis plan chose; the sign test when all differences are equal, with a warning
	Also     []Test // other tests of the same comparison
	Effects  []Effect
	Excluded []Exclusion // assessors left out of this comparison
	Checks   []Check     // of what the comparison rests on
	Verdict  Verdict
	Drawn    *lottery.Result // of the plan's lottery, where that tests it; nil otherwise
	Ordinal  *OrdinalPart    // of two samples on a scale of few labels; nil otherwise
	Rechecks []Recheck       // of a primary comparison of two samples: the same reckoned in other ways
	People   *PeoplePart     // of the primary comparison within people who tasted both more than once; nil otherwise
	Looks    *LooksPart      // of a primary comparison with planned looks; nil otherwise
	Evidence *EvidencePart   // of a primary comparison with running evidence; nil otherwise
	Hint     *Hint           // why the finding is no more than a hint; nil when it is more
	Warnings []Warning

	Pair    PairPart    // of [KindPair] and of what was expected
	Groups  GroupsPart  // of [KindGroups]
	Panel   PanelPart   // of [KindPanel]; it has no single estimate
	Factor  FactorPart  // of [KindFactor]; [Finding.Pair] too
	Choice  ChoicePart  // of [KindChoice]
	Ranking RankingPart // of [KindRanking]; it has no single estimate
	Words   WordsPart   // of [KindWords]; it has no single estimate

	AboutRight AboutRightPart // of [KindAboutRight]; it has no single estimate
	Dose       DosePart       // of [KindDose] and [KindNamedDose]
	Threshold  ThresholdPart  // of [KindThreshold]
}

// Estimate is what a finding says of the size of its effect: scale points, or a share.
// A finding that has no single number has NaN.
type Estimate struct {
	Measure  method.ID // that Value is, e.g. [method.MeanDifference]; the one that goes with the test
	Value    float64
	CI       stats.Interval // of the value, on its own; Level is what it reaches
	Adjusted stats.Interval // of the value, adjusted with the other secondary findings; Level 0 = there is none
	// EquivalenceCI is the interval of two one-sided tests at alpha, of level 1 − 2·alpha, or
	// 1 − 2·alpha/Family where it is adjusted. The samples are practically the same when it lies
	// inside the smallest effect, and only then. Level 0 where there is no smallest effect.
	EquivalenceCI stats.Interval
	Family        int // secondary findings adjusted together, itself included; 0 = not adjusted
	Lean          int // sign of what the planned test looks at: 1 the first sample is higher, -1 lower
}

// PairPart is what only a comparison of two samples within people has.
type PairPart struct {
	Means [2]float64
	SDs   [2]float64
	Moved Moved
	Each  []Pair // what each assessor said, for the figure
	// Model is the pair in the mixed model of all samples, where that answers; nil otherwise.
	// Means and Moved are then those of the assessors who rated both.
	Model *ModelEffect
}

// ChoicePart is what only answers by choosing have. [Estimate] is the share of right
// answers, or of those with a preference the share that chose the first sample.
type ChoicePart struct {
	Chance    float64    // the share when nobody tells a difference or has a preference
	People    int        // who answered; fewer than answers where each answered more than once
	Told      *Told      // of a test of difference, else nil
	Preferred *Preferred // of a preference, else nil
	Said      *Said      // of what was said of a turn, else nil; then Estimate is d′
}

// Said counts how often the first of two things was said: of turns of which it is true
// (X1 of N1), and of the others (X2 of N2).
type Said struct{ choice.TwoCounts }

// Told is how many told a difference.
type Told struct {
	Right   int
	Least   int    // right answers from which on they are more than guessing gives, at alpha; beyond all where none are
	Tellers Effect // share of the people who truly tell, beyond right guesses
	DPrime  Effect
	Early   *ToldEarly // how answers were taken one by one until they decided; nil where the plan does not ask it
	Alike   *ToldAlike // whether so few tell that the samples pass for the same; nil where the plan does not ask it
}

// Preferred counts who chose which sample.
type Preferred struct {
	First, Second int
	None          int // had no preference
	Split         int // of None, counted half for each as the plan says
}

// Compares reports whether a finding compares just these two, in this order.
func (f *Finding) Compares(pair [2]study.SampleID) bool { return slices.Equal(f.Comparison, pair[:]) }

// Two are the samples of a finding that compares two.
func (f *Finding) Two() [2]study.SampleID { return [2]study.SampleID(f.Comparison) }

// Test is a test with its result. DF is NaN where the method has none, DF2 unless the
// statistic is an F; PAdjusted is NaN where nothing was adjusted.
type Test struct {
	Method    method.ID
	Title     string // as a sentence names it, e.g. "paired t test"
	Statistic float64
	DF, DF2   float64
	P         float64
	PAdjusted float64
}

// Name is the test as a sentence names it, without how its p was found.
func (t Test) Name() string {
	name, _, _ := strings.Cut(t.Title, ",")
	return name
}

// Check is a test of something a comparison rests on, such as the order of
// serving. What cannot be computed is NaN.
type Check struct {
	Method    method.ID
	Title     string         // as a sentence names it
	Estimate  float64        // scale points; NaN where the check has no single estimate
	CI        stats.Interval // of the estimate
	Statistic float64
	DF, DF2   float64 // DF2 is NaN unless the statistic is an F
	P         float64
}

// Effect is a standardised effect with its interval.
type Effect struct {
	Measure method.ID
	Value   float64
	CI      stats.Interval
}

// Moved counts assessors by the sign of their difference, first minus second.
type Moved struct{ Up, Down, Same int }

// Pair is what one assessor said of the two samples. FirstPosition tells which
// was tasted first: +1 the first of the comparison, −1 the second, 0 not known.
type Pair struct {
	Assessor      string
	First, Second float64
	FirstPosition int
}

// Warning is a remark on a finding. Code is stable; Text is a plain sentence.
type Warning struct {
	Code string `json:"code"`
	Text string `json:"text"`
}

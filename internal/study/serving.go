package study

// Design is how many of the samples each assessor gets.
type Design string

// The designs.
const (
	All  Design = "all"  // every sample to each assessor
	Some Design = "some" // PerAssessor samples to each assessor, in incomplete blocks
	One  Design = "one"  // one sample to each assessor
)

// CodePolicy is when a fresh blinding code is drawn.
type CodePolicy string

// The code policies.
const (
	CodePerServing CodePolicy = "serving" // a fresh code for every serving
	CodePerSample  CodePolicy = "sample"  // one code per sample and sitting; neighbours can compare
)

// Reference is how the reference sample of a duo-trio test is chosen.
type Reference string

// The duo-trio references (ISO 10399).
const (
	BalancedReference Reference = "balanced" // each sample is the reference equally often
	ConstantReference Reference = "constant" // the first sample is always the reference
)

// ReferenceVaries reports whether each turn has a known reference that may be either
// sample.
func (s *Study) ReferenceVaries() bool {
	return s.Question.Kind().Reference && s.Serving.Reference != ConstantReference
}

// TrayOpening says which codes open a tray on a phone without network.
type TrayOpening string

// What opens a tray.
const (
	ByAllCodes  TrayOpening = "all codes"  // nobody reads its names before the whole tray is there
	ByFirstCode TrayOpening = "first code" // that of the plate furthest to the guest's left: less to type
)

// AttributeOrder is the order in which the attributes of a serving are asked.
type AttributeOrder string

// The orders.
const (
	FixedOrder   AttributeOrder = "fixed"   // the order of the file for everybody
	RotatedOrder AttributeOrder = "rotated" // each assessor's own, the same for all of their servings
)

// TableOrder is who sits beside whom.
type TableOrder string

// Who sits at one table.
const (
	MixedOrders TableOrder = "different orders" // neighbours taste different things
	SameOrder   TableOrder = "same order"       // a table hears one name at a time
)

// BlockSize is how many orders are drawn together.
type BlockSize string

// The sizes of blocks.
const (
	FixedBlocks  BlockSize = "fixed"  // every order of a block once
	RandomBlocks BlockSize = "random" // sizes mixed, so that what comes next is hard to guess
)

// Serving says what is served to whom; package design draws the plan from it.
type Serving struct {
	Design      Design
	PerAssessor int // Some: samples per assessor, 2 … len(Samples)−1
	// times each sample (or each trial of a difference test) is served to an assessor; at least 1
	Replicates      int
	WarmUp          SampleID  // served first, the same for all, not analysed; empty = none
	FixedReference  SampleID  // a known reference served first at each sitting; empty = none
	Reference       Reference // duo-trio only
	BlindFirst      bool      // Naming: the blind samples come before the named ones
	KeepDishesApart bool      // no assessor meets one dish under two names at one sitting
	Expectation     bool      // each name is read and rated before any tasting
	AskHalf         bool      // Expectation: by a random half of the panel, so that what asking does shows
	ShowNumbers     bool      // a mark on a line shows its value
	Attributes      AttributeOrder
	OneQuestion     bool        // phones show one question a screen
	TasteOnce       bool        // trays: nobody tastes again what they have tasted
	TrayOpens       TrayOpening // trays
	PlateGate       bool        // name and questions appear once the code on the plate was typed
	MaxPerSitting   int         // most servings per assessor and sitting; 0 = no limit
	Codes           CodePolicy
	SpareCodes      int // spare codes per sitting for dropped plates
	RinseSeconds    int // pause between servings
	PassMinutes     int // how long a plate may wait at the pass before it is marked; at least 1
	Seed            uint64
	HasSeed         bool // false: a seed is drawn when the study is locked
	Strata          []Stratum
	Minimise        bool // One: minimisation (Pocock & Simon 1975) instead of permuted blocks
	AtOneTable      TableOrder
	GraceMinutes    int       // in which those who taste may finish when the study is to close; 0 = none
	Zone            string    // in which times are shown, such as Europe/Berlin; empty = the service's
	Blocks          BlockSize // empty: what [Serving.usualBlocks] says
}

// RandomBlocks reports whether blocks are of random size.
func (v Serving) RandomBlocks() bool {
	if v.Blocks == "" {
		return v.usualBlocks() == RandomBlocks
	}
	return v.Blocks == RandomBlocks
}

// usualBlocks holds when a study does not say: where each assessor gets one sample,
// whoever seats them could otherwise know what the last of a block will get.
func (v Serving) usualBlocks() BlockSize {
	if v.Design == One {
		return RandomBlocks
	}
	return FixedBlocks
}

// Stratum is a property of assessors (table, regular or new guest) within whose
// levels a One design is balanced.
type Stratum struct {
	ID     string
	Ask    string // question to the assessor; empty where the staff know the answer
	Levels []string
}

// StratumWords is a stratum that assessors are asked about, in another language.
type StratumWords struct {
	ID, Ask string
	Levels  []string
}

// Combinations counts the combinations of levels of the strata; 1 without strata.
func (v Serving) Combinations() int {
	n := 1
	for _, x := range v.Strata {
		n *= len(x.Levels)
	}
	return n
}

// DealtOnArrival reports whether it is dealt on arrival which sample an assessor gets:
// before that nobody knows to which stratum they belong.
func (v Serving) DealtOnArrival() bool { return v.Design == One && len(v.Strata) > 0 }

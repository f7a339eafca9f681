package study

import "slices"

// Identifiers of the parts of a study. They are short words chosen by the
// author of the study file: a letter, then letters, digits, '-' or '_'.
type (
	DishID      string
	NameID      string
	SampleID    string
	AttributeID string
)

// FormatVersion is the version of the study file format that this package reads.
const FormatVersion = 1

// Study is what is asked of a panel: the things compared, what is rated, by how
// many, and what will be tested. It is a value: reading, locking and running a
// study happen elsewhere.
type Study struct {
	Title      string
	Question   Question
	Hypothesis string     // what the lead expects and why; never shown to kitchen, floor or assessors
	Invented   bool       // the ratings that belong to it are invented; every page says so
	Languages  []string   // BCP 47 tags of what assessors read, its own first
	AmountsIn  AmountUnit // of the dishes, in a study of amounts
	Dishes     []Dish
	Names      []Name
	Samples    []Sample
	Attributes []Attribute
	Panel      Panel
	Serving    Serving
	Texts      Texts
	Plan       AnalysisPlan

	Translations []Translation // of Languages[1:], in that order
}

// Dish is what is cooked.
type Dish struct {
	ID           DishID
	Title        string     // as the kitchen calls it
	Portion      string     // e.g. "60 g"
	ServeAt      float64    // serving temperature, °C
	Allergens    []Allergen // of the 14 of Regulation (EU) 1169/2011, Annex II
	AlsoContains []string   // free text beside them
	Alcohol      bool       // contains alcohol
	Amount       float64    // of what a study of amounts asks about, in [Study.AmountsIn]; the kitchen alone sees it
}

// Name is what a dish is called in front of the taster.
type Name struct {
	ID   NameID
	Text string // exactly as the taster reads it and as floor says it
}

// Sample is a dish under a name: the thing compared. Name is empty for a blind
// sample.
type Sample struct {
	ID   SampleID
	Dish DishID
	Name NameID
}

// Attribute is what is rated, and on which scale.
type Attribute struct {
	ID    AttributeID
	Ask   string // the question as the assessor reads it
	Scale Scale  // zero in a difference test, which is answered by choosing
}

// Panel is who tastes, and on how many occasions.
type Panel struct {
	Assessors int // places in the plan
	Sittings  int // occasions; at least 1
	Seats     int // most assessors at one sitting; 0 = no limit

	MinimumAge int      // in years, which assessors confirm before consent; 0 = not asked
	Screening  []Screen // asked before the first plate

	TellResult     bool         // guests read on their phones, after the close, what was found
	LastQuestion   LastQuestion // asked after the last plate; "" = nothing
	WithdrawalDays int          // after the close, in which answers can still be taken out; 0 = until the close
}

// Texts are what assessors read beside the questions.
type Texts struct {
	Welcome      string // optional, first line of the ballot
	Consent      string
	Instructions string
	Thanks       string
	Debrief      string // shown after close, if not empty
	Comment      string // question of a comment box after each serving; empty = none

	// the samples of the comparison as the last question calls them
	FirstCompared, SecondCompared string
}

// Dish returns the dish with this id.
func (s *Study) Dish(id DishID) (Dish, bool) {
	for _, d := range s.Dishes {
		if d.ID == id {
			return d, true
		}
	}
	return Dish{}, false
}

// Name returns the name with this id.
func (s *Study) Name(id NameID) (Name, bool) {
	for _, n := range s.Names {
		if n.ID == id {
			return n, true
		}
	}
	return Name{}, false
}

// Sample returns the sample with this id.
func (s *Study) Sample(id SampleID) (Sample, bool) {
	for _, x := range s.Samples {
		if x.ID == id {
			return x, true
		}
	}
	return Sample{}, false
}

// ServesAlcohol reports whether a dish contains alcohol.
func (s *Study) ServesAlcohol() bool {
	return slices.ContainsFunc(s.Dishes, func(d Dish) bool { return d.Alcohol })
}

// AsksAge reports whether assessors confirm before consent that they are old
// enough: of the minimum age or, when an older study pours alcohol without one,
// of that of the law.
func (s *Study) AsksAge() bool { return s.Panel.MinimumAge > 0 || s.ServesAlcohol() }

// Attribute returns the attribute with this id.
func (s *Study) Attribute(id AttributeID) (Attribute, bool) {
	for _, a := range s.Attributes {
		if a.ID == id {
			return a, true
		}
	}
	return Attribute{}, false
}

// NameText returns the words that go with a sample, or "" when it is served blind.
func (s *Study) NameText(id SampleID) string {
	x, _ := s.Sample(id)
	n, _ := s.Name(x.Name)
	return n.Text
}

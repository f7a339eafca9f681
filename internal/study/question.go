package study

import "slices"

// Question is the kind of test that a study asks for, as its file names it.
type Question string

// QuestionKind is all that a kind of question says of itself: how people choose it,
// what a study of it needs, and how it is answered. Each stands in a file of its own;
// how it is served says package design, how its answer is found package analysis.
type QuestionKind struct {
	ID Question

	// Words for the lead.
	Title    string // in a list to choose from
	Asks     string // what it asks of a panel, as a question
	ChooseIf string // when it is the one to choose, a sentence
	Example  string // a question of a kitchen that it answers

	// How it is answered.
	Response Response
	Servings int         // of a turn; [EverySample] where all samples come at once
	Counts   string      // what its analysis does with the answers: "which counts right answers"
	Ask      Wordings    // how it is put to assessors, by language; nil where attributes say that
	AskAs    string      // where it asks about one attribute: how its question may read
	Says     [2]Wordings // the two things of which one is said, [SayOneOfTwo]
	None     Wordings    // the answer that chooses none of the servings; nil where that may never be

	// What a study of it needs.
	Samples     int           // exactly so many, blind; 0 is two or more, under names or not
	MostSamples int           // where it is not 0: from Samples to so many
	WhyBlind    string        // of the samples, where there is a number of them
	Attributes  AttributeNeed // what it asks about
	NamesMatter bool          // it compares names, so that a new dish is served under each
	Amounts     bool          // its samples are amounts of one thing: see [Study.Series]
	Ascending   bool          // a turn for each amount, from the least on, beside two of the first sample
	OneDish     bool          // of one dish, held against none: what decides is asked as about right
	Describes   bool          // it describes all samples, by a panel that has practised
	Reference   bool          // one serving of each turn is the known reference of the others
	Designs     []Design      // how many of the samples an assessor may get, the usual one first

	// What its analysis plan may say, beside sides, alpha and when tasting ends.
	Sides    []Sides // of its test, the usual one first
	PlanKeys []string

	// Tells is set where right answers are counted against those that guessing gives: a smallest
	// effect is then the share of the people who truly tell the samples apart.
	Tells bool

	// ShareAbove is what a smallest effect lies above where it is a share of the answers;
	// 0 where it is in scale points, or any share: see [QuestionKind.ShareEffect].
	ShareAbove float64

	fits func(r *reader, s *Study) // makes the checks that only this question needs; nil for none
}

// EverySample stands for the servings of a turn that holds all samples of the study.
const EverySample = 0

// TurnServings is how many servings a turn of the study's question holds.
func (s *Study) TurnServings() int {
	if n := s.Question.Kind().Servings; n != EverySample {
		return n
	}
	return len(s.Samples)
}

// Takes reports whether the question can be asked of so many samples, where it says how
// many it takes.
func (k QuestionKind) Takes(samples int) bool {
	return samples >= k.Samples && samples <= max(k.Samples, k.MostSamples)
}

// SamplesInWords is how many samples the question takes: "two", or "three to eight".
func (k QuestionKind) SamplesInWords() string {
	if k.MostSamples > k.Samples {
		return inWords(k.Samples) + " to " + inWords(k.MostSamples)
	}
	return inWords(k.Samples)
}

// Wordings are words that assessors read, by language of [Spoken].
type Wordings map[string]string

// in gives the words in a language.
func (a Wordings) in(lang string) string {
	base, _ := spokenAs(lang)
	if text, ok := a[base]; ok {
		return text
	}
	return a[baseLanguage]
}

// TurnAsk is the question that a turn puts to assessors, in the study's own language
// (see [Study.In]); "" where each attribute asks its own.
func (s *Study) TurnAsk() string {
	k := s.Question.Kind()
	if k.Attributes == OneNamed && len(s.Attributes) > 0 {
		return s.Attributes[0].Ask
	}
	return k.Ask.in(s.Languages[0])
}

// SayWords are the two things of which one is said, in the study's own language.
func (s *Study) SayWords() []string {
	says := s.Question.Kind().Says
	return []string{says[0].in(s.Languages[0]), says[1].in(s.Languages[0])}
}

// NoneWord is the answer that chooses none of the servings, in the study's own
// language; "" where assessors have to choose.
func (s *Study) NoneWord() string {
	if s.Plan.Undecided == "" {
		return ""
	}
	return s.Question.Kind().None.in(s.Languages[0])
}

// AttributeNeed is what a question asks about.
type AttributeNeed uint8

// The needs.
const (
	NoAttributes AttributeNeed = iota // the servings as they are
	OneNamed                          // which serving has more of one attribute
	SomeRated                         // how much of each attribute a serving has, on its scale
)

// Questions are the ids of all kinds, in the order in which they are listed.
func Questions() []Question {
	ids := make([]Question, len(questions))
	for i, k := range questions {
		ids[i] = k.ID
	}
	return ids
}

// Kind is what the question says of itself; empty when there is no such question.
func (q Question) Kind() QuestionKind {
	for _, k := range questions {
		if k.ID == q {
			return *k
		}
	}
	return QuestionKind{}
}

// Response is what the turns of the question are answered with, warm-ups and names
// that are read aside; empty when there is no such question.
func (q Question) Response() Response { return q.Kind().Response }

// CollectsRatings reports whether each serving is rated on attributes, rather than
// chosen, sorted or said to be one of two things.
func (q Question) CollectsRatings() bool { return q.Response() == Rate }

// ShareEffect reports whether the smallest effect is a share of the answers, not a number
// of scale points.
func (k QuestionKind) ShareEffect() bool { return k.ShareAbove > 0 || k.Response == TickWords }

// OneByOne reports whether samples come one at a time and each is described by itself:
// rated, or ticked for words.
func (q Question) OneByOne() bool { return q.CollectsRatings() || q.Response() == TickWords }

// Plans reports whether the analysis plan of the question may have a key.
func (k QuestionKind) Plans(key string) bool { return slices.Contains(k.PlanKeys, key) }

// StatesShare reports whether a smallest effect is a share: of the answers, or of the people
// who truly tell; else it is in scale points.
func (k QuestionKind) StatesShare() bool {
	return k.ShareAbove > 0 || k.Tells || k.Response == TickWords
}

// Orders reports whether the samples of the question stand in an order: the first is
// the one expected to have more.
func (k QuestionKind) Orders() bool { return k.Plans("compare") }

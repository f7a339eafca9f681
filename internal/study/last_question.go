package study

import "fmt"

// LastQuestion is what assessors are asked after their last plate, before anybody is told
// anything: whether the blind held. The zero value asks nothing.
type LastQuestion string

// The last questions.
const (
	AskCompared LastQuestion = "compared" // what they think was compared, in their own words
	AskSame     LastQuestion = "same"     // that, and whether their plates were one dish
	AskWhich    LastQuestion = "which"    // that, and which was which
)

var lastQuestions = []LastQuestion{AskCompared, AskSame, AskWhich}

// Guess is what an assessor said to the last question: one of these or, where it asks which
// was which, the id of a sample. An id holds neither space nor apostrophe.
type Guess string

// The guesses.
const (
	GuessUnknown   Guess = "don't know"
	GuessSame      Guess = "same"
	GuessDifferent Guess = "different"
)

// RightGuess is what the last question should have been answered with by whoever tasted the
// sample own: of several plates, that of the first sample of the comparison is asked for.
// "" where nothing can be right.
func (s *Study) RightGuess(own SampleID) Guess {
	switch s.Panel.LastQuestion {
	case AskSame:
		first, _ := s.Sample(s.Plan.Compare[0])
		if second, _ := s.Sample(s.Plan.Compare[1]); first.Dish != second.Dish {
			return GuessDifferent
		}
		return GuessSame
	case AskWhich:
		if s.Serving.Design == One {
			return Guess(own)
		}
		return Guess(s.Plan.Compare[0])
	case AskCompared:
	}
	return ""
}

// GuessHolds reports whether a guess is one that the last question can be answered with.
func (s *Study) GuessHolds(g Guess) bool {
	switch s.Panel.LastQuestion {
	case AskSame:
		return g == GuessSame || g == GuessDifferent || g == GuessUnknown
	case AskWhich:
		return g == Guess(s.Plan.Compare[0]) || g == Guess(s.Plan.Compare[1]) || g == GuessUnknown
	case AskCompared:
	}
	return g == ""
}

// lastWords are what the last question says in a language: our own words in each, written from
// memory; have a native speaker read them.
type lastWords struct{ compared, same, one, several, which, own, unknown, plate string }

func (s *Study) lastWords() lastWords { return tongueOf(s.offered()[0]).last }

// ComparedAsk asks what was compared, to be answered in words.
func (s *Study) ComparedAsk() string { return s.lastWords().compared }

// GuessAsk asks for a [Guess]; "" where none is asked for.
func (s *Study) GuessAsk() string {
	w := s.lastWords()
	switch s.Panel.LastQuestion {
	case AskSame:
		return w.same
	case AskWhich:
		if s.Serving.Design == One {
			return w.own
		}
		return fmt.Sprintf(w.which, s.Texts.FirstCompared)
	case AskCompared:
	}
	return ""
}

// GuessLabel is a guess that is chosen by its words.
func (s *Study) GuessLabel(g Guess) string {
	w := s.lastWords()
	switch {
	case g == GuessSame:
		return w.one
	case g == GuessDifferent:
		return w.several
	case g == Guess(s.Plan.Compare[0]):
		return s.Texts.FirstCompared
	case g == Guess(s.Plan.Compare[1]):
		return s.Texts.SecondCompared
	}
	return w.unknown
}

// PlateLabel is a guess that is chosen by a plate: the how manieth of a guest's, and its code.
func (s *Study) PlateLabel(number int, code string) string {
	return fmt.Sprintf(s.lastWords().plate, number, code)
}

// lastFits checks that the last question has something to ask about, and words for it.
func (r *reader) lastFits(s *Study) {
	const at = "panel.last question"
	if !r.sound(at, "samples", "serving", "serving.design", "analysis") {
		return
	}
	switch s.Panel.LastQuestion {
	case AskSame:
		r.sameFits(s, at)
	case AskWhich:
		r.whichFits(s, at)
	case "", AskCompared:
	}
	needs := s.Panel.LastQuestion == AskWhich
	for _, x := range []struct{ path, words string }{
		{"texts.first compared", s.Texts.FirstCompared}, {"texts.second compared", s.Texts.SecondCompared}} {
		switch {
		case !r.sound("texts", x.path):
		case needs && x.words == "":
			r.reject(x.path, Say("the last question asks which was which, and nothing says how guests know this one"),
				Say("write it as guests read it after their last plate, such as: the custard with starch"))
		case !needs && x.words != "":
			r.reject(x.path, Say("nobody would read this: it belongs to the last question"),
				Say("write last question: which under panel, or leave it out"))
		}
	}
}

// pairIsRated reports whether the plan compares two samples that are rated.
func (r *reader) pairIsRated(s *Study, at string) bool {
	if s.Question.CollectsRatings() && s.Plan.ComparesTwo() && s.Plan.Compare[0] != s.Plan.Compare[1] {
		return true
	}
	r.reject(at, Say("last question: %s asks about the two samples that are compared by their ratings, "+
		"and this study compares in another way", s.Panel.LastQuestion),
		Say("write last question: compared, or leave it out"))
	return false
}

func (r *reader) sameFits(s *Study, at string) {
	switch {
	case !r.pairIsRated(s, at):
	case s.Serving.Design == One:
		r.reject(at, Say("last question: same asks about several plates, and each assessor gets one"),
			Say("write last question: compared or which"))
	case len(s.Samples) != 2:
		r.reject(at, Say("last question: same asks whether two samples are one dish; here are %d", len(s.Samples)),
			Say("write last question: compared"))
	}
}

func (r *reader) whichFits(s *Study, at string) {
	if !r.pairIsRated(s, at) {
		return
	}
	first, _ := s.Sample(s.Plan.Compare[0])
	second, _ := s.Sample(s.Plan.Compare[1])
	switch {
	case first.Name != second.Name:
		r.reject(at, Say("last question: which asks what guests were not told, and they read by name which is "+
			"which"),
			Say("write last question: same or compared"))
	case s.Serving.Design == Some:
		r.reject(at, Say("last question: which asks about both samples of the comparison, and not everybody "+
			"gets both"),
			Say("write last question: compared"))
	case s.Serving.Design == All && s.Serving.Replicates > 1:
		r.reject(at, Say("last question: which asks for one plate, and each sample is served several times"),
			Say("write last question: same or compared"))
	case s.Serving.Design == All && s.Serving.MaxPerSitting > 0 && s.Serving.MaxPerSitting < len(s.Samples):
		r.reject(at, Say("last question: which asks about plates of one sitting, and they come at several"),
			Say("write last question: same or compared"))
	}
}

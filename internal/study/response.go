package study

import "math"

// Response is what an assessor answers a turn with. The zero value is none of
// these: a turn always says which.
type Response string

// ChoiceAnswer is the attribute under which an answer to [ChooseOne] is written: 1 for
// the serving chosen, 0 for the others of its turn; all 0 when none was.
const ChoiceAnswer AttributeID = "choice"

// SaidAnswer is the attribute under which an answer to [SayOneOfTwo] is written, with each
// serving of its turn: 1 for the first of the two things, 0 for the second.
const SaidAnswer AttributeID = "said"

// RankAnswer is the attribute under which an answer to [RankAll] is written: the place of
// each serving, 1 for the one put first.
const RankAnswer AttributeID = "rank"

// PairAnswer is the attribute under which an answer to [SortIntoPairs] is written: 1 or 2
// for the pair in which a serving was put. Which pair is 1 says nothing.
const PairAnswer AttributeID = "pairs"

// Answer is the attribute under which answers of a kind are written; "" where attributes
// of the study are rated, or there is no way to answer yet.
func (r Response) Answer() AttributeID {
	switch r {
	case ChooseOne:
		return ChoiceAnswer
	case SayOneOfTwo:
		return SaidAnswer
	case RankAll:
		return RankAnswer
	case SortIntoPairs:
		return PairAnswer
	}
	return ""
}

// AnswerHolds reports whether v can be written under [Response.Answer], in a turn of so
// many servings.
func (r Response) AnswerHolds(v float64, servings int) bool {
	switch r {
	case RankAll:
		return v == math.Trunc(v) && v >= 1 && v <= float64(servings)
	case SortIntoPairs:
		return v == 1 || v == 2
	}
	return v == 0 || v == 1
}

// The responses.
const (
	Rate          Response = "rate"       // values of the attributes, for the one serving of the turn
	ChooseOne     Response = "choose"     // one of the servings; none of them where the study allows that
	SortIntoPairs Response = "pairs"      // every serving put in one of two pairs
	RankAll       Response = "rank"       // every serving at a rank
	SayOneOfTwo   Response = "one-of-two" // one of two things about the turn: A or not A, same or different
	TickWords     Response = "tick"       // the words of a list that fit the one serving
	TasteOnly     Response = "taste"      // nothing: the serving is tasted, as a warm-up is
)

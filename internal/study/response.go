package study

// Response is what an assessor answers a turn with. The zero value is none of
// these: a turn always says which.
type Response string

// ChoiceAnswer is the attribute under which an answer to [ChooseOne] is written: 1 for
// the serving chosen, 0 for the others of its turn; all 0 when none was.
const ChoiceAnswer AttributeID = "choice"

// SaidAnswer is the attribute under which an answer to [SayOneOfTwo] is written, with each
// serving of its turn: 1 for the first of the two things, 0 for the second.
const SaidAnswer AttributeID = "said"

// Answer is the attribute under which answers of a kind are written; "" where attributes
// of the study are rated, or there is no way to answer yet.
func (r Response) Answer() AttributeID {
	switch r {
	case ChooseOne:
		return ChoiceAnswer
	case SayOneOfTwo:
		return SaidAnswer
	}
	return ""
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

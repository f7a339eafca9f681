package study

// FromHowMuch asks from which amount of something on people taste it: trays of three, from
// the least amount to the most, in each of which one serving has it (ASTM E679).
const FromHowMuch Question = "threshold"

// fewestRising are the amounts that a threshold takes at the least, and mostRising at the
// most: six trays are eighteen servings (common practice, no source).
const (
	fewestRising = 4
	mostRising   = 6
)

var fromHowMuch = QuestionKind{
	ID:    FromHowMuch,
	Title: "From how much do they taste it?",
	Asks:  "From which amount on do assessors taste it?",
	ChooseIf: "Choose it when you can put four to six amounts of one thing into a dish, each about twice the one " +
		"before, and want to know from which on people notice it: of three servings one has it.",
	Example:  "From how much smoked salt on does anybody taste smoke in the custard?",
	Response: ChooseOne, Servings: 3, Counts: countsRight,
	AskAs:   "Which of these tastes of smoke?",
	Samples: 1 + fewestRising, MostSamples: 1 + mostRising, WhyBlind: nameTells, Attributes: OneNamed, Designs: onlyAll,
	Sides: onlyGreater, Amounts: true, Ascending: true, fits: thresholdFits,
}

// Trays is how many turns of several servings each assessor gets.
func (s *Study) Trays() int {
	if s.Question.Kind().Ascending {
		return max(1, len(s.Samples)-1)
	}
	return max(1, s.Serving.Replicates)
}

// thresholdFits refuses a second series: people know by then what to look for.
func thresholdFits(r *reader, s *Study) {
	if s.Serving.Replicates > 1 && r.sound("serving", "serving.replicates") {
		r.reject("serving.replicates", Say("each assessor gets one series, from the least amount to the most"),
			Say("write replicates: 1, or leave the line out"))
	}
}

// risingFits checks that the amounts of a threshold begin with none, and rise.
func (r *reader) risingFits(s *Study) {
	without := s.Samples[0]
	if v := s.Amount(without.ID); v != 0 {
		r.reject(r.amountAt(s, without),
			Say("sample %s, the first, has %s, and stands for the dish without it", without.ID, s.AmountsIn.Short(v)),
			Say("write amount: 0 there, and in the others how much is added to it"))
		return
	}
	r.amountsRise(s, s.Samples, Say("write another amount; each assessor gets one series"))
}

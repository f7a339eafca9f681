package site

import "cloche/internal/panel"

// Blanks are questions whose markup scripts fill in.
type Blanks struct {
	Line, Choice, Codes, Places, Ticks panel.Ask
	Comment                            panel.BallotTurn
}

// BlankAsks are one of each kind.
var BlankAsks = Blanks{
	Line:    panel.Ask{Field: "a0", Text: "?", Line: true, Low: "?", High: "?", To: 1},
	Choice:  panel.Ask{Field: "b0", Text: "?", Labels: []string{"?"}},
	Codes:   panel.Ask{Field: "c0", Text: "?", Plates: []panel.BallotPlate{{At: 1, Code: "?"}}, None: "?"},
	Places:  panel.Ask{Field: "d0", Text: "?", Plates: []panel.BallotPlate{{At: 1, Code: "000"}}, Rank: true},
	Ticks:   panel.Ask{Field: "e0", Text: "?", Labels: []string{"?"}, Values: []int{1}},
	Comment: panel.BallotTurn{AskComment: "?"},
}

// WrongAnswers are what is wrong with the answers to a turn that came back, its comment
// last.
func WrongAnswers(v panel.BallotTurn) (wrong []panel.Ask) {
	for _, ask := range v.Asks {
		if ask.Problem != "" {
			wrong = append(wrong, ask)
		}
	}
	if v.Problem != "" {
		wrong = append(wrong, panel.Ask{Field: "comment", Text: v.AskComment, Line: true, Problem: v.Problem,
			Language: v.Language})
	}
	return wrong
}

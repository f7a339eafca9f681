package site

import "cloche/internal/panel"

// BlankLine, BlankChoice and BlankCodes are questions whose markup scripts fill in.
var (
	BlankLine   = panel.Ask{Field: "a0", Text: "?", Line: true, Low: "?", High: "?", To: 1}
	BlankChoice = panel.Ask{Field: "b0", Text: "?", Labels: []string{"?"}}
	BlankCodes  = panel.Ask{Field: "c0", Text: "?", Plates: []panel.BallotPlate{{At: 1, Code: "?"}}, None: "?"}
)

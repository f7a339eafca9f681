package site

import "cloche/internal/panel"

type AskJSON struct {
	Field  string   `json:"field"`
	Text   string   `json:"text"`
	Line   bool     `json:"line"`
	Low    string   `json:"low"`
	High   string   `json:"high"`
	From   float64  `json:"from"`
	To     float64  `json:"to"`
	Number bool     `json:"number"`
	Labels []string `json:"labels"`
}

// BlankLine and blankChoice are questions whose markup scripts fill in.
var (
	BlankLine   = panel.Ask{Field: "a0", Text: "?", Line: true, Low: "?", High: "?", To: 1}
	BlankChoice = panel.Ask{Field: "b0", Text: "?", Labels: []string{"?"}}
)

func AsksJSON(asks []panel.Ask) []AskJSON {
	wire := []AskJSON{}
	for _, a := range asks {
		wire = append(wire, AskJSON{Field: a.Field, Text: a.Text, Line: a.Line, Low: a.Low, High: a.High, From: a.From, To: a.To, Number: a.Number, Labels: a.Labels})
	}
	return wire
}

package panel

import (
	"strings"

	"cloche/internal/study"
)

// response is a way to answer a turn: what is asked, how the fields of its form are
// read, and how answers go back into them. problems is by field name and empty when
// every question has its answer.
type response struct {
	asks   func(t seatState, x Turn) []Ask
	read   func(t seatState, x Turn, given map[string]string) (answers []Answer, problems map[string]Problem)
	fields func(t seatState, x Turn, answers []Answer) map[string]string
}

// responses are the ways that phones, floor and rehearsals know.
var responses = map[study.Response]response{
	study.Rate:          {rateAsks, rateRead, rateFields},
	study.ChooseOne:     {chooseAsks, chooseRead, chooseFields},
	study.SayOneOfTwo:   {sayAsks, sayRead, sayFields},
	study.RankAll:       {rankAsks, rankRead, rankFields},
	study.SortIntoPairs: {pairAsks, pairRead, pairFields},
	study.TickWords:     {rateAsks, rateRead, rateFields},
	study.TasteOnly:     {tasteAsks, tasteRead, tasteFields},
}

// BetweenAnswers stands between the values of fields that have one name, in the order of
// the form: a question may have several controls, one for each plate or word.
const BetweenAnswers = " "

// A turn that is only tasted asks nothing: the guest says that they go on.
func tasteAsks(seatState, Turn) []Ask                         { return nil }
func tasteFields(seatState, Turn, []Answer) map[string]string { return map[string]string{} }
func tasteRead(seatState, Turn, map[string]string) ([]Answer, map[string]Problem) {
	return nil, map[string]Problem{}
}

// value reads one answer, with a decimal point or comma.
func value(scale study.Scale, text string) (v float64, problem Problem) {
	text = strings.TrimSpace(text)
	if text == "" && scale.Kind == study.Line {
		return 0, NoMark
	}
	if text == "" {
		return 0, NoChoice
	}
	v, err := study.ParseNumber(strings.Replace(text, ",", ".", 1))
	if err != nil || !scale.Holds(v) {
		if scale.Kind == study.Line {
			return 0, OffLine
		}
		return 0, OffList
	}
	return v, ""
}

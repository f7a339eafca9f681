package panel

import (
	"strings"

	"cloche/internal/study"
)

// One of two things is said about a turn: that its serving is the one known, or that its
// servings are the same. The answer is written with each of its servings.

const sayField = "said"

func sayAsks(t seatState, x Turn) []Ask {
	a := Ask{Field: sayField, Text: t.study.Spec.TurnAsk(), Labels: t.study.Spec.SayWords()}
	if len(x.Servings) > 1 {
		a.Plates = t.plates(x)
	}
	return []Ask{a}
}

func sayRead(_ seatState, x Turn, given map[string]string) ([]Answer, map[string]Problem) {
	value := 0.
	switch strings.TrimSpace(given[sayField]) {
	case "":
		return nil, map[string]Problem{sayField: NoChoice}
	case "1":
		value = 1
	case "2":
	default:
		return nil, map[string]Problem{sayField: OffList}
	}
	var answers []Answer
	for _, v := range chosen(x) {
		answers = append(answers, Answer{ServingID: v.ID, Attribute: study.SaidAnswer, Value: value})
	}
	return answers, map[string]Problem{}
}

func sayFields(_ seatState, _ Turn, answers []Answer) map[string]string {
	switch {
	case len(answers) == 0:
		return map[string]string{}
	case answers[0].Value == 1:
		return map[string]string{sayField: "1"}
	}
	return map[string]string{sayField: "2"}
}

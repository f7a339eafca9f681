package panel

import (
	"slices"
	"strconv"
	"strings"

	"cloche/internal/design"
	"cloche/internal/study"
)

// Of a list every word that fits is ticked. The form has a box for each word, all of one
// name: its value is where the word stands in the study, from 1, whatever the order on the
// page. One more says that none fits: without a tick nobody can tell an answer from none.

const noneFits = 0

// tickAsk asks for the words of a list, in the order of this assessor and serving.
func (t seatState) tickAsk(list study.Attribute, field string, turn Turn) Ask {
	ask := Ask{Field: field, Text: list.Ask}
	position := 1
	if len(turn.Servings) > 0 {
		position = turn.Servings[0].Position
	}
	for _, i := range design.WordOrder(len(list.Scale.Labels), t.study.Lock.Seed, t.assessor.Place, position) {
		ask.Labels, ask.Values = append(ask.Labels, list.Scale.Labels[i]), append(ask.Values, i+1)
	}
	return ask
}

// Ticks reports whether all of Labels that fit are ticked.
func (a Ask) Ticks() bool { return len(a.Values) > 0 }

// Ticked reports whether a box was ticked: that of a word by its value, or 0.
func (a Ask) Ticked(value int) bool {
	return slices.Contains(strings.Fields(a.Given), strconv.Itoa(value))
}

// readTicks reads which words of a list are ticked: an answer for every word.
func readTicks(list study.Scale, serving ServingID, text string) ([]Answer, Problem) {
	ticked := map[int]bool{}
	for _, value := range strings.Fields(text) {
		i, err := strconv.Atoi(value)
		if err != nil || i < noneFits || i > len(list.Ticks) {
			return nil, OffList
		}
		ticked[i] = true
	}
	switch {
	case len(ticked) == 0:
		return nil, NoTick
	case ticked[noneFits] && len(ticked) > 1:
		return nil, BothTick
	}
	answers := make([]Answer, len(list.Ticks))
	for i, id := range list.Ticks {
		answers[i] = Answer{ServingID: serving, Attribute: id}
		if ticked[i+1] {
			answers[i].Value = 1
		}
	}
	return answers, ""
}

// ticksGiven are answers as the form has them.
func ticksGiven(list study.Scale, answers []Answer) string {
	var values []string
	for i, id := range list.Ticks { // in whatever order answers were kept
		if slices.ContainsFunc(answers, func(x Answer) bool { return x.Attribute == id && x.Value == 1 }) {
			values = append(values, strconv.Itoa(i+1))
		}
	}
	if len(values) == 0 {
		return strconv.Itoa(noneFits)
	}
	return strings.Join(values, BetweenAnswers)
}

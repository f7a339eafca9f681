package panel

import (
	"strconv"
	"strings"

	"cloche/internal/study"
)

// Every serving of a turn gets a place in an order, the first 1. The form has one control
// for each plate, in the order in which they stand, all of one name.

const rankField = "rank"

func rankAsks(t seatState, x Turn) []Ask {
	return []Ask{{Field: rankField, Text: t.study.Spec.TurnAsk(), Plates: t.plates(x), Rank: true}}
}

func rankRead(_ seatState, x Turn, given map[string]string) ([]Answer, map[string]Problem) {
	wrong := func(p Problem) ([]Answer, map[string]Problem) { return nil, map[string]Problem{rankField: p} }
	places, servings := strings.Fields(given[rankField]), chosen(x)
	if len(places) < len(servings) {
		return wrong(NoPlace)
	}
	taken := map[int]bool{}
	var answers []Answer
	for i, v := range servings {
		place, err := strconv.Atoi(places[i])
		switch {
		case place == 0 && err == nil:
			return wrong(NoPlace)
		case err != nil || place < 0 || place > len(servings) || len(places) > len(servings):
			return wrong(OffList)
		case taken[place]:
			return wrong(OnePlace)
		}
		taken[place] = true
		answers = append(answers, Answer{ServingID: v.ID, Attribute: study.RankAnswer, Value: float64(place)})
	}
	return answers, map[string]Problem{}
}

func rankFields(_ seatState, x Turn, answers []Answer) map[string]string {
	if len(answers) == 0 {
		return map[string]string{}
	}
	at := map[ServingID]string{}
	for _, a := range answers {
		at[a.ServingID] = strconv.Itoa(int(a.Value))
	}
	var places []string
	for _, v := range chosen(x) {
		places = append(places, at[v.ID])
	}
	return map[string]string{rankField: strings.Join(places, BetweenAnswers)}
}

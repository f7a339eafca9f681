package panel

import (
	"strconv"
	"strings"

	"cloche/internal/study"
)

// Four servings are sorted into two pairs: the one that goes with the first is chosen,
// and the other two are the second pair.

const pairField = "pairs"

func pairAsks(t seatState, x Turn) []Ask {
	plates := t.plates(x)
	plates[0].Known = true
	return []Ask{{Field: pairField, Text: t.study.Spec.TurnAsk(), Plates: plates, Pairs: true}}
}

func pairRead(_ seatState, x Turn, given map[string]string) ([]Answer, map[string]Problem) {
	text := strings.TrimSpace(given[pairField])
	if text == "" {
		return nil, map[string]Problem{pairField: NoChoice}
	}
	found := false
	var answers []Answer
	for i, v := range x.Servings {
		a := Answer{ServingID: v.ID, Attribute: study.PairAnswer, Value: 2}
		if partner := text == strconv.Itoa(v.Order+1); i == 0 || partner {
			a.Value, found = 1, found || i > 0
		}
		answers = append(answers, a)
	}
	if !found {
		return nil, map[string]Problem{pairField: OffList}
	}
	return answers, map[string]Problem{}
}

func pairFields(_ seatState, x Turn, answers []Answer) map[string]string {
	at := map[ServingID]float64{}
	for _, a := range answers {
		at[a.ServingID] = a.Value
	}
	for _, v := range x.Servings[1:] {
		if first := at[x.Servings[0].ID]; first != 0 && at[v.ID] == first {
			return map[string]string{pairField: strconv.Itoa(v.Order + 1)}
		}
	}
	return map[string]string{}
}

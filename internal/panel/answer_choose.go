package panel

import (
	"strconv"
	"strings"

	"cloche/internal/design"
	"cloche/internal/study"
)

// One of several servings is chosen; none of them where the study allows that. The
// form names a plate by its place on the tray, which stays when its code changes.

const choiceField = "choice"

// chosen are the servings of a turn among which one chooses: its reference is not.
func chosen(x Turn) (among []Serving) {
	for _, v := range x.Servings {
		if v.Role == design.Rated {
			among = append(among, v)
		}
	}
	return among
}

func chooseAsks(t seatState, x Turn) []Ask {
	a := t.study.Spec
	return []Ask{{Field: choiceField, Text: a.TurnAsk(), None: a.NoneWord(), Plates: t.plates(x)}}
}

func chooseRead(t seatState, x Turn, given map[string]string) ([]Answer, map[string]Problem) {
	text := strings.TrimSpace(given[choiceField])
	found := text == "0" && t.study.Spec.NoneWord() != ""
	var answers []Answer
	for _, v := range chosen(x) {
		a := Answer{ServingID: v.ID, Attribute: study.ChoiceAnswer}
		if text == strconv.Itoa(v.Order+1) {
			a.Value, found = 1, true
		}
		answers = append(answers, a)
	}
	switch {
	case found:
		return answers, map[string]Problem{}
	case text == "":
		return nil, map[string]Problem{choiceField: NoChoice}
	}
	return nil, map[string]Problem{choiceField: OffList}
}

func chooseFields(_ seatState, x Turn, answers []Answer) map[string]string {
	if len(answers) == 0 {
		return map[string]string{}
	}
	given := "0"
	for _, a := range answers {
		for _, v := range x.Servings {
			if a.Value == 1 && v.ID == a.ServingID {
				given = strconv.Itoa(v.Order + 1)
			}
		}
	}
	return map[string]string{choiceField: given}
}

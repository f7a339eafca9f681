package panel

import (
	"strconv"
	"strings"

	"cloche/internal/design"
	"cloche/internal/study"
)

// One of several servings is chosen; none of them where the study allows that. The
// form names a plate by its place on the tray, which stays when its code changes.

// AttributeChoice is the attribute of the answers to a choice: 1 for the serving
// chosen, 0 for the others of its turn.
const AttributeChoice study.AttributeID = "choice"

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

func chooseAsks(t seat, x Turn) []Ask {
	text, none := ChoiceWords(t.study.Asked)
	return []Ask{{Field: choiceField, Text: text, None: none, Plates: t.plates(x)}}
}

func chooseRead(t seat, x Turn, given map[string]string) ([]Answer, map[string]Problem) {
	_, none := ChoiceWords(t.study.Asked)
	text := strings.TrimSpace(given[choiceField])
	found := text == "0" && none != ""
	var answers []Answer
	for _, v := range chosen(x) {
		a := Answer{ServingID: v.ID, Attribute: AttributeChoice}
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

func chooseFields(_ seat, x Turn, answers []Answer) map[string]string {
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

// ChoiceWords are the question of a choice in the language of the study, and the label
// of choosing none; "" where one has to be chosen.
func ChoiceWords(a *study.Study) (ask, none string) {
	if asked := a.Question.Kind().Ask; asked != nil {
		base, _, _ := strings.Cut(a.Languages[0], "-")
		return asked[base], ""
	}
	return a.Attributes[0].Ask, ""
}

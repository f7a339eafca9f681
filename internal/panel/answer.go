package panel

import (
	"fmt"
	"strconv"
	"strings"
	"time"

	"cloche/internal/study"
)

// answer reads the answers of a serving. problems is by field name and empty
// when every attribute has an answer on its scale.
func answer(a *study.Study, servingID string, given map[string]string, at time.Time) (answers []Answered, problems map[string]string) {
	problems = map[string]string{}
	for i, x := range a.Attributes {
		field := fmt.Sprintf("a%d", i+1)
		v, problem := value(x.Scale, given[field])
		if problem != "" {
			problems[field] = problem
			continue
		}
		answers = append(answers, Answered{ServingID: servingID, Attribute: x.ID, Value: v, At: at})
	}
	return answers, problems
}

// value reads one answer.
func value(scale study.Scale, text string) (v float64, problem string) {
	text = strings.TrimSpace(text)
	if text == "" && scale.Kind == study.Line {
		return 0, "No mark yet: tap the line, or type a number."
	}
	if text == "" {
		return 0, "No answer yet: choose one."
	}
	v, err := strconv.ParseFloat(strings.Replace(text, ",", ".", 1), 64)
	if err != nil || !scale.Holds(v) {
		if scale.Kind == study.Line {
			return 0, fmt.Sprintf("Write a number from %g to %g.", scale.Min(), scale.Max())
		}
		return 0, "Choose one of the answers."
	}
	return v, ""
}

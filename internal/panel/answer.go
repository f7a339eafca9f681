package panel

import (
	"fmt"
	"strings"
	"time"

	"cloche/internal/study"
)

// answer reads the answers of a serving. problems is by field name and empty
// when every attribute has an answer on its scale.
func answer(a *study.Study, servingID string, given map[string]string, at time.Time) (answers []Answered, problems map[string]Problem) {
	problems = map[string]Problem{}
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

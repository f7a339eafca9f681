package panel

import (
	"fmt"
	"strconv"

	"cloche/internal/design"
	"cloche/internal/study"
)

// A turn of one serving, or of a name, is rated on every attribute; of a list, the words
// that fit are ticked.

// fieldOf is the name on the form of the attribute at i.
func fieldOf(i int) string { return fmt.Sprintf("a%d", i+1) }

func rateAsks(t seatState, turn Turn) (asks []Ask) {
	a := t.study.Spec
	for _, i := range design.AttributeOrder(a, t.study.Lock.Seed, t.assessor.Place) {
		x := a.Attributes[i]
		if x.Scale.Kind == study.WordList {
			asks = append(asks, t.tickAsk(x, fieldOf(i), turn))
			continue
		}
		ask := Ask{
			Field: fieldOf(i), Text: x.Ask, Line: x.Scale.Kind == study.Line,
			Low: x.Scale.Low, High: x.Scale.High, From: x.Scale.Min(), To: x.Scale.Max(),
			Number: a.Serving.ShowNumbers,
		}
		if !ask.Line {
			ask.Labels = x.Scale.Labels
		}
		asks = append(asks, ask)
	}
	return asks
}

func rateRead(t seatState, x Turn, given map[string]string) (answers []Answer, problems map[string]Problem) {
	problems = map[string]Problem{}
	var serving ServingID // a name has none
	if len(x.Servings) > 0 {
		serving = x.Servings[0].ID
	}
	for i, attribute := range t.study.Spec.Attributes {
		field := fieldOf(i)
		if attribute.Scale.Kind == study.WordList {
			ticked, problem := readTicks(attribute.Scale, serving, given[field])
			if problem != "" {
				problems[field] = problem
			}
			answers = append(answers, ticked...)
			continue
		}
		v, problem := value(attribute.Scale, given[field])
		if problem != "" {
			problems[field] = problem
			continue
		}
		answers = append(answers, Answer{ServingID: serving, Attribute: attribute.ID, Value: v})
	}
	return answers, problems
}

func rateFields(t seatState, _ Turn, answers []Answer) map[string]string {
	at := map[study.AttributeID]string{}
	given := make(map[string]string, len(answers))
	for i, x := range t.study.Spec.Attributes {
		at[x.ID] = fieldOf(i)
		if x.Scale.Kind == study.WordList && len(answers) > 0 {
			given[fieldOf(i)] = ticksGiven(x.Scale, answers)
		}
	}
	for _, x := range answers {
		if field, ok := at[x.Attribute]; ok {
			given[field] = strconv.FormatFloat(x.Value, 'f', -1, 64)
		}
	}
	return given
}

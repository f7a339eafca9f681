package panel

import (
	"slices"
	"strconv"
	"strings"

	"cloche/internal/study"
)

// What stands in the cells of a table goes into the fields of the form that a phone sends,
// so that both are read, and refused, by the same rules. Cells say what ratings.csv says:
// 1 for what was chosen or ticked and 0 for the rest, the rank from 1, 1 or 2 for the pair.

// wrongCell is a value that no form sends.
const wrongCell = "x"

// given are the fields of the form of a turn.
func (x paperTurn) given() map[string]string {
	turn := x.seat.turns[x.at]
	switch turn.Response {
	case study.Rate, study.TickWords:
		return x.ratings()
	case study.ChooseOne:
		return map[string]string{choiceField: x.choice(turn)}
	case study.RankAll:
		return map[string]string{rankField: x.ranks(turn)}
	case study.SortIntoPairs:
		return map[string]string{pairField: x.partner(turn)}
	case study.SayOneOfTwo:
		return map[string]string{sayField: x.oneOfTwo(turn)}
	case study.TasteOnly:
	}
	return nil
}

// ratings are those of the one plate of a turn. A label may be typed in its words.
func (x paperTurn) ratings() map[string]string {
	given := map[string]string{}
	for i, a := range x.seat.study.Spec.Attributes {
		if a.Scale.Kind == study.WordList {
			given[fieldOf(i)] = x.ticks(a.Scale)
			continue
		}
		text := x.cells[paperCell{0, a.ID}].text
		for k, label := range a.Scale.Labels {
			if a.Scale.Kind != study.Line && strings.EqualFold(label, text) {
				text = strconv.Itoa(k + 1)
			}
		}
		given[fieldOf(i)] = text
	}
	return given
}

// ticks are the words of a list that were ticked; nothing where a word has no answer.
func (x paperTurn) ticks(list study.Scale) string {
	var ticked []string
	for k, id := range list.Ticks {
		switch x.cells[paperCell{0, id}].text {
		case "":
			return ""
		case "1":
			ticked = append(ticked, strconv.Itoa(k+1))
		case "0":
		default:
			return wrongCell
		}
	}
	if len(ticked) == 0 {
		return strconv.Itoa(noneFits)
	}
	return strings.Join(ticked, BetweenAnswers)
}

// plateCells are what stands for each plate that was asked about, in order.
func (x paperTurn) plateCells(turn Turn) (texts []string, orders []int) {
	for _, v := range askedOf(turn) {
		texts = append(texts, x.cells[paperCell{turn.index(v.ID), turn.Response.Answer()}].text)
		orders = append(orders, v.Order)
	}
	return texts, orders
}

func (x paperTurn) choice(turn Turn) string {
	chosen := "0"
	texts, orders := x.plateCells(turn)
	if slices.Contains(texts, "") {
		return ""
	}
	for i, text := range texts {
		switch {
		case text == "1" && chosen == "0":
			chosen = strconv.Itoa(orders[i] + 1)
		case text != "0":
			return wrongCell
		}
	}
	return chosen
}

func (x paperTurn) ranks(turn Turn) string {
	texts, _ := x.plateCells(turn)
	return strings.Join(texts, BetweenAnswers)
}

// partner is the plate that was put together with the first one.
func (x paperTurn) partner(turn Turn) string {
	texts, orders := x.plateCells(turn)
	var with []int
	for i, text := range texts {
		switch {
		case text == "":
			return ""
		case text != "1" && text != "2":
			return wrongCell
		case i > 0 && text == texts[0]:
			with = append(with, orders[i])
		}
	}
	if len(with) != 1 {
		return wrongCell
	}
	return strconv.Itoa(with[0] + 1)
}

// oneOfTwo is one of two things; it may stand beside one plate of the turn, or beside each.
func (x paperTurn) oneOfTwo(turn Turn) string {
	said := ""
	texts, _ := x.plateCells(turn)
	for _, text := range texts {
		if text == "" {
			continue
		}
		if said != "" && text != said {
			return wrongCell
		}
		said = text
	}
	switch said {
	case "":
		return ""
	case "1":
		return "1"
	case "0":
		return "2"
	}
	return wrongCell
}

// explained is what is wrong with a field, on which line, and what to write.
func (x paperTurn) explained(field string, problem Problem) (line int, what, instead study.Said) {
	turn := x.seat.turns[x.at]
	plate := study.Say("of the plate %s", turn.Key())
	if len(turn.Servings) > 1 {
		plate = study.Say("of the plates %s", turn.Key())
	}
	if turn.reads() {
		plate = study.Say("of the name “%s”", nameText(x.seat.study.Spec, turn.Name))
	}
	line, asked, scale := x.line, turn.Response.Answer(), study.Scale{}
	for i, a := range x.seat.study.Spec.Attributes {
		if fieldOf(i) == field {
			asked, scale = a.ID, a.Scale
		}
	}
	typed := x.cells[paperCell{0, asked}]
	if typed.line > 0 {
		line = typed.line
	}
	switch problem {
	case NoMark, NoChoice, NoPlace, NoTick:
		return line, study.Say("%s %s is missing", asked, plate),
			study.Say("write the answer, or take all rows of this ballot page out: it counts whole or not at all")
	case OffLine:
		return line, study.Say("%s %s is %q", asked, plate, typed.text),
			study.Say("write a number from %g to %g", scale.Min(), scale.Max())
	case TooLong:
		return line, study.Say("the comment %s is too long", plate),
			study.Say("write at most %d characters", MaxComment)
	case OnePlace:
		return line, study.Say("two %s have one place in the order", plate), study.Say("give each plate its " +
			"own, from 1")
	case OffList, BothTick:
	}
	return line, study.Say("%s %s cannot be read", asked, plate), howToWrite(turn.Response, scale)
}

// HowToType says what the cells of a table from paper hold, whatever the scales.
func HowToType(a *study.Study) study.Said {
	response := a.Question.Response()
	if list, words := a.Words(); words {
		return howToWrite(response, list.Scale)
	}
	if response == study.Rate {
		return study.Say("write each rating as a number; a label may stand in its words")
	}
	return howToWrite(response, study.Scale{})
}

// howToWrite says what cells may hold.
func howToWrite(response study.Response, scale study.Scale) study.Said {
	switch response {
	case study.ChooseOne:
		return study.Say("write 1 for the plate chosen and 0 for the others")
	case study.SortIntoPairs:
		return study.Say("write 1 for the two plates of one pair and 2 for those of the other")
	case study.RankAll:
		return study.Say("write the place of each plate, from 1")
	case study.SayOneOfTwo:
		return study.Say("write 1 for the one that is known or the same, 0 for the other, once for all plates " +
			"of the ballot page")
	case study.Rate, study.TickWords, study.TasteOnly:
	}
	if scale.Kind == study.WordList {
		return study.Say("write 1 for each word that was ticked and 0 for the others")
	}
	return study.Say("write a whole number from %g to %g, or the label in its words", scale.Min(), scale.Max())
}

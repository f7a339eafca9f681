package phones

import (
	"net/url"
	"strconv"

	"cloche/internal/panel"
	"cloche/internal/words"
)

// groupAsk is a question that decides to which group of guests a person belongs, with
// what is missing when the form comes back.
type groupAsk struct {
	panel.Ask
	Staff bool // the staff know the answer
	Set   bool // by the card of the table: the guest is not asked
}

// groupAsks are the questions with what was typed, or what the address of a table's card
// says where the staff say it.
func groupAsks(w panel.Welcome, given map[string]int, address url.Values) (asks []groupAsk) {
	for _, x := range w.Strata {
		ask := groupAsk{Ask: panel.Ask{Field: x.Field, Text: x.Text, Labels: x.Levels}, Staff: x.Staff}
		if n := given[x.Field]; n >= 1 && n <= len(x.Levels) {
			ask.Given = strconv.Itoa(n)
			ask.Set = x.Staff && address.Has(x.Field)
		}
		asks = append(asks, ask)
	}
	return asks
}

// missing notes what a form left out of what is asked before consent.
func (p *welcome) missing(form url.Values) {
	p.Title = words.In(p.Welcome.Language).WrongTitle
	p.Unsaid = p.Welcome.Age.Asked && form.Get("age") != "yes"
	p.OldEnough = form.Get("age") == "yes"
	for i := range p.Groups {
		if p.Groups[i].Given == "" {
			p.Groups[i].Problem = panel.NoChoice
		}
	}
}

// Missing counts what was left out.
func (p welcome) Missing() int {
	n := len(p.Ungrouped())
	if p.Unsaid {
		n++
	}
	return n
}

// Ungrouped are the questions without an answer, when the form comes back.
func (p welcome) Ungrouped() (asks []groupAsk) {
	for _, x := range p.Groups {
		if x.Problem != "" {
			asks = append(asks, x)
		}
	}
	return asks
}

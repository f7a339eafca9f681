package study

import (
	"slices"
	"strings"
)

// claims finds claims that a dish does not meet, or that its list of allergens
// cannot bear out.
func (n namePlaced) claims(d Dish) []Remark {
	all := n.diets(d)
	byWords := map[string][]Allergen{}
	var order []string
	for _, f := range n.read.free {
		if _, ok := byWords[f.words]; !ok {
			order = append(order, f.words)
		}
		byWords[f.words] = append(byWords[f.words], f.of)
	}
	for _, words := range order {
		all = append(all, n.freeFrom(d, words, byWords[words]))
	}
	return all
}

// freeFrom judges a claim to hold none of some allergens, alcohol or sugar.
// Gluten-free is at most 20 mg/kg by Commission Implementing Regulation (EU) No
// 828/2014, sugars-free at most 0.5 g in 100 g by Regulation (EC) No 1924/2006,
// Annex; from memory.
func (n namePlaced) freeFrom(d Dish, words string, of []Allergen) Remark {
	var held []string
	for _, a := range of {
		switch {
		case a == ofAlcohol && d.Alcohol:
			held = append(held, "alcohol")
		case slices.Contains(d.Allergens, a):
			held = append(held, a.Text())
		}
	}
	switch {
	case len(held) > 0:
		return n.broken(d, words, strings.Join(held, " and "))
	case of[0] == ofSugar:
		return Remark{RemarkSugar, Say("%s is a nutrition claim with a limit in law (in the European Union "+
			"0.5 g of sugars in 100 g). Have dish %s analysed, or write the name without it.%s", quoted(words), d.ID,
			Say(lawOnNames)), n.path}
	}
	return Remark{RemarkFreeFrom, Say("%s promises more than that the recipe of dish %s lists none: no "+
		"traces from kitchen, fryer or supplier either. Ask whoever answers for allergens, or write the name "+
		"without it.%s", quoted(words), d.ID, Say(lawOnNames)), n.path}
}

// diets judges vegan and vegetarian.
func (n namePlaced) diets(d Dish) []Remark {
	var all []Remark
	if words, ok := n.read.has(saysVegan); ok {
		if held := animalIn(d, againstVegan, saysMeat, saysHoney); held != "" {
			all = append(all, n.broken(d, words, held))
		}
	}
	if words, ok := n.read.has(saysVegetarian); ok {
		if held := animalIn(d, againstVegetarian, saysMeat); held != "" {
			all = append(all, n.broken(d, words, held))
		}
	}
	return all
}

// animalIn says what of an animal a dish holds, by its allergens, its notes and
// what the kitchen calls it.
func animalIn(d Dish, against []Allergen, lists ...[]phrase) string {
	var held []string
	for _, a := range d.Allergens {
		if slices.Contains(against, a) {
			held = append(held, a.Text())
		}
	}
	for _, text := range append([]string{d.Title}, d.AlsoContains...) {
		words := &nameRead{name: text, words: wordsOfName(text), lang: baseLanguage}
		for _, list := range lists {
			if w, ok := words.has(list); ok && !slices.Contains(held, w) {
				held = append(held, w)
			}
		}
	}
	return strings.Join(held, ", ")
}

func (n namePlaced) broken(d Dish, words, held string) Remark {
	return Remark{RemarkClaim, Say("the name says %s and dish %s holds %s: somebody may rely on it. Write "+
		"the name without the claim, or change the dish.%s", quoted(words), d.ID, held, Say(lawOnNames)), n.path}
}

// contents finds allergens that a name says and the dish's list lacks, or that
// the list has where the name promises something in their place.
func (n namePlaced) contents(d Dish) []Remark {
	var all []Remark
	for _, h := range n.read.instead {
		if slices.Contains(d.Allergens, h.of) {
			all = append(all, Remark{RemarkHidden, Say("the name says %s, which a guest takes for a dish "+
				"without %s, and dish %s holds %s. Write a name that does not suggest it, or say both in the name; "+
				"assessors see the list before they agree in any case.%s",
				quoted(h.words), h.of, d.ID, h.of.Text(), Say(lawOnNames)), n.path})
		}
	}
	var told []Allergen
	for _, x := range n.read.says {
		if slices.Contains(told, x.of) {
			continue
		}
		switch {
		case x.of == ofAlcohol && !d.Alcohol:
			all = append(all, Remark{RemarkAlcohol, Say("the name says %s, and dish %s is not marked as one "+
				"with alcohol. Write alcohol: true if any is in it, cooked or not; if none is, write a name that "+
				"does not promise it.%s", quoted(x.words), d.ID, Say(lawOnNames)), n.path})
		case x.of != ofAlcohol && !slices.Contains(d.Allergens, x.of):
			all = append(all, Remark{RemarkUnlisted, Say("the name says %s, and the allergens of dish %s do "+
				"not list %s. Add it to the list if it is in the dish; if it is not, write a name that does not "+
				"promise it.%s", quoted(x.words), d.ID, x.of, Say(lawOnNames)), n.path})
		default:
			continue
		}
		told = append(told, x.of)
	}
	return all
}

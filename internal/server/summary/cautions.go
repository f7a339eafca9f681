package summary

import (
	"fmt"
	"math"
	"strings"

	"cloche/internal/server/site"
	"cloche/internal/study"
)

// Caution is a remark on safety. The texts give the usual limits and defer to
// local rules; they are no legal advice.
type Caution struct {
	Heading string
	Text    []string
}

// Limits of holding food, °C. UK: The Food Safety and Hygiene (England)
// Regulations 2013, SI 2013/2996, Schedule 4; USA: FDA Food Code 3-501.16.
const (
	hotUK, coldUK = 63, 8
	hotUS, coldUS = 57, 5
)

// Cautions lists what to mind before anyone eats.
func Cautions(w site.Tongue, a *study.Study) []Caution {
	list := []Caution{temperatureCaution(w, a), allergenCaution(w, a)}
	if a.ServesAlcohol() {
		list = append(list, alcoholCaution(w, a.Panel.MinimumAge))
	}
	if a.Question.Kind().Amounts {
		list = append(list, amountsCaution(w))
	}
	return append(list, rawCaution(w), palateCaution(w))
}

func temperatureCaution(w site.Tongue, a *study.Study) Caution {
	limits := w.Translate("Hold hot food at %d °C or above and cold food at %d °C or below in the UK; %d °C and "+
		"%d °C in the US Food Code. Local rules come first.", hotUK, coldUK, hotUS, coldUS)
	var between, hot, cold []string
	for _, d := range a.Dishes {
		if math.IsNaN(d.ServeAt) { // a draft that does not say yet
			continue
		}
		line := fmt.Sprintf("%s (%s)", d.Title, site.Degrees(d.ServeAt))
		switch {
		case d.ServeAt >= hotUK:
			hot = append(hot, line)
		case d.ServeAt > coldUK:
			between = append(between, line)
		default:
			cold = append(cold, line)
		}
	}
	c := Caution{Heading: w.Translate("Temperature"), Text: []string{limits}}
	if len(hot) > 0 {
		c.Text = append(c.Text, w.Translate("Hold hot, and log the temperature of each tray: %s.",
			strings.Join(hot, "; ")))
	}
	if len(cold) > 0 {
		c.Text = append(c.Text, w.Translate("Keep cold until it is plated: %s.", strings.Join(cold, "; ")))
	}
	if len(between) > 0 {
		c.Text = append(c.Text, w.Translate("Served between the two limits: %s. Hold it hot or cold, bring it to "+
			"the serving temperature just before plating, serve at once, and throw away what is left. Note when "+
			"each tray left the heat or the cold.", strings.Join(between, "; ")))
	}
	return c
}

// allergenCaution: the list is that of Regulation (EU) No 1169/2011, Annex II.
func allergenCaution(w site.Tongue, a *study.Study) Caution {
	union, notes := a.AllergenUnion()
	var words []string
	for _, x := range union {
		words = append(words, x.TextIn(w.Tag()))
	}
	words = append(words, notes...)
	c := Caution{Heading: w.Translate("Allergens")}
	if len(words) == 0 {
		c.Text = append(c.Text, w.Translate("The study file names none of the 14 allergens of European law. Check "+
			"every recipe against its labels before you lock."))
	} else {
		c.Text = append(c.Text, w.Translate("Every assessor is told before consent, for all dishes together: %s.",
			strings.Join(words, "; ")))
	}
	c.Text = append(c.Text, w.Translate("Check this list against the labels on the day. A name under test may "+
		"never hide an allergen. Ask again at the table."))
	return c
}

// alcoholCaution is common practice, no source.
func alcoholCaution(w site.Tongue, age int) Caution {
	confirmed := w.Translate("Before consent assessors confirm that they are old enough by the law of the place.")
	if age > 0 {
		confirmed = w.Translate("Before consent assessors confirm that they are %d or older: see that your law "+
			"asks for no more.", age)
	}
	return Caution{Heading: w.Translate("Alcohol"), Text: []string{
		confirmed,
		w.Translate("At least one dish contains alcohol. Pour little, offer water, food and something to spit into, " +
			"check ages by local law, and let nobody drive on it. Those who are pregnant or take medicine should be " +
			"able to say no without a reason."),
		w.Translate("Add up what all servings of a sitting come to, warm-up and spare plates too: millilitres × " +
			"per cent × 0.008 are the grams of alcohol."),
	}}
}

// rawCaution is common practice, no source: the study file does not say what is served raw.
func rawCaution(w site.Tongue) Caution {
	return Caution{Heading: w.Translate("Raw and undercooked food"), Text: []string{
		w.Translate("Where egg, fish, shellfish, meat or unpasteurised milk is served raw or undercooked, say so in " +
			"the consent text, and serve none of it to whoever is pregnant, very young, old or ill. Your local code " +
			"says what has to be frozen or heated first.")}}
}

// palateCaution is common practice, no source.
func palateCaution(w site.Tongue) Caution {
	return Caution{Heading: w.Translate("Tired palates"), Text: []string{
		w.Translate("Serve guests four to six servings at a sitting, a trained panel up to eight mild ones, and two " +
			"or three of what is hot, fatty, spicy or alcoholic; every serving on a tray counts."),
		w.Translate("What burns or puckers stays in the mouth and is tasted in the next serving: offer plain bread " +
			"and water, and make the pauses longer. Change the order, never the pause, between people (common " +
			"practice, no source).")}}
}

package report

import (
	"fmt"
	"math"
	"strings"

	"cloche/internal/analysis"
	"cloche/internal/stats"
)

// RecordText is what the house's record says of one question, in words.
type RecordText struct {
	Asked   string   // the attribute
	Between string   // which two were compared
	Said    string   // the answer, with its interval
	Next    string   // what a further evening may find; "" when nothing can be said
	Counted string   // running evidence of all studies that counted it; "" when none did
	Repeat  string   // whether it is worth repeating
	Mind    []string // what the numbers rest on
}

// RecordWords writes a record.
func RecordWords(r analysis.Record) RecordText {
	f := r.Studies[0]
	w := recordWriter{r, decimalsOf(f.To - f.From)}
	return RecordText{Asked: f.Asked, Between: f.Samples[0] + " against " + f.Samples[1], Said: w.sentence(),
		Next: w.next(), Counted: w.counted(), Repeat: w.repeat(), Mind: w.mind()}
}

// RecordDifference writes what one study of a record found: "+6.2 points (0.3 to 12.1)".
func RecordDifference(f analysis.FoundDifference, ci stats.Interval) string {
	n := decimalsOf(f.To - f.From)
	text := signed(f.Difference, n) + " points"
	if ci.Absent() {
		return text + " by everybody"
	}
	text += " (" + interval(ci, n) + ")"
	switch f.Stopping {
	case analysis.StopsByLooks:
		return text + ", allowing for its looks"
	case analysis.StopsByEvidence:
		return text + ", whenever one stops"
	}
	return text
}

func decimalsOf(length float64) int {
	if length >= 50 {
		return 1
	}
	return 2
}

type recordWriter struct {
	analysis.Record
	decimals int
}

// all is the interval that the answer goes by.
func (w recordWriter) all() (mean float64, ci stats.Interval) {
	if w.Together != nil {
		return w.Together.Mean, w.Together.CI
	}
	return w.Studies[0].Difference, w.Intervals[0]
}

// studiesAndGuests counts studies and guests: "In 3 studies with 142 guests".
func (w recordWriter) studiesAndGuests() string {
	if w.Together == nil {
		return fmt.Sprintf("In one study with %d guests", w.Studies[0].People)
	}
	return fmt.Sprintf("In %d studies with %d guests", w.combined(), w.Together.Guests)
}

// combined is how many studies stand behind the answer.
func (w recordWriter) combined() int {
	n := 0
	for _, ci := range w.Intervals {
		if !ci.Absent() {
			n++
		}
	}
	return n
}

func (w recordWriter) sentence() string {
	mean, ci := w.all()
	if ci.Absent() {
		return w.studiesAndGuests() + ", everybody moved alike, which no interval can be made of."
	}
	way := "higher"
	if mean < 0 {
		way = "lower"
	}
	range95 := interval(ci, w.decimals)
	switch w.Answer() {
	case analysis.AnswerSmall:
		return fmt.Sprintf("%s, the difference is smaller than the %s points that you would act on: %s points, 95 %% "+
			"interval %s.", w.studiesAndGuests(), number(w.Smallest(), w.decimals), signed(mean, w.decimals), range95)
	case analysis.AnswerOpen:
		return fmt.Sprintf("%s, it is not known whether there is a difference: %s points, 95 %% interval %s.",
			w.studiesAndGuests(),
			signed(mean, w.decimals), range95)
	}
	return fmt.Sprintf("%s, %s was rated %s points %s than %s, 95 %% interval %s.",
		w.studiesAndGuests(), w.Studies[0].Samples[0],
		number(math.Abs(mean), w.decimals), way, w.Studies[0].Samples[1], range95)
}

func (w recordWriter) next() string {
	if w.Together == nil || w.Together.Prediction.Absent() {
		return ""
	}
	text := fmt.Sprintf("On a further evening with other guests the true difference is to be expected between %s "+
		"and %s points (95 %%)", number(w.Together.Prediction.Lo, w.decimals),
		number(w.Together.Prediction.Hi, w.decimals))
	if p := w.Together.Prediction; p.Lo <= 0 && p.Hi >= 0 {
		return text + ", so that it may lie on either side."
	}
	return text + "."
}

// counted tells running evidence, which multiplies over studies with other guests.
func (w recordWriter) counted() string {
	logE, studies := w.Evidence()
	switch studies {
	case 0:
		return ""
	case 1:
		return fmt.Sprintf("Evidence for a difference, counted after every guest in one study: %s.",
			analysis.Odds(logE))
	}
	return fmt.Sprintf("Evidence for a difference, counted after every guest in %d studies and multiplied: %s.",
		studies, analysis.Odds(logE))
}

func (w recordWriter) repeat() string {
	_, ci := w.all()
	smallest := w.Smallest()
	switch a := w.Answer(); {
	case a == analysis.AnswerHolds:
		return "Nothing is left to repeat for this question."
	case a == analysis.AnswerSmall && w.Together != nil:
		return "Nothing is left to repeat for this question."
	case w.Together == nil && a != analysis.AnswerOpen:
		return "It is one evening: worth repeating with other guests before you build on it."
	case a == analysis.AnswerAverage:
		return "Worth repeating: it is there on average, and how much evenings differ is not well known."
	case smallest > 0 && !ci.Absent() && (ci.Hi >= smallest || ci.Lo <= -smallest):
		return fmt.Sprintf("Worth repeating: it may be nothing, and it may be %s points or more.",
			number(smallest, w.decimals))
	}
	return "Worth repeating."
}

func (w recordWriter) mind() []string {
	var text []string
	if left := len(w.Studies) - w.combined(); left > 0 && w.Together != nil {
		text = append(text, fmt.Sprintf("Left out of the answer: %d of the studies, in which everybody moved alike.",
			left))
	}
	if t := w.Together; t != nil && !(t.TauScale > 0) {
		text = append(text, fmt.Sprintf("Evenings differ by about %s points (standard deviation of the true "+
			"differences, restricted maximum likelihood); the interval is Hartung and Knapp’s, its factor held at "+
			"1 or more.",
			number(t.Tau, w.decimals)))
	}
	for _, x := range w.Warnings() {
		text = append(text, x.Text+".")
	}
	if _, studies := w.Evidence(); studies > 0 {
		text = append(text, "Evidence says whether there is a difference, in either direction, in any of these "+
			"studies.")
	}
	text = append(text, w.stopping()...)
	if w.Studies[0].Invented {
		text = append(text, "The ratings are invented.")
	}
	return text
}

// stopping says how studies count that might have stopped early by what they found.
func (w recordWriter) stopping() []string {
	by := map[analysis.StopsBy]bool{}
	for _, f := range w.Studies {
		by[f.Stopping] = true
	}
	text := ""
	if by[analysis.StopsByLooks] {
		text = "Of a study with planned looks the estimate and the interval are those that allow for them. "
	}
	if by[analysis.StopsByEvidence] {
		text += "Of a study that counts evidence the interval is the one that holds whenever one stops; its mean " +
			"exaggerates where tasting stopped early. "
	}
	switch {
	case text == "":
		return nil
	case w.Together != nil:
		text += "In what all say together such a study weighs as the length of its interval has it (an approximation)."
	}
	return []string{strings.TrimSpace(text)}
}

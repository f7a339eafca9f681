package report

import (
	"math"

	"cloche/internal/analysis"
	"cloche/internal/stats"
	"cloche/internal/study"
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

// RecordWords writes a record in a language.
func RecordWords(r analysis.Record, tell func(study.Said) string) RecordText {
	f := r.Studies[0]
	w := recordWriter{r, decimalsOf(f.To - f.From)}
	text := RecordText{Asked: f.Asked, Between: tell(study.Say("%s against %s", f.Samples[0], f.Samples[1])),
		Said: tell(w.sentence()), Next: tell(w.next()), Counted: tell(w.counted()), Repeat: tell(w.repeat())}
	for _, x := range w.mind() {
		text.Mind = append(text.Mind, tell(x))
	}
	return text
}

// RecordDifference writes what one study of a record found: "+6.2 points (0.3 to 12.1)".
func RecordDifference(f analysis.FoundDifference, ci stats.Interval) study.Said {
	n := decimalsOf(f.To - f.From)
	if ci.Absent() {
		return study.Say("%s points by everybody", signedFigure(f.Difference, n))
	}
	text := study.Say("%s points (%s)", signedFigure(f.Difference, n), fromTo(ci, n))
	switch f.Stopping {
	case analysis.StopsByLooks:
		return study.Say("%s, allowing for its looks", text)
	case analysis.StopsByEvidence:
		return study.Say("%s, whenever one stops", text)
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
func (w recordWriter) studiesAndGuests() study.Said {
	if w.Together == nil {
		return study.Say("In one study with %d guests", w.Studies[0].People)
	}
	return study.Say("In %d studies with %d guests", w.combined(), w.Together.Guests)
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

func (w recordWriter) sentence() study.Said {
	mean, ci := w.all()
	if ci.Absent() {
		return study.Say("%s, everybody moved alike, which no interval can be made of.", w.studiesAndGuests())
	}
	range95 := fromTo(ci, w.decimals)
	switch w.Answer() {
	case analysis.AnswerSmall:
		return study.Say("%s, the difference is smaller than the %s points that you would act on: %s points, 95 %% "+
			"interval %s.", w.studiesAndGuests(), figure(w.Smallest(), w.decimals), signedFigure(mean, w.decimals),
			range95)
	case analysis.AnswerOpen:
		return study.Say("%s, it is not known whether there is a difference: %s points, 95 %% interval %s.",
			w.studiesAndGuests(), signedFigure(mean, w.decimals), range95)
	}
	text := "%s, %s was rated %s points higher than %s, 95 %% interval %s."
	if mean < 0 {
		text = "%s, %s was rated %s points lower than %s, 95 %% interval %s."
	}
	return study.Say(text, w.studiesAndGuests(), w.Studies[0].Samples[0], figure(math.Abs(mean), w.decimals),
		w.Studies[0].Samples[1], range95)
}

func (w recordWriter) next() study.Said {
	if w.Together == nil || w.Together.Prediction.Absent() {
		return study.Said{}
	}
	p := w.Together.Prediction
	text := "On a further evening with other guests the true difference is to be expected between %s and %s points " +
		"(95 %%)."
	if p.Lo <= 0 && p.Hi >= 0 {
		text = "On a further evening with other guests the true difference is to be expected between %s and %s " +
			"points (95 %%), so that it may lie on either side."
	}
	return study.Say(text, figure(p.Lo, w.decimals), figure(p.Hi, w.decimals))
}

// counted tells running evidence, which multiplies over studies with other guests.
func (w recordWriter) counted() study.Said {
	logE, studies := w.Evidence()
	switch studies {
	case 0:
		return study.Said{}
	case 1:
		return study.Say("Evidence for a difference, counted after every guest in one study: %s.",
			analysis.OddsSaid(logE))
	}
	return study.Say("Evidence for a difference, counted after every guest in %d studies and multiplied: %s.",
		studies, analysis.OddsSaid(logE))
}

func (w recordWriter) repeat() study.Said {
	_, ci := w.all()
	smallest := w.Smallest()
	switch a := w.Answer(); {
	case a == analysis.AnswerHolds:
		return study.Say("Nothing is left to repeat for this question.")
	case a == analysis.AnswerSmall && w.Together != nil:
		return study.Say("Nothing is left to repeat for this question.")
	case w.Together == nil && a != analysis.AnswerOpen:
		return study.Say("It is one evening: worth repeating with other guests before you build on it.")
	case a == analysis.AnswerAverage:
		return study.Say("Worth repeating: it is there on average, and how much evenings differ is not well known.")
	case smallest > 0 && !ci.Absent() && (ci.Hi >= smallest || ci.Lo <= -smallest):
		return study.Say("Worth repeating: it may be nothing, and it may be %s points or more.",
			figure(smallest, w.decimals))
	}
	return study.Say("Worth repeating.")
}

func (w recordWriter) mind() (text []study.Said) {
	if left := len(w.Studies) - w.combined(); left > 0 && w.Together != nil {
		text = append(text, study.Say("Left out of the answer: %d of the studies, in which everybody moved alike.",
			left))
	}
	if t := w.Together; t != nil && !(t.TauScale > 0) {
		text = append(text, study.Say("Evenings differ by about %s points (standard deviation of the true "+
			"differences, restricted maximum likelihood); the interval is Hartung and Knapp’s, its factor held at "+
			"1 or more.",
			figure(t.Tau, w.decimals)))
	}
	for _, x := range w.Remarks() {
		text = append(text, study.Say("%s.", x.Said))
	}
	if _, studies := w.Evidence(); studies > 0 {
		text = append(text, study.Say("Evidence says whether there is a difference, in either direction, in any of "+
			"these studies."))
	}
	text = append(text, w.stopping()...)
	if w.Studies[0].Invented {
		text = append(text, study.Say("The ratings are invented."))
	}
	return text
}

// stopping says how studies count that might have stopped early by what they found.
func (w recordWriter) stopping() (text []study.Said) {
	by := map[analysis.StopsBy]bool{}
	for _, f := range w.Studies {
		by[f.Stopping] = true
	}
	if by[analysis.StopsByLooks] {
		text = append(text, study.Say("Of a study with planned looks the estimate and the interval are those that "+
			"allow for them."))
	}
	if by[analysis.StopsByEvidence] {
		text = append(text, study.Say("Of a study that counts evidence the interval is the one that holds whenever "+
			"one stops; its mean exaggerates where tasting stopped early."))
	}
	if len(text) > 0 && w.Together != nil {
		text = append(text, study.Say("In what all say together such a study weighs as the length of its interval "+
			"has it (an approximation)."))
	}
	return text
}

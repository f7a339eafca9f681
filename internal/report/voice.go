package report

import "cloche/internal/study"

// voice puts what a figure says into the language of who reads it. The first figure of the usual kinds
// speaks it ([Figure.Spoken]); those below, and whatever is a file, speak English.
type voice func(study.Said) string

func (v voice) say(text string, values ...any) string { return v(study.Say(text, values...)) }

// figure is [number] with the decimal mark of the language.
func (v voice) figure(x float64, n int) string { return v.say("%s", figure(x, n)) }

// inPercent is a share or a level that is one number: "95 %".
func (v voice) inPercent(text string) string { return v.say("%s", study.Figure(text)) }

// inWords heads what says a figure in words and numbers.
const inWords = "This picture in words and numbers"

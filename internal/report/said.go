package report

import (
	"math"
	"strconv"
	"strings"

	"cloche/internal/stats"
	"cloche/internal/study"
)

// What the first screen says is said for every language: sentences are [study.Said] until somebody reads
// them, see [Options.Tell]. English is what files hold.

// partnersText marks a sentence that is for who checks the work: statistics, in English alone.
const partnersText = "%s"

// partners is such a sentence; "" is none.
func partners(sentence string) study.Said {
	if sentence == "" {
		return study.Said{}
	}
	return study.Say(partnersText, sentence)
}

// English is what is said where nobody asked for another language.
func English(said study.Said) string { return said.String() }

// sentences are the parts that say something.
func sentences(parts ...study.Said) (said []study.Said) {
	for _, p := range parts {
		if p.Text != "" {
			said = append(said, p)
		}
	}
	return said
}

// spoken puts sentences into words, each with a capital.
func spoken(tell func(study.Said) string, said []study.Said) (text []string) {
	for _, x := range said {
		text = append(text, upperFirst(tell(x)))
	}
	return text
}

// inOrder puts several between commas, or what else parts them.
func inOrder(all []study.Said, between string) study.Said {
	if len(all) == 0 {
		return study.Said{}
	}
	said := all[0]
	for _, x := range all[1:] {
		said = study.Say("%s"+between+"%s", said, x)
	}
	return said
}

// both are one or two, with “and” between them.
func both(all []study.Said) study.Said {
	if len(all) < 2 {
		return inOrder(all, "")
	}
	return study.Say("%s and %s", all[0], all[1])
}

// worded is a sentence whose English is put together in a way that other languages are not.
type worded struct {
	study.Said // for them
	english    string
}

func (w worded) String() string { return w.english }

// figure is [number] with the decimal mark of whoever reads it.
func figure(v float64, n int) any { return inMark(number(v, n)) }

// signedFigure is [signed] likewise.
func signedFigure(v float64, n int) any { return inMark(signed(v, n)) }

// plainFigure is a number as somebody wrote it.
func plainFigure(v float64) any { return inMark(end(v)) }

func inMark(text string) any {
	if text == absent {
		return study.Say(absent)
	}
	return study.Figure(text)
}

// fromTo is [interval] for every language.
func fromTo(i stats.Interval, n int) study.Said {
	if i.Absent() {
		return study.Say(absent)
	}
	return study.Say("%s to %s", figure(i.Lo, n), figure(i.Hi, n))
}

// pointsOf names the unit of a scale after a number: "points of 100".
func pointsOf(s study.Scale) study.Said {
	if s.Kind == study.Line && s.Min() == 0 {
		return study.Say("points of %s", plainFigure(s.Max()))
	}
	return study.Say("points on the scale from %s to %s", plainFigure(s.Min()), plainFigure(s.Max()))
}

// people counts persons: "1 person", "12 people".
func people(n int) study.Said {
	if n == 1 {
		return study.Say("1 person")
	}
	return study.Say("%d people", n)
}

// setOut is the smallest effect worth acting on, in points.
func setOut(margin float64) study.Said {
	if margin == 1 {
		return study.Say("the 1 point that the study set out to act on")
	}
	return study.Say("the %s points that the study set out to act on", study.Figure(general(margin)))
}

// general writes a number as %g does.
func general(v float64) string {
	return strings.Replace(strconv.FormatFloat(v, 'g', -1, 64), "-", "−", 1)
}

// moreOfHundred is more than half of something as so many of a hundred: 51 and not half where it
// is hardly more, and 99 where it is hardly less than all.
func moreOfHundred(share float64) int {
	if share == 1 {
		return 100
	}
	return min(max(int(math.Round(100*share)), 51), 99)
}

// ofTen is a share as so many of ten.
func ofTen(share float64) int { return int(math.Round(10 * share)) }

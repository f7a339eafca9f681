package report

import (
	"strings"

	"cloche/internal/analysis"
	"cloche/internal/study"
)

// What stands on the first screen, and what begins below it: whoever has to act reads the
// former; symbols, intervals and every other picture are for who checks.

// Heads are what stands before the parts of the first screen.
type Heads struct{ Invented, InventedWhat, Now, Cannot, Partner string }

func headsIn(tell func(study.Said) string) Heads {
	return Heads{Invented: tell(study.Say("Invented data:")),
		InventedWhat: tell(study.Say("it shows how the program works and says nothing of any dish.")),
		Now:          tell(study.Say("What now:")), Cannot: tell(study.Say("What this cannot say:")),
		Partner: tell(study.Say("For the partner: the numbers, every picture, and how it was done"))}
}

// PlainVerdict is the answer without statistics, InNumbers what is said of it with them.
func (p Page) PlainVerdict() []string { return p.Verdict[:p.Plain] }
func (p Page) InNumbers() []string    { return p.Verdict[p.Plain:] }

// FirstFigure is the one picture beside the answer; nil where there is none.
func (p Page) FirstFigure() *Figure {
	if len(p.Figures) == 0 {
		return nil
	}
	return &p.Figures[0]
}

// OtherFigures are those below it.
func (p Page) OtherFigures() []Figure { return p.Figures[min(1, len(p.Figures)):] }

// Beside is an answer that the study gives beside that to its question, in a few sentences for whoever acts; the
// numbers stand below it.
type Beside struct{ Head, Text string }

// besideAnswers are how far names drew the ratings, whether the blind held, and whether everybody shifts, on
// what the study decides by.
func besideAnswers(s *study.Study, r *analysis.Result, tell func(study.Said) string) (all []Beside) {
	for _, w := range r.Ways {
		if w.Attribute == s.Plan.Attribute && w.N > 0 && len(all) < mostBeside {
			all = append(all, Beside{tell(study.Say("How far the name drew it:")), upperFirst(tell(wayText(s, w)))})
		}
	}
	if r.Blinding != nil {
		all = append(all, Beside{tell(study.Say("Did the blind hold?")),
			strings.Join(spoken(tell, blindingSaid(s, r.Blinding)), " ")})
	}
	for _, f := range r.Findings {
		if f.People != nil && f.Role == analysis.Primary {
			all = append(all, Beside{tell(study.Say("Does everybody shift?")),
				strings.Join(spoken(tell, peopleSaid(s, f)), " ")})
		}
	}
	return all
}

// mostBeside are the most names that are told of there.
const mostBeside = 3

package report

// What stands on the first screen, and what begins below it: whoever has to act reads the
// former; symbols, intervals and every other picture are for who checks.

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

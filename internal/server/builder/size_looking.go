package builder

import (
	"math"

	"cloche/internal/analysis"
)

// lookingAnswer is what a plan of ratings that looks early comes to.
type lookingAnswer struct {
	Told  string
	Rows  []lookingRow
	Rests string
}

type lookingRow struct {
	Difference, Found, Early string
	People                   int // on average, rounded up
}

func (b *builder) looking(z *analysis.Size) *lookingAnswer {
	w := z.Looking
	if w == nil {
		return nil
	}
	a := &lookingAnswer{Told: b.tell(w.Words(z.Request)), Rests: b.tell(w.Rests())}
	for _, x := range w.Rows {
		difference := b.say("none")
		if x.Difference > 0 {
			difference = b.say("%s points", analysis.Points(x.Difference))
		}
		a.Rows = append(a.Rows, lookingRow{difference, b.tell(analysis.InPercent(x.Found)),
			b.tell(analysis.InPercent(x.Early)),
			int(math.Ceil(x.People - 1e-9))})
	}
	return a
}

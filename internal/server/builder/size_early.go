package builder

import (
	"math"

	"cloche/internal/analysis"
)

// earlyRow is what a plan that stops early comes to, when so many people tell.
type earlyRow struct {
	Tells, Apart, Unnoticed, Open string
	Answers                       int // on average, rounded up
}

func (b *builder) earlyRows(z *analysis.Size) (rows []earlyRow) {
	for _, x := range z.Early {
		tells := b.say("nobody")
		if x.Share > 0 {
			tells = b.tell(analysis.InPercent(x.Share))
		}
		rows = append(rows, earlyRow{tells, b.tell(analysis.InPercent(x.Different)),
			b.tell(analysis.InPercent(x.Similar)),
			b.tell(analysis.InPercent(x.Open)), int(math.Ceil(x.Mean))})
	}
	return rows
}

package analysis

import "cloche/internal/stats/choice"

// SizeEarly is what taking answers one by one until they decide comes to, when so many
// people truly tell the samples apart and the panel planned is the most there is.
type SizeEarly struct {
	Share float64 // of the people who truly tell
	choice.SequentialChances
}

// early reckons a plan that stops early where nobody tells, where half of the share that
// matters does, which takes longest, and where just that share does.
func (z *Size) early() {
	q := z.Request
	c, ok := q.Test.Choice()
	if !ok || !q.StopEarly || !(q.Share > 0) || q.Assessors < 1 {
		return
	}
	at := func(share float64) float64 { return c.Chance + share*(1-c.Chance) }
	d := choice.SequentialDesign{P0: c.Chance, P1: at(q.Share), Alpha: q.Alpha, Beta: q.Beta}
	for _, share := range []float64{0, q.Share / 2, q.Share} {
		if r, err := d.Chances(q.Assessors, at(share)); err == nil {
			z.Early = append(z.Early, SizeEarly{share, r})
		}
	}
}

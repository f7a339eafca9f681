package design

import "cloche/internal/study"

// drawing says how the servings of a question are drawn. Each question has one, in a
// file of its own.
type drawing struct {
	question study.Question
	choose   func(c *scheme) error // picks the lottery
	orders   func(s *study.Study) []string
	series   bool // such an order is of all turns of an assessor, not of one
}

// drawingOf finds the drawing of a question.
func drawingOf(q study.Question) (drawing, bool) {
	for _, d := range drawings {
		if d.question == q {
			return d, true
		}
	}
	return drawing{}, false
}

// oneByOne draws a question whose samples come one at a time, all, some or one of
// them to each assessor. No order of its own is counted.
func oneByOne(q study.Question) drawing {
	return drawing{question: q, choose: (*scheme).chooseSamples}
}

// sideBySide draws a question whose turns are several servings in one of the given
// orders, A the first sample and B the second. All are used equally often.
func sideBySide(q study.Question, orders ...string) drawing {
	return drawing{
		question: q,
		choose:   func(c *scheme) error { c.chooseTurns(orders); return nil },
		orders:   func(*study.Study) []string { return orders },
	}
}

// allAtOnce draws a question whose turn holds all samples, in orders that are balanced as
// those of samples one at a time are. No order of its own is counted.
func allAtOnce(q study.Question) drawing {
	return drawing{question: q, choose: func(c *scheme) error {
		c.unit = len(c.samples)
		return c.chooseSamples()
	}}
}

// chooseOrders picks the lottery that the study's question calls for.
func (c *scheme) chooseOrders() error {
	q := c.study.Question
	d, ok := drawingOf(q)
	if !ok {
		return conflict(study.Say("there is no question %q", q), study.Say("write a question of the study format"))
	}
	if k := q.Kind(); k.Samples > 0 && !k.Takes(len(c.samples)) {
		return conflict(study.Say("%s compares %s samples; there are %d", q, k.SamplesInWords(), len(c.samples)),
			study.Say("write %s samples", k.SamplesInWords()))
	}
	return d.choose(c)
}

// chooseSamples picks the lottery of samples that come one at a time.
func (c *scheme) chooseSamples() error {
	all := make([]int32, len(c.samples))
	ordinals(all)
	switch d := c.study.Serving.Design; d {
	case study.All, "":
		c.chooseComplete(all)
		return nil
	case study.One:
		return c.chooseOne(all)
	case study.Some:
		return c.chooseIncomplete()
	default:
		return conflict(study.Say("there is no design %q", d), study.Say("write serving.design: all, some or one"))
	}
}

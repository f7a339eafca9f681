package design

import "cloche/internal/study"

// drawDuoTrio serves the reference first (ISO 10399): four orders with a balanced
// reference, two with one that is always the first sample.
var drawDuoTrio = drawing{
	question: study.DuoTrio,
	choose: func(c *scheme) error {
		c.lead = true
		c.chooseTurns(duoTrioOrders(c.study))
		return nil
	},
	orders: duoTrioOrders,
}

func duoTrioOrders(s *study.Study) []string {
	if s.Serving.Reference == study.ConstantReference {
		return []string{"AAB", "ABA"}
	}
	return []string{"AAB", "ABA", "BAB", "BBA"}
}

package study

import "fmt"

// lotteryFits checks that the draw of the serving plan can tell the two samples apart: one
// that is always served before the other stands where it stands whatever is drawn.
func (r *reader) lotteryFits(s *Study) {
	if !s.Serving.BlindFirst || !r.sound("serving.blind first", "analysis.compare", "samples") {
		return
	}
	a, okA := s.Sample(s.Plan.Compare[0])
	b, okB := s.Sample(s.Plan.Compare[1])
	if okA && okB && (a.Name == "") != (b.Name == "") {
		r.reject("analysis.test", fmt.Sprintf("with blind first one of %s and %s always comes before the other, "+
			"so that the lottery of the plan cannot part them", a.ID, b.ID),
			"write test: paired-t, or leave blind first out")
	}
}

package study

// lotteryFits checks that the draw of the serving plan can tell the two samples apart: one
// that is always served before the other stands where it stands whatever is drawn.
func (r *reader) lotteryFits(s *Study) {
	if !r.sound("serving.blind first", "analysis.compare", "samples") || !s.AlwaysBefore(s.Plan.Compare) {
		return
	}
	r.reject("analysis.test", Say("with blind first one of %s and %s always comes before the other, so that the "+
		"lottery of the plan cannot part them", s.Plan.Compare[0], s.Plan.Compare[1]),
		Say("write test: paired-t, or leave blind first out"))
}

// AlwaysBefore reports whether one of two samples comes before the other whatever is drawn,
// so that a draw of the plan says nothing of them.
func (s *Study) AlwaysBefore(pair [2]SampleID) bool {
	a, okA := s.Sample(pair[0])
	b, okB := s.Sample(pair[1])
	return s.Serving.BlindFirst && okA && okB && (a.Name == "") != (b.Name == "")
}

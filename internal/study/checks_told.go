package study

// toldFits checks the plan of a question that counts right answers: whether it asks for a
// difference, whether so few tell the samples apart that they pass for the same, or stops
// as soon as either is clear.
func toldFits(r *reader, s *Study) {
	p := s.Plan
	if r.sound("analysis.test") && p.Test != "" && p.Test != Equivalence {
		r.reject("analysis.test", Say("a %s test %s, which %s does not", s.Question, Say(countsRight), p.Test),
			Say("write test: equivalence to ask if so few tell the two apart that they pass for the "+
				"same, or leave it out to ask if people tell them apart"))
		return
	}
	if p.StopEarly && p.Test == Equivalence && r.sound("analysis.stop early", "analysis.test") {
		r.reject("analysis.test",
			Say("a plan that stops early decides for either answer: that people tell the two apart, "+
				"or that so few do that they pass for the same"), Say("write stop early: true without a test"))
		return
	}
	if !p.MayBeAlike() {
		if p.Beta > 0 && r.sound("analysis.beta", "analysis.test", "analysis.stop early") {
			r.reject("analysis.beta",
				Say("beta is the risk of calling two alike that are told apart, and this plan never "+
					"calls them alike"),
				Say("write test: equivalence or stop early: true beside it, or leave beta out"))
		}
		return
	}
	r.alikeFits(s)
}

// alikeFits checks a plan that may come to that two samples pass for the same.
func (r *reader) alikeFits(s *Study) {
	p, what := s.Plan, Say("whether two pass for the same")
	if p.StopEarly {
		what = Say("when to stop")
	}
	if p.SmallestEffect == 0 && r.sound("analysis.smallest effect") {
		r.reject("analysis.smallest effect",
			Say("nothing says how many may tell the two apart, so that it cannot be decided %s", what),
			Say("write smallest effect: and the smallest share of people that would matter to you, "+
				"as in 0.3"))
	}
	if p.Alpha+p.Beta >= 1 && r.sound("analysis.alpha", "analysis.beta") {
		r.reject("analysis.beta", Say("with risks of one half each, a coin would do as well as a tasting"),
			Say("write alpha and beta as numbers below 0.5, such as 0.05"))
	}
	if s.Serving.Replicates > 1 && r.sound("serving", "serving.replicates") {
		r.reject("serving.replicates",
			Say("several answers of one person are not independent where some tell and some do not, "+
				"so that they cannot decide %s", what), Say("write replicates: 1, and more assessors"))
	}
}

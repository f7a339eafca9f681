package analysis

import "cloche/internal/study"

// sizedAs is the test by whose size the panel of a study is sized: a randomisation test has
// the power of the t test of the same means but for terms that vanish with the number of
// people (Lehmann & Romano 2005, Testing Statistical Hypotheses, sect. 15.2).
func sizedAs(s *study.Study) SizedTest {
	if s.Question.Kind().Amounts {
		if _, laid := s.Series(); len(laid) > 0 {
			return ShiftTest
		}
		return SlopeTest
	}
	if s.Plan.Test == study.Equivalence && s.Serving.Design == study.One {
		return EquivalenceOfGroups
	}
	if s.Plan.Test != study.Lottery && s.Plan.Test != study.Ordinal {
		return SizedTest(s.Plan.Test)
	}
	one := s.Serving.Design == study.One
	switch {
	case s.Plan.Test == study.Ordinal && one:
		return OrdinalOfGroups
	case s.Plan.Test == study.Ordinal:
		return OrdinalTest
	case one:
		return SizedTest(study.WelchT)
	}
	return SizedTest(study.PairedT)
}

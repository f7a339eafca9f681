package study

// FewLabels is the most labels of a scale whose answers are compared by their order: with
// more, their means lose little (common practice, no source).
const FewLabels = 7

// IsOrdinal reports whether answers on a scale are compared by their order: it has few
// labels.
func (s Scale) IsOrdinal() bool { return s.Kind == Categories && len(s.Labels) <= FewLabels }

// ordinalFits checks that the primary attribute has a scale of few labels.
func (r *reader) ordinalFits(s *Study) {
	a, ok := s.Attribute(s.Plan.Attribute)
	if !ok || a.Scale.Kind == "" || a.Scale.IsOrdinal() {
		return
	}
	r.reject("analysis.test", Say("ordinal is for a scale of %d labels at most, and %s has another", FewLabels, a.ID),
		Say("write test: paired-t, or welch-t where each assessor gets one sample; or give the "+
			"attribute labels"))
}

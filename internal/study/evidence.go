package study

const (
	// usualEvidenceAt is half a standard deviation of people's differences.
	usualEvidenceAt = 0.5
	// mostEvidenceAt is beyond any difference that needs a test.
	mostEvidenceAt = 5.0
	// FewestForEvidence is how many people there are before evidence may end tasting (common practice, no source).
	FewestForEvidence = fewestAtLook
)

var evidences = []Evidence{ByMixture, ByBetting}

// evidence reads whether evidence is counted while people come, and for which difference.
func (o object) evidence() (how Evidence, at float64) {
	usual := 0.0
	if how = word(o, "evidence", "", evidences); how != "" {
		usual = usualEvidenceAt
	}
	return how, o.number("evidence at", usual, Say("a number above 0 and at most 5, such as 0.5: the mean over the "+
		"standard deviation of people's differences"), func(v float64) bool { return v > 0 && v <= mostEvidenceAt })
}

// evidenceFits checks evidence: it is of one paired comparison of everybody, in place of looks.
func (r *reader) evidenceFits(s *Study) {
	p := s.Plan
	switch {
	case p.Evidence == "":
		if r.written("analysis.evidence at") && r.sound("analysis.evidence", "analysis.evidence at") {
			r.reject("analysis.evidence at", Say("no evidence is counted that would grow best at this difference"),
				Say("write evidence: mixture, or leave evidence at out"))
		}
	case !r.sound("analysis.evidence", "analysis.evidence at", "analysis.looks"):
	case len(p.Looks) > 0:
		r.reject("analysis.evidence", Say("the plan has looks, and evidence that may be looked at whenever one likes"),
			Say("leave looks and spending out, or evidence"))
	default:
		r.earlyHasATest(s, "evidence", "evidence is")
	}
}

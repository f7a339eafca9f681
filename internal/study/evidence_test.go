package study

import (
	"encoding/json"
	"strings"
	"testing"
)

func TestEvidenceOfAPlan(t *testing.T) {
	s, problems := lookedAt(t, "  evidence: mixture\n")
	if len(problems) > 0 || s.Plan.Evidence != ByMixture || s.Plan.EvidenceAt != 0.5 {
		t.Fatal(s.Plan, problems)
	}
	if again, problems := Parse("s.yaml", Format(s)); len(problems) > 0 || Hash(again) != Hash(s) {
		t.Errorf("written and read again: %+v, %v", again.Plan, problems)
	}
	for _, other := range []string{"  evidence: betting\n", "  evidence: mixture\n  evidence at: 0.3\n", ""} {
		x, problems := lookedAt(t, other)
		if len(problems) > 0 || Hash(x) == Hash(s) {
			t.Errorf("%q is not in the hash: %v", other, problems)
		}
	}
	var canonical struct {
		Analysis struct {
			Evidence string
			At       float64 `json:"evidence_at"`
		}
	}
	err := json.Unmarshal(Canonical(s), &canonical)
	if err != nil || canonical.Analysis.Evidence != "mixture" || canonical.Analysis.At != 0.5 {
		t.Errorf("canonical form: %+v, %v", canonical.Analysis, err)
	}
}

// What cannot be is refused once, where it stands, with what to write.
func TestEvidenceThatCannotBe(t *testing.T) {
	for _, tc := range []struct{ name, lines, what string }{
		{"unknown", "  evidence: always\n", "evidence"},
		{"at nothing", "  evidence: mixture\n  evidence at: 0\n", "evidence at"},
		{"at too much", "  evidence: mixture\n  evidence at: 6\n", "evidence at"},
		{"at alone", "  evidence at: 0.5\n", "no evidence is counted"},
		{"beside looks", "  evidence: mixture\n  looks: [16]\n", "the plan has looks"},
	} {
		t.Run(tc.name, func(t *testing.T) {
			_, problems := lookedAt(t, tc.lines)
			if len(problems) != 1 || !strings.Contains(problems[0].What.String(),
				tc.what) || problems[0].Instead.String() == "" {
				t.Errorf("problems: %v", problems)
			}
		})
	}
}

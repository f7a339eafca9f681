package report_test

import (
	"testing"
	"time"

	"cloche/internal/panel"
	"cloche/internal/report"
	"cloche/internal/study"
)

// TestBlindToCountsWhatIsOnRecord: blinds that were broken, temperatures (a corrected one counts
// as corrected) and guests who felt unwell, once each; names and codes as the study has them.
func TestBlindToCountsWhatIsOnRecord(t *testing.T) {
	s, r := custard(t)
	s.Dishes[0].ServeAt = 55
	at := time.Date(2026, 3, 1, 19, 0, 0, 0, time.UTC)
	dish := s.Dishes[0].ID
	c := panel.Collected{
		Turns: []panel.Turn{{ID: "a", Place: 3, Servings: []panel.Serving{{RevealedAt: at}, {}}},
			{ID: "b", Place: 3, Servings: []panel.Serving{{RevealedAt: at}}}, {ID: "c", Place: 4}},
		Measured: []panel.Measured{{ID: 1, Dish: dish, Celsius: 40}, {ID: 2, Corrects: 1, Dish: dish, Celsius: 54},
			{ID: 3, Dish: dish, Celsius: 58.5}, {ID: 4, Dish: dish, Celsius: 52}},
		Incidents: []panel.NotedIncident{{TurnID: "a", What: panel.Unwell}, {TurnID: "b", What: panel.Unwell},
			{TurnID: "c", What: panel.Spilt}},
	}
	facts := func() map[string]string {
		all := map[string]string{}
		for _, f := range report.BlindTo(s, r, c) {
			all[f.What] = f.Value
		}
		return all
	}
	got := facts()
	for what, want := range map[string]string{
		"The blind was broken":   "for 2 servings; the log says why",
		"Temperatures":           "1 of 3 were more than 3 °C off the one at which the study has the dish served",
		"Guests who felt unwell": "1 person, as floor noted it",
		"Whether guests guessed": "nobody was asked after the last plate",
		"Guests were shown": "each serving by its code, and by the name that was said with it where it has one; " +
			"neither question nor key",
	} {
		if got[what] != want {
			t.Errorf("%s: %q, want %q", what, got[what], want)
		}
	}
	c, s.Serving.Codes = panel.Collected{}, study.CodePerSample
	got = facts()
	codes := "three digits, drawn at random for each sample at each sitting, so that neighbours could compare"
	if got["The blind was broken"] != "for no serving" || got["Temperatures"] != "none were noted" ||
		got["Codes"] != codes || got["Guests who felt unwell"] != "nobody, as far as floor noted it" {
		t.Errorf("of an evening without anything: %v", got)
	}
}

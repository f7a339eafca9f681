package servertest

import (
	"fmt"

	"cloche/internal/panel"
)

// described is a study that asks what three custards are like, each served twice. Its
// ratings are invented.
const described = `cloche: 1
title: CANARYTITLE what are three custards like?
question: sensory-profile
hypothesis: CANARYHYPOTHESIS the second is the saltiest
invented: true
dishes:
  - {id: canarydish, title: CANARYDISHTITLE custard, portion: 60 g, serve at: 55 °C, allergens: [milk, eggs, celery]}
  - {id: second, title: Custard with more salt, portion: 60 g, serve at: 55 °C, allergens: [milk, eggs, celery]}
  - {id: third, title: Custard with less salt, portion: 60 g, serve at: 55 °C, allergens: [milk, eggs, celery]}
samples:
  - {id: canarysampleA, dish: canarydish, blind: true}
  - {id: canarysampleB, dish: second, blind: true}
  - {id: C, dish: third, blind: true}
attributes:
  - {id: salt, ask: How salty is it?, scale: {line: [not at all salty, extremely salty]}}
  - {id: sweet, ask: How sweet is it?, scale: {line: [not at all sweet, extremely sweet]}}
panel: {assessors: 12}
serving: {rinse: 0 s, seed: 7, replicates: 2}
texts: {consent: I agree to taste six spoonfuls., instructions: Take a spoonful., thanks: That was all.}
analysis: {attribute: salt}
`

// Described returns a closed study that describes its samples, which three assessors rated.
func (f *Fixture) Described() panel.StudyID {
	f.T.Helper()
	id, join := f.InState(described, panel.Open)
	for i, salt := range [][]string{{"20", "30", "70", "25", "40", "60"}, {"10", "80", "30", "15", "70", "35"},
		{"50", "20", "60", "90", "10", "40"}} {
		f.Tasted(join, fmt.Sprintf("nonce-of-a-guest-%d", i), salt...)
	}
	f.Must(f.Svc.Close(f.T.Context(), ByLead, id))
	return id
}

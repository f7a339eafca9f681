package servertest

import "cloche/internal/panel"

// Smokiest is a test of three plates side by side, given twice after a warm-up.
const Smokiest = `cloche: 1
title: CANARY-TITLE which is smoked for longer?
question: 3-afc
invented: true
dishes:
  - {id: canarydish, title: CANARY-DISH, portion: 30 g, serve at: 55 °C, allergens: [milk]}
  - {id: canarydish2, title: CANARY-DISH two, portion: 30 g, serve at: 55 °C, allergens: [celery]}
samples:
  - {id: canaryA, dish: canarydish, blind: true}
  - {id: canaryB, dish: canarydish2, blind: true}
attributes:
  - {id: smoke, ask: Which is the smokiest?}
panel: {assessors: 4}
serving: {rinse: 0 s, seed: 7, replicates: 2, warm-up: canaryA, spare codes: 3}
texts:
  consent: I agree to taste.
  instructions: Taste from left to right.
`

// TrayAt are the codes of a turn of the first place, from 0, as they stand.
func (f *Fixture) TrayAt(id panel.StudyID, turn int) (codes []string) {
	f.T.Helper()
	_, plan, err := f.Svc.Preview(f.T.Context(), id)
	f.Must(err)
	for x := range plan.Turns(0) {
		if int(x.Number) == turn+1 {
			for _, v := range x.Servings {
				codes = append(codes, string(v.Code))
			}
		}
	}
	return codes
}

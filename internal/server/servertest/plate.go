package servertest

import "strings"

// PlateAt is the id of the first plate that comes next at a seat, as the floor's page
// of the seat has it.
func (v *Visitor) PlateAt(seat string) string {
	v.T.Helper()
	action := v.Get("/floor/seats/"+seat).HTML().Find(`form[data-does="dropped"]`).First().AttrOr("action", "")
	_, rest, _ := strings.Cut(action, "/servings/")
	plate, found := strings.CutSuffix(rest, "/dropped")
	if !found {
		v.T.Fatalf("no plate comes next at seat %s", seat)
	}
	return plate
}

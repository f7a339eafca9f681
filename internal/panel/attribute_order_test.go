package panel_test

import (
	"fmt"
	"strings"
	"testing"
	"time"
)

// TestRotatedAttributes: two neighbours are asked in two orders, each of them the
// same for both of their servings; what they answer is kept under the right
// attribute all the same.
func TestRotatedAttributes(t *testing.T) {
	n := newNight(t, strings.Replace(custard, "serving: {", "serving: {attributes: rotated, ", 1))
	orders := map[string]bool{}
	for _, who := range []string{"one", "two"} {
		token := n.guest(who)
		order := func() string {
			var fields []string
			for _, a := range ballot(t, n.svc, token).Turn.Asks {
				fields = append(fields, a.Field)
			}
			return fmt.Sprint(fields)
		}
		first := order()
		n.taste(token)
		n.clock.pass(time.Minute) // the rinse
		if second := order(); second != first {
			t.Errorf("%s is asked %s, then %s", who, first, second)
		}
		n.taste(token)
		orders[first] = true
	}
	if len(orders) != 2 {
		t.Errorf("two neighbours are asked in the orders %v, want two", orders)
	}
	for _, r := range n.closed().Answers {
		if want := map[bool]float64{true: 50, false: 5}[r.Attribute == "salt"]; r.Value != want {
			t.Errorf("%s was kept as %g, want %g", r.Attribute, r.Value, want)
		}
	}
}

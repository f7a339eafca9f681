package panel_test

import (
	"errors"
	"testing"

	"cloche/internal/panel"
)

// TestPanelCheckIsForTheLead: nobody else is told how assessors did, not even why there is
// nothing to tell; the lead is told of a study that describes its samples, once it is closed.
func TestPanelCheckIsForTheLead(t *testing.T) {
	n := newNight(t, custard)
	for role := panel.RoleNobody; role <= panel.RoleTablet; role++ {
		_, check, err := n.svc.PanelCheck(t.Context(), panel.Session{Role: role}, n.study)
		want := panel.ErrRefused
		if role == panel.RoleLead {
			want = panel.ErrWrongState // it is open
		}
		if !errors.Is(err, want) || check != nil {
			t.Errorf("%s: %v, want %v", role, err, want)
		}
	}
}

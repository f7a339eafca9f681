package room_test

import (
	"net/http"
	"testing"
	"time"

	"cloche/internal/panel"
	"cloche/internal/server/servertest"
)

// TestStaffStaySignedInForAServiceDay, from the morning's preparation to after midnight.
func TestStaffStaySignedInForAServiceDay(t *testing.T) {
	f := servertest.New(t)
	id, _ := f.InState(servertest.Custard, panel.Open)
	lead, floor := f.Lead(), f.Staff(id, panel.RoleFloor)
	f.Clock.Pass(18 * time.Hour)
	if p := floor.Get("/floor"); p.Status != http.StatusOK || p.Path != "/floor" {
		t.Errorf("floor after 18 hours: status %d at %s", p.Status, p.Path)
	}
	if p := lead.Get("/studies"); p.Path != "/studies" {
		t.Errorf("lead after 18 hours: at %s", p.Path)
	}
}

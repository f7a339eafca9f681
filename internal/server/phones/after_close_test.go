package phones_test

import (
	"strings"
	"testing"

	"cloche/internal/server/servertest"
)

// TestFormAfterCloseSaysWhatBecameOfIt: without scripts the page that follows says it.
func TestFormAfterCloseSaysWhatBecameOfIt(t *testing.T) {
	f := servertest.New(t)
	id, v, p := f.Seated(servertest.Custard)
	f.Must(f.Svc.Close(t.Context(), servertest.ByLead, id))
	after := v.Post(p.Action(), "id", "a-form-that-was-open", "a1", "20", "a2", "3")
	if !strings.Contains(after.HTML().Find("main").Text(), servertest.CameAfterClose) {
		t.Errorf("after close: %s", after.HTML().Find("main").Text())
	}
}

package phones_test

import (
	"bufio"
	"net/http"
	"runtime"
	"testing"

	"cloche/internal/panel"
	"cloche/internal/server/servertest"
)

// TestOpenPhonesHoldNoTurn opens more streams than guests' requests are worked on at
// once: a guest who comes then is still served.
func TestOpenPhonesHoldNoTurn(t *testing.T) {
	f := servertest.New(t)
	_, join := f.InState(servertest.Custard, panel.Open)
	token := f.Began(join, "a-guest-with-many-tabs")
	for i := range 12*runtime.GOMAXPROCS(0) + 2 {
		r, err := http.NewRequestWithContext(t.Context(), http.MethodGet, f.Web.URL+"/t/"+string(token)+"/events", nil)
		f.Must(err)
		answer, err := http.DefaultClient.Do(r)
		f.Must(err)
		t.Cleanup(func() { _ = answer.Body.Close() })
		if line, err := bufio.NewReader(answer.Body).ReadString('\n'); line != "event: turn\n" {
			t.Fatalf("stream %d begins with %q, %v", i, line, err)
		}
	}
	servertest.MustStatus(t, f.Visitor().Get("/t/"+string(token)), http.StatusOK)
}

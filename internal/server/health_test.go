package server_test

import (
	"bytes"
	"context"
	"log/slog"
	"net/http"
	"net/http/httptest"
	"path/filepath"
	"strings"
	"testing"

	"cloche/internal/panel"
	"cloche/internal/server"
	"cloche/internal/server/servertest"
	"cloche/internal/store"
)

func TestReadyWhenItCanWrite(t *testing.T) {
	f := servertest.New(t)
	if p := f.Visitor().Get("/readyz"); p.Status != http.StatusOK || !strings.HasPrefix(p.Body, "ready\n") {
		t.Errorf("ready: %d %q", p.Status, p.Body)
	}
	kept, err := store.Open(t.Context(), filepath.Join(t.TempDir(), "gone.db"))
	f.Must(err)
	svc, err := panel.New(t.Context(), kept, panel.Options{})
	f.Must(err)
	f.Must(kept.Close())
	handler, err := server.New(svc, server.Options{})
	f.Must(err)
	w := httptest.NewRecorder()
	handler.ServeHTTP(w, httptest.NewRequest(http.MethodGet, "/readyz", nil))
	if w.Code != http.StatusServiceUnavailable || w.Header().Get("Retry-After") == "" ||
		!strings.Contains(w.Body.String(), "nothing can be saved") {
		t.Errorf("without a database: %d %q", w.Code, w.Body)
	}
}

func TestHTTPSIsRemembered(t *testing.T) {
	f := servertest.New(t)
	for url, want := range map[string]string{"https://tasting.example.org": "max-age=31536000",
		"http://10.0.0.2:8080": ""} {
		handler, err := server.New(f.Svc, server.Options{URL: url})
		f.Must(err)
		w := httptest.NewRecorder()
		handler.ServeHTTP(w, httptest.NewRequest(http.MethodGet, "/healthz", nil))
		if got := w.Header().Get("Strict-Transport-Security"); got != want {
			t.Errorf("%s: %q, want %q", url, got, want)
		}
	}
}

// TestAbortedRequestIsNoError: a guest who closes the page while it loads.
func TestAbortedRequestIsNoError(t *testing.T) {
	f := servertest.New(t)
	_, join := f.InState(servertest.Custard, panel.Open)
	var log bytes.Buffer
	handler, err := server.New(f.Svc, server.Options{Log: slog.New(slog.NewTextHandler(&log, nil))})
	f.Must(err)
	ctx, gone := context.WithCancel(t.Context())
	gone()
	handler.ServeHTTP(httptest.NewRecorder(), httptest.NewRequestWithContext(ctx, http.MethodGet, "/join/"+
		string(join), nil))
	if strings.Contains(log.String(), "ERROR") || !strings.Contains(log.String(), "did not wait") {
		t.Errorf("the log says: %s", &log)
	}
}

// TestOneSessionLeavesStreamsToOthers opens streams until one session gets no more,
// and one for another session.
func TestOneSessionLeavesStreamsToOthers(t *testing.T) {
	f := servertest.New(t)
	id, _ := f.InState(servertest.Custard, panel.Open)
	stream := func(v *servertest.Visitor) (int, func()) {
		ctx, stop := context.WithCancel(t.Context())
		r, err := http.NewRequestWithContext(ctx, http.MethodGet, f.Web.URL+"/floor/events", nil)
		f.Must(err)
		answer, err := v.HTTP.Do(r)
		f.Must(err)
		return answer.StatusCode, func() { stop(); _ = answer.Body.Close() }
	}
	greedy, other := f.Staff(id, panel.RoleFloor), f.Staff(id, panel.RoleFloor)
	opened := 0
	for range 20 {
		status, stop := stream(greedy)
		defer stop()
		if status == http.StatusOK {
			opened++
		}
	}
	if opened != 10 {
		t.Errorf("one session has %d streams, want 10", opened)
	}
	status, stop := stream(other)
	defer stop()
	if status != http.StatusOK {
		t.Errorf("another session gets %d", status)
	}
}

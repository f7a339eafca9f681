package main

import (
	"bytes"
	"encoding/json"
	"io"
	"log/slog"
	"net/http"
	"net/http/httptest"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"golang.org/x/crypto/bcrypt"

	"cloche/internal/panel"
	"cloche/internal/server"
	"cloche/internal/store"
)

// What is measured names routes, and no path: a path may hold a token.
func TestMetricsNameRoutes(t *testing.T) {
	t.Parallel()
	var lines bytes.Buffer
	o := settings{Metrics: "127.0.0.1:0", LogJSON: true}
	to, stop, err := o.measure(o.log(&lines))
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(stop)
	kept, err := store.Open(t.Context(), filepath.Join(t.TempDir(), "test.db"))
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = kept.Close() })
	svc, err := panel.New(t.Context(), kept, panel.Options{HashCost: bcrypt.MinCost})
	if err != nil {
		t.Fatal(err)
	}
	h, err := server.New(svc, server.Options{Metrics: to})
	if err != nil {
		t.Fatal(err)
	}
	for _, path := range []string{"/healthz", "/join/a-secret-token", "/nowhere/a-secret-token"} {
		h.ServeHTTP(httptest.NewRecorder(), httptest.NewRequestWithContext(t.Context(), http.MethodGet, path, nil))
	}
	var said struct{ Msg, Address string }
	if err := json.Unmarshal(lines.Bytes(), &said); err != nil || said.Msg != "metrics" {
		t.Fatalf("the log says %q: %v", lines.String(), err)
	}
	text := fetched(t, "http://"+said.Address+"/metrics")
	for _, want := range []string{`cloche_request_seconds_count{method="GET",route="/healthz",status="200"} 1`,
		`route="/join/:token"`, `route="(no route)"`, "go_goroutines", "process_open_fds"} {
		if !strings.Contains(text, want) {
			t.Errorf("no %s in\n%s", want, regexp.MustCompile(`(?m)^(go|process)_.*\n`).ReplaceAllString(text, ""))
		}
	}
	if strings.Contains(text, "a-secret-token") {
		t.Error("a token is measured")
	}
}

func fetched(t *testing.T, address string) string {
	t.Helper()
	request, err := http.NewRequestWithContext(t.Context(), http.MethodGet, address, nil)
	if err != nil {
		t.Fatal(err)
	}
	answer, err := http.DefaultClient.Do(request)
	if err != nil {
		t.Fatal(err)
	}
	defer answer.Body.Close()
	text, err := io.ReadAll(answer.Body)
	if err != nil || answer.StatusCode != http.StatusOK {
		t.Fatalf("%s: %d, %v", address, answer.StatusCode, err)
	}
	return string(text)
}

func TestMetricsAddressTaken(t *testing.T) {
	t.Parallel()
	if _, _, err := (settings{Metrics: "nowhere:0:1"}).measure(slog.New(slog.DiscardHandler)); err == nil ||
		!strings.Contains(err.Error(), "choose another address with --metrics") {
		t.Errorf("error %v", err)
	}
	to, stop, err := (settings{}).measure(slog.New(slog.DiscardHandler))
	if to != nil || err != nil {
		t.Errorf("without an address: %v %v", to, err)
	}
	stop()
}

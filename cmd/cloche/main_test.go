package main

import (
	"bytes"
	"context"
	"io"
	"net/http"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"sync"
	"testing"
	"time"
)

// atRoot runs the test in the repository's top folder, as the README's commands are.
func atRoot(t *testing.T) {
	t.Helper()
	t.Chdir(filepath.Join("..", ".."))
}

func TestExitCodes(t *testing.T) {
	atRoot(t)
	tests := []struct {
		name string
		args string
		want int
	}{
		{"help", "--help", exitDone},
		{"sound study", "check studies/celeriac-custard.yaml", exitDone},
		{"no such file", "check studies/none.yaml", exitInput},
		{"database in a missing folder", "serve --database /nowhere/at/all.db", exitInput},
		{"address that cannot be listened on", "serve --database :none --listen 256.0.0.1:1", exitInput},
		{"unusable address for phones", "serve --url tasting", exitInput},
		{"unknown command", "tast", exitUsage},
		{"unknown flag", "check --colour", exitUsage},
		{"missing argument", "analyse", exitUsage},
	}
	for _, tc := range tests {
		t.Run(tc.name, func(t *testing.T) {
			args := strings.Fields(strings.ReplaceAll(tc.args, ":none", filepath.Join(t.TempDir(), "x.db")))
			var stdout, stderr bytes.Buffer
			if got := run(t.Context(), args, strings.NewReader(""), &stdout, &stderr); got != tc.want {
				t.Errorf("cloche %s: exit %d, want %d\n%s%s", tc.args, got, tc.want, &stdout, &stderr)
			}
			if tc.want != exitDone && stderr.Len()+stdout.Len() == 0 {
				t.Errorf("cloche %s: says nothing", tc.args)
			}
		})
	}
}

// TestReadmeCommands runs every command line of the program that the README
// shows and that ends by itself.
func TestReadmeCommands(t *testing.T) {
	atRoot(t)
	text, err := os.ReadFile("README.md")
	if err != nil {
		t.Fatal(err)
	}
	lines := regexp.MustCompile(`(?m)^\./cloche (.+)$`).FindAllSubmatch(text, -1)
	ran := 0
	for _, m := range lines {
		line := string(m[1])
		if strings.HasPrefix(line, "serve") {
			continue // TestDemoServes starts the service
		}
		ran++
		t.Run(line, func(t *testing.T) {
			var stdout, stderr bytes.Buffer
			if got := run(t.Context(), strings.Fields(line), strings.NewReader(""), &stdout, &stderr); got != exitDone {
				t.Errorf("exit %d: %s", got, &stderr)
			}
			if stdout.Len() == 0 {
				t.Error("prints nothing")
			}
		})
	}
	if ran < 3 {
		t.Errorf("found %d commands in the README, want at least 3", ran)
	}
}

// lines is what a running command has printed so far.
type lines struct {
	mu  sync.Mutex
	buf bytes.Buffer
}

func (l *lines) Write(p []byte) (int, error) {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.buf.Write(p)
}

func (l *lines) String() string {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.buf.String()
}

// TestDemoServes starts the demo as the README does and opens its links.
func TestDemoServes(t *testing.T) {
	ctx, stop := context.WithCancel(t.Context())
	var stdout, stderr lines
	ended := make(chan int, 1)
	go func() {
		ended <- run(ctx, []string{"demo", "--listen", "127.0.0.1:0"}, strings.NewReader(""), &stdout, &stderr)
	}()
	link := regexp.MustCompile(`http://127\.0\.0\.1:\d+/(join|studies)/\S+`)
	var links []string
	for deadline := time.Now().Add(time.Minute); len(links) < 3 &&
		time.Now().Before(deadline); time.Sleep(10 * time.Millisecond) {
		links = link.FindAllString(stdout.String(), -1)
	}
	if len(links) < 3 {
		t.Fatalf("the demo printed no three links:\n%s\n%s", stdout.String(), stderr.String())
	}
	want := map[string]string{
		"/join/":    "celery (including celeriac)", // allergens come first
		"/studies/": "Sign in",
	}
	for _, l := range links {
		page := get(t, l)
		for part, words := range want {
			if strings.Contains(l, part) && !strings.Contains(page, words) {
				t.Errorf("%s does not say %q", l, words)
			}
		}
		if strings.Contains(l, "/join/") && !strings.Contains(page, "invented") {
			t.Errorf("%s does not say that the data is invented", l)
		}
	}
	if !strings.Contains(stdout.String(), "password: ") || !strings.Contains(stdout.String(), "█") {
		t.Error("the demo printed no password or no QR code")
	}
	stop()
	if code := <-ended; code != exitDone {
		t.Errorf("stopped with exit %d: %s", code, stderr.String())
	}
}

func get(t *testing.T, url string) string {
	t.Helper()
	resp, err := http.Get(url)
	if err != nil {
		t.Fatal(err)
	}
	defer resp.Body.Close()
	page, err := io.ReadAll(resp.Body)
	if err != nil {
		t.Fatal(err)
	}
	return string(page)
}

func TestServeRefusesSettingsBeforeItOpensTheDatabase(t *testing.T) {
	file := filepath.Join(t.TempDir(), "cloche.db")
	for _, tc := range []struct{ name, flag, value, want string }{
		{"address of another kind", "--url", "ftp://example.org", "write an address without a path"},
		{"proxy that is a word", "--proxies", "10.0.0.0/8,front", `holds "front"; write addresses`},
	} {
		t.Run(tc.name, func(t *testing.T) {
			var stdout, stderr strings.Builder
			code := run(t.Context(), []string{"serve", "--database", file, "--listen", "127.0.0.1:0", tc.flag,
				tc.value}, strings.NewReader(""), &stdout, &stderr)
			if code != exitInput || stdout.Len() > 0 || !strings.Contains(stderr.String(), tc.want) {
				t.Errorf("exit %d, stdout %q, stderr %q; want 1, nothing, and %q", code, stdout.String(),
					stderr.String(), tc.want)
			}
			if _, err := os.Stat(file); err == nil {
				t.Error("a database was made")
			}
		})
	}
}

package report_test

import (
	"bytes"
	"context"
	"html/template"
	"net/http"
	"net/http/httptest"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/chromedp/chromedp"

	"cloche/internal/report"
	"cloche/web"
)

// shared is the Chromium of all tests of the package: to start one takes longer than most of them.
var shared struct {
	once sync.Once
	ctx  context.Context
	stop func()
	err  error
}

func TestMain(m *testing.M) {
	code := m.Run()
	if shared.stop != nil {
		shared.stop()
	}
	os.Exit(code)
}

// browser opens a window of a phone's size, with files of its own, in a real browser.
func browser(t *testing.T) context.Context {
	t.Helper()
	path := chromium(t)
	shared.once.Do(func() {
		allocated, stop := chromedp.NewExecAllocator(context.Background(), browserOptions(path)...)
		shared.ctx, _ = chromedp.NewContext(allocated)
		shared.stop = stop
		shared.err = chromedp.Do(shared.ctx)
	})
	if shared.err != nil {
		t.Fatalf("start Chromium: %v", shared.err)
	}
	return window(t, shared.ctx, chromedp.WithNewBrowserContext())
}

// browserOf is a browser of its own, started with one more option.
func browserOf(t *testing.T, option chromedp.ExecAllocatorOption) context.Context {
	t.Helper()
	ctx, cancel := chromedp.NewExecAllocator(context.Background(), append(browserOptions(chromium(t)), option)...)
	t.Cleanup(cancel)
	return window(t, ctx)
}

// window opens one that closes at the end of the test, or after a time that no test takes on a busy machine.
func window(t *testing.T, in context.Context, options ...chromedp.ContextOption) context.Context {
	t.Helper()
	ctx, cancel := chromedp.NewContext(in, options...)
	t.Cleanup(cancel)
	ctx, cancel = context.WithTimeout(ctx, 5*time.Minute)
	t.Cleanup(cancel)
	return ctx
}

// chromium returns where Chromium is, or skips the test.
func chromium(t *testing.T) string {
	t.Helper()
	if testing.Short() {
		t.Skip("a browser takes long")
	}
	if !web.FiguresBuilt() {
		skip(t, "the figure script is not built: run npm --prefix web ci")
	}
	for _, name := range []string{"chromium-headless-shell", "chromium"} { // the same engine; the first takes half
		if path, err := exec.LookPath(name); err == nil {
			return path
		}
	}
	skip(t, "Chromium is not installed: install Debian's package chromium-headless-shell or chromium")
	return ""
}

func browserOptions(path string) []chromedp.ExecAllocatorOption {
	return append(chromedp.DefaultExecAllocatorOptions[:], chromedp.ExecPath(path), chromedp.NoSandbox,
		chromedp.DisableGPU, chromedp.WindowSize(360, 740),
		chromedp.Flag("disable-quic", true), chromedp.Flag("disable-component-update", true))
}

// skip leaves a test out, unless everything was asked for.
func skip(t *testing.T, reason string) {
	t.Helper()
	if os.Getenv("CLOCHE_REQUIRE_ALL") == "1" {
		t.Fatalf("%s, and CLOCHE_REQUIRE_ALL=1 allows no skip", reason)
	}
	t.Skip(reason)
}

// drawn is what a script finds in a page after the figures were drawn.
type drawn struct {
	Figures, Styled, Paths, Wide int
	Text                         string
	Violations                   []string
}

const lookAtFigures = `({
  figures: document.querySelectorAll('.report-canvas > svg').length,
  styled: document.querySelectorAll('.report-canvas [style]').length,
  paths: document.querySelectorAll('#figure-pairs .report-canvas path').length,
  wide: document.documentElement.scrollWidth,
  text: [...document.querySelectorAll('.report-canvas svg text')].map(x => x.textContent).join('|'),
  violations: window.violations || [],
})`

// opened opens the partner's part; a click may miss it while figures above grow.
func opened(ctx context.Context, to *chromedp.Target) (chromedp.Void, error) {
	_, err := chromedp.Evaluate[bool](`document.querySelector(".report-partner").open = true`)(ctx, to)
	return chromedp.Void{}, err
}

func look(t *testing.T, ctx context.Context, address string) drawn {
	t.Helper()
	for _, step := range []chromedp.Action[chromedp.Void]{chromedp.EmulateViewport(360, 740),
		chromedp.Navigate(address), opened,
		chromedp.WaitVisible("#figure-overview .report-canvas > svg")} {
		if _, err := chromedp.Run(ctx, step); err != nil {
			t.Fatal(err)
		}
	}
	d, err := chromedp.Run(ctx, chromedp.Evaluate[drawn](lookAtFigures))
	if err != nil {
		t.Fatal(err)
	}
	return d
}

func (d drawn) check(t *testing.T) {
	t.Helper()
	if d.Figures != 4 { // the pairs, the samples, all attributes, the planned panel's power
		t.Errorf("%d figures are drawn, want 4", d.Figures)
	}
	if d.Paths < 42 {
		t.Errorf("%d paths in the figure of pairs, want one an assessor, the mean and the axes", d.Paths)
	}
	if d.Wide > 360 {
		t.Errorf("the page is %d pixels wide on a screen of 360", d.Wide)
	}
	for _, want := range []string{"celeriac royale", "brûlée", "49.9", "44.2", "+5.7", "−10"} {
		if !strings.Contains(d.Text, want) {
			t.Errorf("the figures lack %q: %s", want, d.Text)
		}
	}
}

func TestFileDrawsItsFigures(t *testing.T) {
	ctx := browser(t)
	s, r := custard(t)
	file := filepath.Join(t.TempDir(), "report.html")
	var out bytes.Buffer
	if err := report.WriteHTML(&out, report.Build(s, r, report.Options{})); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(file, out.Bytes(), 0o600); err != nil {
		t.Fatal(err)
	}
	look(t, ctx, "file://"+file).check(t)
}

const servedPage = `<!doctype html><html lang="en"><head><title>x</title><meta name="viewport" ` +
	`content="width=device-width">
<script src="/violations.js"></script><link rel="stylesheet" href="/static/report.css">
<script src="/static/built/figures.js" defer></script><script src="/static/figure.js" defer></script></head>
<body class="report-file"><main>{{template "report_body" .}}</main></body></html>`

const noteViolations = `window.violations = [];
document.addEventListener("securitypolicyviolation", e => window.violations.push(e.violatedDirective + " " + ` +
	`e.blockedURI + " " + e.sample));`

func TestFiguresDrawUnderAStrictPolicy(t *testing.T) {
	ctx := browser(t)
	s, r := custard(t)
	page := template.Must(template.Must(template.ParseFS(web.FS,
		"templates/report_body.html")).New("page").Parse(servedPage))
	var out bytes.Buffer
	if err := page.Execute(&out, report.Build(s, r, report.Options{})); err != nil {
		t.Fatal(err)
	}
	routes := http.NewServeMux()
	routes.Handle("/static/", http.FileServerFS(web.FS))
	routes.HandleFunc("/violations.js", func(w http.ResponseWriter, _ *http.Request) {
		w.Header().Set("Content-Type", "text/javascript")
		_, _ = w.Write([]byte(noteViolations))
	})
	routes.HandleFunc("/{$}", func(w http.ResponseWriter, _ *http.Request) {
		w.Header().Set("Content-Security-Policy", "default-src 'self'")
		_, _ = w.Write(out.Bytes())
	})
	server := httptest.NewServer(routes)
	defer server.Close()
	d := look(t, ctx, server.URL)
	d.check(t)
	if len(d.Violations) > 0 || d.Styled > 0 {
		t.Errorf("%d elements with style; the policy was broken: %v", d.Styled, d.Violations)
	}
}

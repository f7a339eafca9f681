package server_test

import (
	"bufio"
	"bytes"
	"context"
	"fmt"
	"io"
	"log/slog"
	"mime/multipart"
	"net/http"
	"net/http/cookiejar"
	"net/http/httptest"
	"net/url"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/PuerkitoBio/goquery"
	"golang.org/x/crypto/bcrypt"

	"cloche/internal/panel"
	"cloche/internal/server"
	"cloche/internal/store"
)

// Words that stand only where nobody but the lead may read.
const (
	canaryTitle      = "CANARYTITLE"
	canaryHypothesis = "CANARYHYPOTHESIS"
	canaryDish       = "canarydish"
	canarySampleA    = "canarysampleA"
	canarySampleB    = "canarysampleB"
	canaryDishTitle  = "CANARYDISHTITLE"
	canaryNameID     = "canarynameid"
)

const (
	nameA = "celeriac crème brûlée"
	nameB = "celeriac royale"
)

// custard is a study of one dish under two names, with a line and a hedonic
// scale. Its ratings are invented.
const custard = `cloche: 1
title: CANARYTITLE does a name change a custard?
question: names
hypothesis: CANARYHYPOTHESIS the dessert's name makes it saltier
invented: true
dishes:
  - {id: canarydish, title: CANARYDISHTITLE custard, portion: 60 g, serve at: 55 °C, allergens: [milk, eggs, celery], also contains: [nutmeg]}
names:
  - {id: canarynameidA, text: celeriac crème brûlée}
  - {id: canarynameidB, text: celeriac royale}
samples:
  - {id: canarysampleA, dish: canarydish, name: canarynameidA}
  - {id: canarysampleB, dish: canarydish, name: canarynameidB}
attributes:
  - {id: salt, ask: How salty is it?, scale: {line: [not at all salty, extremely salty]}}
  - {id: liking, ask: How much do you like it?, scale: hedonic-9}
panel: {assessors: 12}
serving: {rinse: 0 s, seed: 7}
texts:
  consent: I agree to taste two spoonfuls.
  instructions: Take a spoonful, then answer.
  thanks: That was all.
  debrief: Both were the same custard under two names.
analysis: {compare: [canarysampleA, canarysampleB], attribute: salt, test: paired-t, sides: two, alpha: 0.05, smallest effect: 5}
`

const (
	leadPassword = "three forks in a drawer"
	setupCode    = "k7q2m9xdp3"
)

// clock is a clock that tests set by hand.
type clock struct {
	mu sync.Mutex
	at time.Time
}

func (c *clock) now() time.Time {
	c.mu.Lock()
	defer c.mu.Unlock()
	return c.at
}

func (c *clock) pass(d time.Duration) {
	c.mu.Lock()
	defer c.mu.Unlock()
	c.at = c.at.Add(d)
}

// fixture is a service on a fresh database, served over HTTP.
type fixture struct {
	t     *testing.T
	svc   *panel.Service
	clock *clock
	web   *httptest.Server
	log   *syncBuffer
}

// syncBuffer is a log that requests may write at once.
type syncBuffer struct {
	mu sync.Mutex
	b  bytes.Buffer
}

func (b *syncBuffer) Write(p []byte) (int, error) {
	b.mu.Lock()
	defer b.mu.Unlock()
	return b.b.Write(p)
}

func (b *syncBuffer) String() string {
	b.mu.Lock()
	defer b.mu.Unlock()
	return b.b.String()
}

func newFixture(t *testing.T) *fixture {
	t.Helper()
	return newFixtureWith(t, server.Options{SetupCode: setupCode})
}

func newFixtureWith(t *testing.T, o server.Options) *fixture {
	t.Helper()
	kept, err := store.Open(t.Context(), filepath.Join(t.TempDir(), "test.db"))
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		if err := kept.Close(); err != nil {
			t.Error(err)
		}
	})
	f := &fixture{t: t, log: &syncBuffer{}, clock: &clock{at: time.Date(2026, 11, 20, 19, 0, 0, 0, time.UTC)}}
	if f.svc, err = panel.New(t.Context(), kept, panel.Options{Now: f.clock.now, HashCost: bcrypt.MinCost}); err != nil {
		t.Fatal(err)
	}
	o.Log = slog.New(slog.NewTextHandler(f.log, nil))
	handler, err := server.New(f.svc, o)
	if err != nil {
		t.Fatal(err)
	}
	f.web = httptest.NewServer(handler)
	t.Cleanup(f.web.Close)
	return f
}

// uploaded returns the id of a draft.
func (f *fixture) uploaded(file string) string {
	f.t.Helper()
	kept, problems, err := f.svc.Upload(f.t.Context(), "study.yaml", []byte(file))
	if err != nil || len(problems) > 0 {
		f.t.Fatal(err, problems)
	}
	return kept.ID
}

// inState returns a study in a state and, once it was opened, its join token.
func (f *fixture) inState(file string, state panel.State) (id, join string) {
	f.t.Helper()
	ctx := f.t.Context()
	id = f.uploaded(file)
	if strings.Contains(file, "{id: "+canaryDish) {
		f.must(f.svc.SetPhoto(ctx, id, canaryDish, photograph(f.t)))
	}
	if state >= panel.Locked {
		f.must(f.svc.Lock(ctx, id, 1))
	}
	if state >= panel.Open {
		sitting, err := f.svc.OpenSitting(ctx, id)
		f.must(err)
		join = sitting.Join
	}
	if state >= panel.Closed {
		for i := range 3 {
			f.tasted(join, fmt.Sprintf("nonce-of-a-guest-%d", i), []string{"20", "30", "40"}[i], []string{"70", "40", "60"}[i])
		}
		f.must(f.svc.Close(ctx, id))
	}
	return id, join
}

// tasted takes one assessor through the whole ballot.
func (f *fixture) tasted(join, nonce string, salt ...string) {
	f.t.Helper()
	token, err := f.svc.Consent(f.t.Context(), join, nonce, panel.PhoneConsent{})
	f.must(err)
	f.must(f.svc.Start(f.t.Context(), token))
	for _, x := range salt {
		b, err := f.svc.Ballot(f.t.Context(), token)
		f.must(err)
		_, err = f.svc.Submit(f.t.Context(), token, panel.Submission{ID: "page/" + b.Serving.ID, ServingID: b.Serving.ID, Given: map[string]string{"a1": x, "a2": "6"}})
		f.must(err)
	}
}

func (f *fixture) must(err error) {
	f.t.Helper()
	if err != nil {
		f.t.Fatal(err)
	}
}

// visitor is a browser without scripts: it keeps cookies and, like a browser,
// sends Origin with its forms.
type visitor struct {
	t    testing.TB
	base string
	http *http.Client
}

func (f *fixture) visitor() *visitor {
	jar, err := cookiejar.New(nil)
	f.must(err)
	return &visitor{t: f.t, base: f.web.URL, http: &http.Client{Jar: jar, Timeout: 30 * time.Second}}
}

// lead returns a browser in which the lead is signed in.
func (f *fixture) lead() *visitor {
	f.t.Helper()
	has, err := f.svc.HasPassword(f.t.Context())
	f.must(err)
	if !has {
		f.must(f.svc.SetPassword(f.t.Context(), leadPassword))
	}
	v := f.visitor()
	if p := v.post("/sign-in", "password", leadPassword); p.path != "/studies" {
		f.t.Fatalf("sign in ended at %s, want /studies", p.path)
	}
	return v
}

// page is an answer, at the end of its redirects.
type page struct {
	t      testing.TB
	status int
	path   string
	header http.Header
	body   string
}

// all is every byte that the client got.
func (p page) all() string {
	var b strings.Builder
	for k, v := range p.header {
		fmt.Fprintf(&b, "%s: %s\n", k, strings.Join(v, ", "))
	}
	return p.path + "\n" + b.String() + p.body
}

// html parses the page.
func (p page) html() *goquery.Document {
	p.t.Helper()
	doc, err := goquery.NewDocumentFromReader(strings.NewReader(p.body))
	if err != nil {
		p.t.Fatal(err)
	}
	return doc
}

func (v *visitor) get(path string) page {
	v.t.Helper()
	return v.do(http.MethodGet, path, "", nil)
}

// post sends a form of pairs of name and value.
func (v *visitor) post(path string, pairs ...string) page {
	v.t.Helper()
	form := url.Values{}
	for i := 0; i+1 < len(pairs); i += 2 {
		form.Set(pairs[i], pairs[i+1])
	}
	return v.do(http.MethodPost, path, "application/x-www-form-urlencoded", strings.NewReader(form.Encode()))
}

// upload sends the study form with a file, or with text when name is "".
func (v *visitor) upload(name, content string) page {
	v.t.Helper()
	var b bytes.Buffer
	w := multipart.NewWriter(&b)
	part, err := w.CreateFormFile("file", name)
	if err != nil {
		v.t.Fatal(err)
	}
	if name != "" {
		_, err = io.WriteString(part, content)
	} else {
		err = w.WriteField("text", content)
	}
	if err != nil {
		v.t.Fatal(err)
	}
	if err := w.Close(); err != nil {
		v.t.Fatal(err)
	}
	return v.do(http.MethodPost, "/studies/upload", w.FormDataContentType(), &b)
}

func (v *visitor) do(method, path, kind string, body io.Reader) page {
	v.t.Helper()
	ctx, cancel := context.WithTimeout(context.Background(), 30*time.Second)
	defer cancel()
	r, err := http.NewRequestWithContext(ctx, method, v.base+path, body)
	if err != nil {
		v.t.Fatal(err)
	}
	if method == http.MethodPost {
		r.Header.Set("Content-Type", kind)
		r.Header.Set("Origin", v.base)
	}
	answer, err := v.http.Do(r)
	if err != nil {
		v.t.Fatal(err)
	}
	defer answer.Body.Close()
	got, err := readAnswer(answer)
	if err != nil {
		v.t.Fatal(err)
	}
	p := page{v.t, answer.StatusCode, answer.Request.URL.Path, answer.Header, string(got)}
	sound(v.t, p)
	return p
}

// readAnswer reads an answer to its end, a stream of events to the end of its
// first event.
func readAnswer(answer *http.Response) ([]byte, error) {
	if !strings.HasPrefix(answer.Header.Get("Content-Type"), "text/event-stream") {
		return io.ReadAll(answer.Body)
	}
	var got []byte
	lines := bufio.NewReader(answer.Body)
	for {
		line, err := lines.ReadBytes('\n')
		got = append(got, line...)
		if err != nil || len(line) == 1 {
			return got, err
		}
	}
}

// first sends a GET and does not follow redirects.
func (v *visitor) first(method, path string) page {
	v.t.Helper()
	still := *v
	client := *v.http
	client.CheckRedirect = func(*http.Request, []*http.Request) error { return http.ErrUseLastResponse }
	still.http = &client
	return still.do(method, path, "application/x-www-form-urlencoded", nil)
}

// skip skips a test that needs something this machine lacks; where everything
// is required, as in continuous integration, it fails instead.
func skip(t *testing.T, reason string) {
	t.Helper()
	if os.Getenv("CLOCHE_REQUIRE_ALL") == "1" {
		t.Fatalf("%s, and CLOCHE_REQUIRE_ALL=1 allows no skip", reason)
	}
	t.Skip(reason)
}

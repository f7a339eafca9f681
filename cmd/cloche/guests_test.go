package main

import (
	"cloche/internal/panel"
	"context"
	"errors"
	"fmt"
	"io"
	mathrand "math/rand/v2"
	"net/http"
	"net/url"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/PuerkitoBio/goquery"

	"cloche/internal/store"
)

// guests are phones without scripts that taste at once. What a phone was not told
// to be kept, it sends again.
type guests struct {
	t       *testing.T
	service *service
	join    panel.JoinToken
	http    *http.Client

	mu           sync.Mutex
	acknowledged map[string]map[string]string // code → field → value
	refused      int                          // answers 503
}

func newGuests(t *testing.T, s *service, join panel.JoinToken) *guests {
	return &guests{t: t, service: s, join: join, acknowledged: map[string]map[string]string{},
		http: &http.Client{Timeout: 40 * time.Second, CheckRedirect: func(*http.Request, []*http.Request) error {
			return http.ErrUseLastResponse
		}}}
}

func (g *guests) count() int {
	g.mu.Lock()
	defer g.mu.Unlock()
	return len(g.acknowledged)
}

// told is how often a phone was told that the service is away.
func (g *guests) told() int {
	g.mu.Lock()
	defer g.mu.Unlock()
	return g.refused
}

// answer is a page or a redirect.
type answer struct {
	status int
	to     string // where a redirect leads
	page   *goquery.Document
}

// ask sends a request until it is answered with something else than that the
// service is away. form nil asks for a page.
func (g *guests) ask(ctx context.Context, path string, form url.Values) (answer, error) {
	for {
		a, err := g.once(ctx, path, form)
		if err == nil && a.status < http.StatusInternalServerError {
			return a, nil
		}
		if err == nil && a.status != http.StatusServiceUnavailable {
			return a, fmt.Errorf("%s: status %d: %s", path, a.status, a.page.Text())
		}
		if !sleep(ctx, time.Duration(5+mathrand.IntN(20))*time.Millisecond) {
			return a, errors.Join(ctx.Err(), err)
		}
	}
}

func sleep(ctx context.Context, d time.Duration) bool {
	select {
	case <-ctx.Done():
		return false
	case <-time.After(d):
		return true
	}
}

func (g *guests) once(ctx context.Context, path string, form url.Values) (answer, error) {
	method, body := http.MethodGet, io.Reader(nil)
	if form != nil {
		method, body = http.MethodPost, strings.NewReader(form.Encode())
	}
	base := "http://" + g.service.address
	r, err := http.NewRequestWithContext(ctx, method, base+path, body)
	if err != nil {
		return answer{}, err
	}
	if form != nil {
		r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
		r.Header.Set("Origin", base)
	}
	resp, err := g.http.Do(r)
	if err != nil {
		return answer{}, err
	}
	defer resp.Body.Close()
	page, err := goquery.NewDocumentFromReader(resp.Body)
	if err != nil {
		return answer{}, err
	}
	if resp.StatusCode == http.StatusServiceUnavailable {
		g.noteRefusal(resp, page, form)
	}
	return answer{resp.StatusCode, resp.Header.Get("Location"), page}, nil
}

// noteRefusal checks what a phone is told when the database is away: when to come
// again, and, without scripts, its own answers to send again.
func (g *guests) noteRefusal(resp *http.Response, page *goquery.Document, form url.Values) {
	g.mu.Lock()
	defer g.mu.Unlock()
	g.refused++
	if resp.Header.Get("Retry-After") == "" {
		g.t.Error("an answer 503 does not say when to come again")
	}
	if form == nil {
		return
	}
	held := formOf(page)
	if held.values.Encode() != form.Encode() || held.action != resp.Request.URL.Path {
		g.t.Errorf("the page of a 503 holds %q for %s, want %q for %s", held.values.Encode(), held.action,
			form.Encode(), resp.Request.URL.Path)
	}
}

// ballotForm is the first form of a page.
type ballotForm struct {
	action string
	values url.Values // hidden fields
	lines  []string   // names of fields to type a number in
	ranks  []string   // names of fields to choose in
}

func formOf(page *goquery.Document) ballotForm {
	form := page.Find("form").First()
	f := ballotForm{action: form.AttrOr("action", ""), values: url.Values{}}
	form.Find("input").Each(func(_ int, in *goquery.Selection) {
		name := in.AttrOr("name", "")
		switch in.AttrOr("type", "") {
		case "hidden":
			f.values.Set(name, in.AttrOr("value", ""))
		case "text":
			f.lines = append(f.lines, name)
		case "radio":
			if len(f.ranks) == 0 || f.ranks[len(f.ranks)-1] != name {
				f.ranks = append(f.ranks, name)
			}
		}
	})
	return f
}

// taste takes one guest from the join link to the thanks.
func (g *guests) taste(ctx context.Context) error {
	welcome, err := g.ask(ctx, "/join/"+string(g.join), nil)
	if err != nil {
		return err
	}
	consent := formOf(welcome.page)
	seat, err := g.ask(ctx, consent.action, consent.values)
	if err != nil || seat.status != http.StatusSeeOther {
		return errors.Join(err, fmt.Errorf("consent: status %d", seat.status))
	}
	for {
		a, err := g.ask(ctx, seat.to, nil)
		if err != nil {
			return err
		}
		form := formOf(a.page)
		switch {
		case strings.HasSuffix(form.action, "/start"):
			if _, err := g.ask(ctx, form.action, form.values); err != nil {
				return err
			}
		case strings.Contains(form.action, "/turns/"):
			if err := g.rate(ctx, a.page.Find(".code").Contents().Last().Text(), form); err != nil {
				return err
			}
		case strings.Contains(a.page.Text(), "That was all."):
			return nil
		default:
			return fmt.Errorf("a page that leads nowhere: %s", a.page.Text())
		}
	}
}

// rate sends the answers of one serving until they are acknowledged.
func (g *guests) rate(ctx context.Context, code string, form ballotForm) error {
	given := map[string]string{}
	for _, name := range form.lines {
		given[name] = fmt.Sprint(mathrand.IntN(101))
	}
	for _, name := range form.ranks {
		given[name] = fmt.Sprint(1 + mathrand.IntN(9))
	}
	for name, value := range given {
		form.values.Set(name, value)
	}
	a, err := g.ask(ctx, form.action, form.values)
	if err != nil || a.status != http.StatusSeeOther {
		return errors.Join(err, fmt.Errorf("rate %s: status %d", code, a.status))
	}
	g.mu.Lock()
	defer g.mu.Unlock()
	if _, twice := g.acknowledged[code]; twice {
		g.t.Errorf("serving %s was rated twice", code)
	}
	g.acknowledged[code] = given
	return nil
}

// tasteAll lets so many guests taste at once; the channel gives what went wrong
// with each and is closed when all have finished.
func (g *guests) tasteAll(ctx context.Context, n int) <-chan error {
	errs := make(chan error, n)
	var all sync.WaitGroup
	for range n {
		all.Go(func() {
			if err := g.taste(ctx); err != nil {
				errs <- err
			}
		})
	}
	go func() { all.Wait(); close(errs) }()
	return errs
}

// checkKept reads the database as it stands and finds every acknowledged answer
// exactly once, and nobody seated twice.
func (g *guests) checkKept(dsn string, study panel.StudyID, people int) {
	g.t.Helper()
	kept, err := store.Open(g.t.Context(), dsn)
	if err != nil {
		g.t.Fatal(err)
	}
	defer kept.Close()
	rated, err := kept.KeyedAnswers(g.t.Context(), study)
	if err != nil {
		g.t.Fatal(err)
	}
	field := map[string]string{"salt": "a1", "liking": "a2"}
	found := map[string]int{}
	for _, r := range rated {
		found[string(r.Code)]++
		if got, want := fmt.Sprint(r.Value), g.acknowledged[string(r.Code)][field[string(r.Attribute)]]; got != want {
			g.t.Errorf("serving %s, %s: %s is kept, %q was acknowledged", r.Code, r.Attribute, got, want)
		}
	}
	for code := range g.acknowledged {
		if found[code] != len(field) {
			g.t.Errorf("serving %s was acknowledged and has %d ratings, want %d", code, found[code], len(field))
		}
	}
	if want := people * servingsEach; len(found) != want {
		g.t.Errorf("%d servings are rated, want %d", len(found), want)
	}
	seated, err := kept.Assessors(g.t.Context(), study)
	if err != nil || len(seated) != people {
		g.t.Errorf("%d assessors are seated, %v; want %d", len(seated), err, people)
	}
}

package main

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"math/rand/v2"
	"net/http"
	"net/url"
	"slices"
	"strings"
	"sync"
	"time"
)

// patience is how long a phone waits for an answer before it tries again: what
// web/static/outbox.js says.
const patience = 10 * time.Second

// phones are all phones of a round with what they measured together.
type phones struct {
	*tasting
	http  *http.Client
	think time.Duration

	mu sync.Mutex
	measured
}

func newPhones(t *tasting, n int, think time.Duration) *phones {
	return &phones{tasting: t, think: think, measured: measured{told: map[string]map[string]string{},
		unheard: map[string][]map[string]string{}},
		http: &http.Client{
			Timeout: patience,
			// What is compressed stays so: unpacking is the work of other machines.
			Transport: &http.Transport{MaxIdleConnsPerHost: n, DisableCompression: true},
			CheckRedirect: func(*http.Request, []*http.Request) error {
				return http.ErrUseLastResponse
			},
		}}
}

// request is one of a phone; the proxy in front says that each has an address of its own.
func (p *phones) request(ctx context.Context, phone int, path string, form url.Values) (*http.Request, error) {
	method := http.MethodGet
	if form != nil {
		method = http.MethodPost
	}
	r, err := http.NewRequestWithContext(ctx, method, p.url+path, strings.NewReader(form.Encode()))
	if err != nil {
		return nil, err
	}
	r.Header.Set("X-Forwarded-For", fmt.Sprintf("10.0.%d.%d", phone/250, phone%250+1))
	r.Header.Set("Accept-Encoding", "gzip")
	if form != nil {
		r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
		r.Header.Set("Origin", p.url)
	}
	return r, nil
}

// get asks for a page until it is answered, and returns it.
func (p *phones) get(ctx context.Context, phone int, path string) []byte {
	return p.until(ctx, phone, path, nil, http.StatusOK)
}

// post sends a form until it is answered with the way to the next page.
func (p *phones) post(ctx context.Context, phone int, path string, form url.Values) {
	p.until(ctx, phone, path, form, http.StatusSeeOther)
}

func (p *phones) until(ctx context.Context, phone int, path string, form url.Values, status int) []byte {
	for ctx.Err() == nil {
		r, err := p.request(ctx, phone, path, form)
		if err != nil {
			return nil
		}
		if body, _, err := p.do(r, status); err == nil {
			return body
		}
		pause(ctx, 50*time.Millisecond)
	}
	return nil
}

// do sends a request and notes how it went.
func (p *phones) do(r *http.Request, status int) ([]byte, time.Duration, error) {
	begun := time.Now()
	body, err := p.answer(r, status)
	took := time.Since(begun)
	p.mu.Lock()
	defer p.mu.Unlock()
	var late interface{ Timeout() bool }
	switch {
	case err == nil:
		p.requests = append(p.requests, took)
	case r.Context().Err() != nil: // the round is over, or it was broken off on purpose
	case errors.As(err, &late) && late.Timeout():
		p.timeouts++
	default:
		p.failures++
	}
	return body, took, err
}

func (p *phones) answer(r *http.Request, status int) ([]byte, error) {
	answer, err := p.http.Do(r)
	if err != nil {
		return nil, err
	}
	defer answer.Body.Close()
	body, err := io.ReadAll(answer.Body)
	if err == nil && answer.StatusCode != status {
		err = fmt.Errorf("status %d", answer.StatusCode)
	}
	return body, err
}

// submission is what a phone sends for one turn, until it is told what became of it.
type submission struct {
	path string // of the personal link
	turn string
	form url.Values
}

// newSubmission answers a turn by chance: a line from 0 to 100 and nine categories.
func newSubmission(path, turn string, seq int) submission {
	return submission{path: path, turn: turn, form: url.Values{
		"id": {fmt.Sprint(turn, seq)}, "seq": {fmt.Sprint(seq)},
		"a1": {fmt.Sprint(rand.IntN(101))}, "a2": {fmt.Sprint(1 + rand.IntN(9))}}}
}

// submit sends until the service says that it keeps the answers.
func (p *phones) submit(ctx context.Context, phone int, s submission) {
	for ctx.Err() == nil && !p.send1(ctx, phone, s) {
		pause(ctx, 50*time.Millisecond)
	}
}

func (p *phones) send1(ctx context.Context, phone int, s submission) bool {
	r, err := p.request(ctx, phone, s.path+"/turns/"+s.turn, s.form)
	if err != nil {
		return false
	}
	r.Header.Set("Accept", "application/json")
	values := map[string]string{"a1": s.form.Get("a1"), "a2": s.form.Get("a2")}
	p.mu.Lock()
	p.unheard[s.turn] = append(p.unheard[s.turn], values)
	p.mu.Unlock()
	body, took, err := p.do(r, http.StatusOK)
	var receipt struct {
		Outcome string `json:"outcome"`
	}
	if err != nil || json.Unmarshal(body, &receipt) != nil {
		return false
	}
	p.mu.Lock()
	defer p.mu.Unlock()
	if !slices.Contains([]string{"recorded", "repeated", "corrected"}, receipt.Outcome) {
		p.failures++
		return true
	}
	if receipt.Outcome != "repeated" {
		p.submissions = append(p.submissions, took)
	}
	p.told[s.turn] = values
	delete(p.unheard, s.turn)
	return true
}

// cutOff sends answers and loses the network before it hears what became of them.
func (p *phones) cutOff(ctx context.Context, phone int, s submission) {
	ctx, cancel := context.WithTimeout(ctx, rand.N(20*time.Millisecond))
	defer cancel()
	p.send1(ctx, phone, s)
	p.mu.Lock()
	defer p.mu.Unlock()
	if ctx.Err() != nil {
		p.cut++
	}
}

// sendAll sends the answers of a phone that was without network.
func (p *phones) sendAll(ctx context.Context, phone int) {
	for i, turn := range p.turns[phone] {
		p.submit(ctx, phone, newSubmission("/t/"+p.tokens[phone], turn, i+1))
	}
}

// percentiles says how long most, nearly all and all but one in a hundred took: the
// smallest time that so many did not exceed.
func percentiles(took []time.Duration) string {
	if len(took) == 0 {
		return "none"
	}
	sorted := slices.Sorted(slices.Values(took))
	at := func(percent int) time.Duration {
		return sorted[(len(sorted)*percent+99)/100-1].Round(100 * time.Microsecond)
	}
	return fmt.Sprintf("p50 %s, p95 %s, p99 %s, longest %s", at(50), at(95), at(99), at(100))
}

package main

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	mathrand "math/rand/v2"
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

// measured is what phones saw.
type measured struct {
	took        time.Duration
	processor   time.Duration
	submissions []time.Duration // how long each that was taken took
	requests    []time.Duration // the same of every request that was answered
	timeouts    int
	boards      int64 // how often the board was sent to those who watch it
	failures    int   // answers other than expected, and connections that broke
}

// phones are all phones of a run with what they measured together.
type phones struct {
	base string
	http *http.Client

	mu sync.Mutex
	measured
}

// play lets all phones go at once and waits for them.
func (t *tasting) play(ctx context.Context) measured {
	all := &phones{base: t.url, http: &http.Client{
		Timeout: patience,
		// What is compressed stays so: unpacking is the work of other machines.
		Transport: &http.Transport{MaxIdleConnsPerHost: len(t.tokens), DisableCompression: true},
	}}
	defer all.http.CloseIdleConnections()
	begun := time.Now()
	var wait sync.WaitGroup
	for _, token := range t.tokens {
		wait.Go(func() { all.taste(ctx, token) })
	}
	wait.Wait()
	all.took = time.Since(begun)
	return all.measured
}

// ahead is what the service tells a phone of the serving in front of it.
type ahead struct {
	Now *struct {
		ID   string `json:"id"`
		Asks []struct {
			Field string   `json:"field"`
			From  float64  `json:"from"`
			To    float64  `json:"to"`
			Steps []string `json:"labels"`
		} `json:"asks"`
	} `json:"now"`
}

// taste takes one phone through its turns: the page, what it holds to go on
// without network, the answers. What is not answered is sent again.
func (p *phones) taste(ctx context.Context, token string) {
	for seq := 1; seq <= servingsEach && ctx.Err() == nil; {
		var held ahead
		if p.get(ctx, "/t/"+token, nil) != nil || p.get(ctx, "/t/"+token+"/ahead", &held) != nil {
			continue
		}
		if held.Now == nil { // an answer that timed out was taken after all
			return
		}
		form := url.Values{"id": {fmt.Sprint(token, seq)}, "seq": {fmt.Sprint(seq)}}
		for _, ask := range held.Now.Asks {
			low, high := int(ask.From), int(ask.To)
			if len(ask.Steps) > 0 {
				low, high = 1, len(ask.Steps)
			}
			form.Set(ask.Field, fmt.Sprint(low+mathrand.IntN(high-low+1)))
		}
		if p.submit(ctx, "/t/"+token+"/turns/"+held.Now.ID, form) == nil {
			seq++
		}
	}
}

func (p *phones) get(ctx context.Context, path string, into any) error {
	r, err := http.NewRequestWithContext(ctx, http.MethodGet, p.base+path, nil)
	if err != nil {
		return err
	}
	r.Header.Set("Accept-Encoding", "gzip")
	_, err = p.do(r, into)
	return err
}

func (p *phones) submit(ctx context.Context, path string, form url.Values) error {
	r, err := http.NewRequestWithContext(ctx, http.MethodPost, p.base+path, strings.NewReader(form.Encode()))
	if err != nil {
		return err
	}
	r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
	r.Header.Set("Accept", "application/json")
	r.Header.Set("Origin", p.base)
	var receipt struct {
		Outcome string `json:"outcome"`
	}
	took, err := p.do(r, &receipt)
	p.mu.Lock()
	defer p.mu.Unlock()
	if err == nil && receipt.Outcome != "recorded" && receipt.Outcome != "repeated" {
		p.failures++
		return fmt.Errorf("the outcome is %q", receipt.Outcome)
	}
	if err == nil {
		p.submissions = append(p.submissions, took)
	}
	return err
}

// do sends a request and notes how it went.
func (p *phones) do(r *http.Request, into any) (time.Duration, error) {
	begun := time.Now()
	err := p.answer(r, into)
	took := time.Since(begun)
	p.mu.Lock()
	defer p.mu.Unlock()
	var late interface{ Timeout() bool }
	switch {
	case err == nil:
		p.requests = append(p.requests, took)
	case errors.Is(err, context.Canceled) || r.Context().Err() != nil: // the run is over
	case errors.As(err, &late) && late.Timeout():
		p.timeouts++
	default:
		p.failures++
	}
	return took, err
}

func (p *phones) answer(r *http.Request, into any) error {
	answer, err := p.http.Do(r)
	if err != nil {
		return err
	}
	defer answer.Body.Close()
	if answer.StatusCode != http.StatusOK {
		_, _ = io.Copy(io.Discard, answer.Body) // so that the connection can be used again
		return fmt.Errorf("status %d", answer.StatusCode)
	}
	if into == nil {
		_, err = io.Copy(io.Discard, answer.Body)
		return err
	}
	if err := json.NewDecoder(answer.Body).Decode(into); err != nil {
		return err
	}
	_, err = io.Copy(io.Discard, answer.Body)
	return err
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

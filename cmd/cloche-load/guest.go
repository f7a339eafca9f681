package main

import (
	"bytes"
	"compress/gzip"
	"context"
	"encoding/json"
	"io"
	"math/rand/v2"
	"net/http"
	"net/url"
	"regexp"
)

// How many guests in a hundred do what.
const (
	loseNetwork = 10 // while they send, of each serving
	sendTwice   = 5
	correctLast = 5
	leaveEarly  = 3
)

func oneIn(hundred int) bool { return rand.IntN(100) < hundred }

var (
	formAction  = regexp.MustCompile(`<form[^>]* action="(/join/[^"]+/consent)"`)
	hiddenNonce = regexp.MustCompile(`name="nonce" value="([^"]+)"`)
	pageAsset   = regexp.MustCompile(`(?:href|src)="(/assets/[^"]+)"`)
)

// taste takes one guest from the card on the table to the thanks, or out of the door.
func (p *phones) taste(ctx context.Context, phone int) {
	at := p.arrive(ctx, phone)
	if at == "" {
		return
	}
	seq := 0
	for ctx.Err() == nil {
		held := p.open(ctx, phone, at)
		if held == "" {
			return
		}
		pause(ctx, p.think)
		if seq > 0 && oneIn(leaveEarly) {
			p.post(ctx, phone, at+"/stop", url.Values{})
			return
		}
		seq++
		s := newSubmission(at, held, seq)
		if oneIn(loseNetwork) {
			p.cutOff(ctx, phone, s)
		}
		p.submit(ctx, phone, s)
		if oneIn(sendTwice) {
			p.submit(ctx, phone, s)
		}
		if oneIn(correctLast) {
			seq++
			p.submit(ctx, phone, newSubmission(at, held, seq))
		}
	}
}

// arrive joins by the card on the table, agrees and reads what to do; it returns the
// address of the ballot.
func (p *phones) arrive(ctx context.Context, phone int) string {
	welcome := unpacked(p.get(ctx, phone, "/join/"+p.join))
	nonce, action := hiddenNonce.FindSubmatch(welcome), formAction.FindSubmatch(welcome)
	if nonce == nil || action == nil {
		return p.failed(ctx)
	}
	p.assets(ctx, phone, welcome)
	pause(ctx, p.think)
	at := p.consent(ctx, phone, string(action[1]), string(nonce[1]))
	if at == "" {
		return p.failed(ctx)
	}
	p.get(ctx, phone, at)
	pause(ctx, p.think)
	p.post(ctx, phone, at+"/start", url.Values{})
	p.assets(ctx, phone, unpacked(p.get(ctx, phone, at)))
	return at
}

// failed notes that a guest cannot go on, unless the round is over.
func (p *phones) failed(ctx context.Context) string {
	p.mu.Lock()
	defer p.mu.Unlock()
	if ctx.Err() == nil {
		p.failures++
	}
	return ""
}

// consent agrees until a seat is given, and returns its address.
func (p *phones) consent(ctx context.Context, phone int, action, nonce string) string {
	for ctx.Err() == nil {
		r, err := p.request(ctx, phone, action, url.Values{"nonce": {nonce}})
		if err != nil {
			return ""
		}
		answer, err := p.http.Do(r)
		if err == nil {
			_, _ = io.Copy(io.Discard, answer.Body)
			answer.Body.Close()
			if answer.StatusCode == http.StatusSeeOther {
				return answer.Header.Get("Location")
			}
		}
		p.failed(ctx)
	}
	return ""
}

// assets asks for the files of a page, as a phone does that has none yet.
func (p *phones) assets(ctx context.Context, phone int, page []byte) {
	for _, m := range pageAsset.FindAllSubmatch(page, -1) {
		p.get(ctx, phone, string(m[1]))
	}
}

// open asks for the page and for what a phone holds to go on without network, and
// returns the id of the turn in front of the guest; "" when there is none.
func (p *phones) open(ctx context.Context, phone int, at string) string {
	p.get(ctx, phone, at)
	var held struct {
		Now *struct {
			ID string `json:"id"`
		} `json:"now"`
	}
	if json.Unmarshal(unpacked(p.get(ctx, phone, at+"/ahead")), &held) != nil || held.Now == nil {
		return ""
	}
	return held.Now.ID
}

// unpacked is the text of an answer, packed or not.
func unpacked(body []byte) []byte {
	r, err := gzip.NewReader(bytes.NewReader(body))
	if err != nil {
		return body
	}
	text, err := io.ReadAll(r)
	if err != nil {
		return body
	}
	return text
}

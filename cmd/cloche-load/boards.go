package main

import (
	"bufio"
	"context"
	"fmt"
	"io"
	"net/http"
	"net/http/cookiejar"
	"net/url"
	"strings"
	"sync"
	"sync/atomic"
)

// boardsOfASession is how many streams are held for one that is signed in.
const boardsOfASession = 10

// boards are viewers of the live board who hold its stream open while phones send.
type boards struct {
	events atomic.Int64
	wait   sync.WaitGroup
	stop   context.CancelFunc
}

// watch opens the board for so many viewers and returns when each has seen it once.
func (t *tasting) watch(ctx context.Context, viewers int) (*boards, error) {
	ctx, stop := context.WithCancel(ctx)
	b := &boards{stop: stop}
	first := make(chan error, viewers)
	var signedIn *http.Client
	for i := range viewers {
		if i%boardsOfASession == 0 {
			var err error
			if signedIn, err = t.signIn(ctx); err != nil {
				b.end()
				return nil, err
			}
		}
		b.wait.Go(func() { b.follow(ctx, signedIn, t.url+"/studies/"+t.study+"/events", first) })
	}
	for range viewers {
		if err := <-first; err != nil {
			b.end()
			return nil, fmt.Errorf("open the board: %w", err)
		}
	}
	return b, nil
}

// end closes all streams.
func (b *boards) end() {
	b.stop()
	b.wait.Wait()
}

// follow reads a stream until it ends, and says on first how it began.
func (b *boards) follow(ctx context.Context, viewer *http.Client, address string, first chan<- error) {
	r, err := http.NewRequestWithContext(ctx, http.MethodGet, address, nil)
	if err != nil {
		first <- err
		return
	}
	answer, err := viewer.Do(r)
	if err != nil {
		first <- err
		return
	}
	defer answer.Body.Close()
	if kind := answer.Header.Get("Content-Type"); answer.StatusCode != http.StatusOK || kind != "text/event-stream" {
		first <- fmt.Errorf("status %d, %s", answer.StatusCode, kind)
		return
	}
	lines := bufio.NewReader(answer.Body)
	for seen := false; ; {
		line, err := lines.ReadString('\n')
		if err != nil {
			if !seen {
				first <- err
			}
			return
		}
		if strings.HasPrefix(line, "event: fresh") {
			b.events.Add(1)
			if !seen {
				first <- nil
			}
			seen = true
		}
	}
}

// boardPassword is that of the lead of an invented tasting on loopback.
const boardPassword = "eight boards beside a custard"

// signIn is a browser in which the lead is signed in.
func (t *tasting) signIn(ctx context.Context) (*http.Client, error) {
	return t.browser(ctx, "/sign-in", url.Values{"password": {boardPassword}})
}

// browser is one that has sent a form and keeps the cookies that it got.
func (t *tasting) browser(ctx context.Context, path string, form url.Values) (*http.Client, error) {
	jar, err := cookiejar.New(nil)
	if err != nil {
		return nil, err
	}
	b := &http.Client{Jar: jar, Transport: &http.Transport{DisableCompression: true}}
	_, err = t.send(ctx, b, path, form)
	return b, err
}

// send asks for a page, or sends a form, and returns what is shown then.
func (t *tasting) send(ctx context.Context, by *http.Client, path string, form url.Values) (string, error) {
	method := http.MethodGet
	if form != nil {
		method = http.MethodPost
	}
	r, err := http.NewRequestWithContext(ctx, method, t.url+path, strings.NewReader(form.Encode()))
	if err != nil {
		return "", err
	}
	r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
	r.Header.Set("Origin", t.url)
	answer, err := by.Do(r)
	if err != nil {
		return "", err
	}
	defer answer.Body.Close()
	page, err := io.ReadAll(answer.Body)
	return string(page), err
}

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

const (
	maxBoards        = 50
	boardsOfASession = 10 // no more streams are held for one that is signed in
)

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
	jar, err := cookiejar.New(nil)
	if err != nil {
		return nil, err
	}
	viewer := &http.Client{Jar: jar, Transport: &http.Transport{DisableCompression: true}}
	form := url.Values{"password": {boardPassword}}
	r, err := http.NewRequestWithContext(ctx, http.MethodPost, t.url+"/sign-in", strings.NewReader(form.Encode()))
	if err != nil {
		return nil, err
	}
	r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
	r.Header.Set("Origin", t.url)
	answer, err := viewer.Do(r)
	if err != nil {
		return nil, err
	}
	defer answer.Body.Close()
	_, err = io.Copy(io.Discard, answer.Body)
	return viewer, err
}

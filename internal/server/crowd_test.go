package server_test

import (
	"errors"
	"fmt"
	"net/http"
	"net/url"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"github.com/PuerkitoBio/goquery"

	"cloche/internal/panel"
	"cloche/internal/server/servertest"
)

// crowdPhone is a phone in a full dining room, without scripts.
type crowdPhone struct {
	base      string
	http      *http.Client
	doubleTap bool
}

// send asks for a page or sends a form, twice at once on a double tap, and returns
// the end of the redirects.
func (p crowdPhone) send(path string, form url.Values) (*goquery.Document, error) {
	if form == nil || !p.doubleTap {
		return p.once(path, form)
	}
	var pages [2]*goquery.Document
	var errs [2]error
	var both sync.WaitGroup
	for i := range pages {
		both.Go(func() { pages[i], errs[i] = p.once(path, form) })
	}
	both.Wait()
	return pages[0], errors.Join(errs[:]...)
}

func (p crowdPhone) once(path string, form url.Values) (*goquery.Document, error) {
	var r *http.Request
	var err error
	if form == nil {
		r, err = http.NewRequest(http.MethodGet, p.base+path, nil)
	} else {
		r, err = http.NewRequest(http.MethodPost, p.base+path, strings.NewReader(form.Encode()))
	}
	if err != nil {
		return nil, err
	}
	r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
	r.Header.Set("Origin", p.base)
	resp, err := p.http.Do(r)
	if err != nil {
		return nil, err
	}
	defer resp.Body.Close()
	page, err := goquery.NewDocumentFromReader(resp.Body)
	if err != nil {
		return nil, err
	}
	if resp.StatusCode != http.StatusOK && resp.StatusCode != http.StatusConflict {
		return nil, fmt.Errorf("%s: status %d: %s", path, resp.StatusCode, page.Find("h1").Text())
	}
	return page, nil
}

// ticket returns where the first form of a page goes, with its hidden fields.
func ticket(page *goquery.Document) (action string, hidden url.Values) {
	form := page.Find("form").First()
	hidden = url.Values{}
	form.Find("input[type=hidden]").Each(func(_ int, in *goquery.Selection) {
		hidden.Set(in.AttrOr("name", ""), in.AttrOr("value", ""))
	})
	return form.AttrOr("action", ""), hidden
}

// taste goes from the join link to the end; false when every place was taken.
func (p crowdPhone) taste(join panel.JoinToken, salt string) (bool, error) {
	page, err := p.send("/join/"+string(join), nil)
	for err == nil {
		heading := page.Find("h1").First().Text()
		action, form := ticket(page)
		switch {
		case strings.Contains(heading, "Every place is taken"):
			return false, nil
		case strings.Contains(page.Text(), "That was all."):
			return true, nil
		case strings.Contains(action, "/turns/"):
			form.Set("a1", salt)
			form.Set("a2", "6")
		case action == "":
			return false, fmt.Errorf("a page that leads nowhere: %q", heading)
		}
		page, err = p.send(action, form)
	}
	return false, err
}

// TestCrowdAtOnce lets 205 phones at once fight for 200 places, half of them tapping every
// button twice, while the lead looks at the board. Each place goes to one phone, five
// phones are told that it is full, and every answer is kept once. It is meant for
// the race detector.
func TestCrowdAtOnce(t *testing.T) {
	const places, tooMany = 200, 5
	f := servertest.New(t)
	id, join := f.InState(strings.Replace(servertest.Custard, "assessors: 12", fmt.Sprintf("assessors: %d", places), 1),
		panel.Open)
	lead := f.Lead()
	client := &http.Client{Timeout: time.Minute, Transport: &http.Transport{MaxIdleConnsPerHost: 64,
		MaxConnsPerHost: 2 * places}}
	defer client.CloseIdleConnections()
	began := time.Now()
	var seated, full atomic.Int64
	errs := make([]error, places+tooMany)
	var all sync.WaitGroup
	for n := range errs {
		all.Go(func() {
			in, err := crowdPhone{f.Web.URL, client, n%2 == 0}.taste(join, fmt.Sprint(n%101))
			errs[n] = err
			switch {
			case in:
				seated.Add(1)
			case err == nil:
				full.Add(1)
			}
		})
	}
	for range 5 {
		lead.Get("/studies/" + string(id) + "/board")
	}
	all.Wait()
	f.Must(errors.Join(errs...))
	t.Logf("%d phones in %v", len(errs), time.Since(began))
	if seated.Load() != places || full.Load() != tooMany {
		t.Errorf("%d phones tasted and %d were told that it is full, want %d and %d", seated.Load(), full.Load(),
			places, tooMany)
	}
	f.Must(f.Svc.Close(t.Context(), servertest.ByLead, id))
	_, ratings, err := f.Svc.Ratings(t.Context(), id)
	f.Must(err)
	if want := places * 2 * 2; len(ratings) != want {
		t.Errorf("%d ratings, want %d", len(ratings), want)
	}
	salt := map[string]map[float64]bool{} // by assessor: a phone gave the same answer to both servings
	for _, r := range ratings {
		if salt[r.Assessor] == nil {
			salt[r.Assessor] = map[float64]bool{}
		}
		if r.Attribute == "salt" {
			salt[r.Assessor][r.Value] = true
		}
	}
	for assessor, values := range salt {
		if len(values) != 1 {
			t.Errorf("assessor %s has the answers %v of several phones", assessor, values)
		}
	}
}

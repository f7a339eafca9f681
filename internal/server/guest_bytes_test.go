package server_test

import (
	"io"
	"net/http"
	"path"
	"regexp"
	"testing"

	"cloche/internal/panel"
	"cloche/internal/server/servertest"
)

// What a guest's phone may load, compressed. At 2 s latency and the 50 kB/s of a dining room's
// worst corner this is what stands between a guest and the first question.
const (
	mostFirst  = 12_000 // the page that asks for consent, with all that it loads
	mostBallot = 25_000 // that, and the first serving with its scripts
)

// packedAs loads an address as a phone does, compressed; it returns the text, and the bytes that came.
func packedAs(t *testing.T, address string) (text string, size int) {
	t.Helper()
	r, err := http.NewRequestWithContext(t.Context(), http.MethodGet, address, nil)
	if err != nil {
		t.Fatal(err)
	}
	r.Header.Set("Accept-Encoding", "gzip")
	counted := &http.Transport{DisableCompression: true}
	answer, err := counted.RoundTrip(r)
	if err != nil {
		t.Fatal(err)
	}
	raw, err := io.ReadAll(answer.Body)
	if err != nil {
		t.Fatal(err)
	}
	if err := answer.Body.Close(); err != nil {
		t.Fatal(err)
	}
	counted.CloseIdleConnections()
	plain, err := http.Get(address) // the client unpacks it
	if err != nil {
		t.Fatal(err)
	}
	defer plain.Body.Close()
	all, err := io.ReadAll(plain.Body)
	if err != nil {
		t.Fatal(err)
	}
	return string(all), len(raw)
}

var (
	loads   = regexp.MustCompile(`(?:src|href)="(/assets/[^"]+)"`)
	imports = regexp.MustCompile(`from "\./([^"]+)"`)
)

// everything loads a page and all that it loads, each once; it returns the bytes.
func everything(t *testing.T, base, page string, had map[string]bool) (size int) {
	t.Helper()
	text, size := packedAs(t, base+page)
	var more []string
	for _, m := range loads.FindAllStringSubmatch(text, -1) {
		more = append(more, m[1])
	}
	for len(more) > 0 {
		address := more[0]
		more = more[1:]
		if had[address] {
			continue
		}
		had[address] = true
		text, n := packedAs(t, base+address)
		size += n
		t.Logf("%6d %s", n, address)
		for _, m := range imports.FindAllStringSubmatch(text, -1) {
			more = append(more, path.Join(path.Dir(address), m[1]))
		}
	}
	return size
}

// TestGuestsPhoneLoadsLittle: from the card on the table to the first question.
func TestGuestsPhoneLoadsLittle(t *testing.T) {
	for name, file := range map[string]string{"names": servertest.Custard, "the code first": servertest.Gated} {
		t.Run(name, func(t *testing.T) {
			f := servertest.New(t)
			id, join := f.InState(file, panel.Open)
			had := map[string]bool{}
			first := everything(t, f.Web.URL, "/join/"+string(join), had)
			token := f.Began(join, "a-guest-who-counts-bytes")
			ballot := everything(t, f.Web.URL, "/t/"+string(token), had)
			if b, err := f.Svc.Ballot(t.Context(), token); err == nil && b.Stage == panel.StagePlate {
				f.Must(f.Svc.OpenPlate(t.Context(), token, b.Gate.ID, f.Code(id, 0)))
				ballot += everything(t, f.Web.URL, "/t/"+string(token), had)
			}
			t.Logf("first load %d bytes, with the ballot %d", first, first+ballot)
			if first > mostFirst {
				t.Errorf("the first load is %d bytes, want at most %d", first, mostFirst)
			}
			if first+ballot > mostBallot {
				t.Errorf("until the first question %d bytes, want at most %d", first+ballot, mostBallot)
			}
			if len(had) < 5 {
				t.Errorf("%d files are loaded: the test counts too few", len(had))
			}
		})
	}
}

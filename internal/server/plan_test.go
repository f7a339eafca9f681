package server_test

import (
	"archive/zip"
	"bytes"
	"crypto/sha256"
	"encoding/json"
	"fmt"
	"net/http"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"cloche/internal/panel"
)

// unseeded has its seed drawn at the lock.
var unseeded = strings.Replace(custard, ", seed: 7", "", 1)

// TestThePlanIsTheBytesThatWereHashed downloads the plan in each state and makes
// its hash again: over the bytes, and over what a stranger's JSON reader and
// writer make of them (sorted keys, no spaces: RFC 8785).
func TestThePlanIsTheBytesThatWereHashed(t *testing.T) {
	f := newFixture(t)
	lead := f.lead()
	for _, state := range []panel.State{panel.Locked, panel.Open, panel.Closed} {
		id, _ := f.inState(unseeded, state)
		kept, err := f.svc.Study(t.Context(), id)
		f.must(err)
		body := []byte(lead.get("/studies/" + id + "/plan.json").body)
		if got := fmt.Sprintf("%x", sha256.Sum256(body)); got != kept.Lock.StudyHash {
			t.Errorf("%s: SHA-256 of the download is %s, fixed was %s", state, got, kept.Lock.StudyHash)
		}
		var read any
		f.must(json.Unmarshal(body, &read))
		var again bytes.Buffer
		out := json.NewEncoder(&again)
		out.SetEscapeHTML(false)
		f.must(out.Encode(read))
		if !bytes.Equal(bytes.TrimSuffix(again.Bytes(), []byte("\n")), body) {
			t.Errorf("%s: read and written again it is\n%s\nnot\n%s", state, again.Bytes(), body)
		}
		sheet, text := lead.get("/studies/"+id+"/plan").body, lead.get("/studies/"+id+"/plan.txt").body
		for _, want := range []string{kept.Lock.StudyHash, kept.Lock.PlanHash, "sha256sum plan.json", "the dessert's name makes it saltier",
			"paired t test, two-sided", "level of 0.05", "12 assessors", nameA, nameB, "I agree to taste two spoonfuls."} {
			if !strings.Contains(text, want) {
				t.Errorf("%s: plan.txt lacks %q", state, want)
			}
			if !strings.Contains(strings.ReplaceAll(sheet, "&#39;", "'"), want) {
				t.Errorf("%s: the page lacks %q", state, want)
			}
		}
	}
}

// TestAScriptMakesTheHashAgain does it in a few lines of Python.
func TestAScriptMakesTheHashAgain(t *testing.T) {
	if _, err := exec.LookPath("python3"); err != nil {
		skip(t, "needs python3")
	}
	f := newFixture(t)
	id, _ := f.inState(unseeded, panel.Locked)
	kept, err := f.svc.Study(t.Context(), id)
	f.must(err)
	file := filepath.Join(t.TempDir(), "plan.json")
	f.must(os.WriteFile(file, []byte(f.lead().get("/studies/"+id+"/plan.json").body), 0o600))
	out, err := exec.Command("python3", "-c", `
import hashlib, json, sys
plan = open(sys.argv[1], "rb").read()
form = json.dumps(json.loads(plan), sort_keys=True, separators=(",", ":"), ensure_ascii=False)
print(hashlib.sha256(plan).hexdigest(), hashlib.sha256(form.encode()).hexdigest())`, file).Output()
	f.must(err)
	if want := kept.Lock.StudyHash + " " + kept.Lock.StudyHash; strings.TrimSpace(string(out)) != want {
		t.Errorf("the script makes %s, want %s", out, want)
	}
}

// TestTheDrawnSeedStaysShut reads every byte that lead and partner can fetch of a
// study before its close. Whoever has the seed can draw the key.
func TestTheDrawnSeedStaysShut(t *testing.T) {
	f := newFixture(t)
	readers := map[string]*visitor{"lead": f.lead(), "partner": f.partner()}
	for _, state := range []panel.State{panel.Locked, panel.Open, panel.Closed} {
		id, join := f.inState(unseeded, state)
		kept, err := f.svc.Study(t.Context(), id)
		f.must(err)
		seed, seen := strconv.FormatUint(kept.Lock.Seed, 10), 0
		for who, v := range readers {
			for _, a := range accessTable {
				if a.method != "GET" || !strings.HasPrefix(a.path, "/studies") {
					continue
				}
				p := v.first("GET", fill(a.path, id, join, "none"))
				if !strings.Contains(p.all()+unpacked(t, p), seed) {
					continue
				}
				if seen++; state != panel.Closed {
					t.Errorf("%s: %s reads the seed at %s", state, who, a.path)
				}
			}
		}
		if state == panel.Closed && seen == 0 {
			t.Error("after close nobody reads the seed: this test looks for the wrong thing")
		}
	}
}

// unpacked is the text of a ZIP file; "" when p is none.
func unpacked(t *testing.T, p page) string {
	t.Helper()
	if p.header.Get("Content-Type") != "application/zip" {
		return ""
	}
	z, err := zip.NewReader(strings.NewReader(p.body), int64(len(p.body)))
	if err != nil {
		t.Fatal(err)
	}
	var all strings.Builder
	for _, x := range z.File {
		r, err := x.Open()
		if err != nil {
			t.Fatal(err)
		}
		var b bytes.Buffer
		if _, err := b.ReadFrom(r); err != nil {
			t.Fatal(err)
		}
		fmt.Fprintf(&all, "== %s\n%s\n", x.Name, b.String())
	}
	return all.String()
}

func TestThePartnerCountersigns(t *testing.T) {
	f := newFixture(t)
	id, _ := f.inState(unseeded, panel.Locked)
	lead, partner := f.lead(), f.partner()
	sheet := "/studies/" + id + "/plan"
	if lead.get(sheet).html().Find("form[action$='/countersign']").Length() != 0 {
		t.Error("the lead is offered to countersign")
	}
	form := partner.get(sheet).html().Find("form[action$='/countersign']")
	if form.Length() != 1 {
		t.Fatal("the partner is not offered to countersign")
	}
	p := partner.post(form.AttrOr("action", ""), "name", " ")
	if p.status != http.StatusUnprocessableEntity || p.html().Find(".problems a[href='#name']").Length() != 1 || p.html().Find("#name-wrong").Length() != 1 {
		t.Errorf("no name: status %d", p.status)
	}
	p = partner.post(form.AttrOr("action", ""), "name", "Renée <Öst>")
	if p.path != sheet || !strings.Contains(p.html().Text(), "Renée <Öst>, ") || p.html().Find("form[action$='/countersign']").Length() != 0 {
		t.Errorf("signed, the page at %s is %s", p.path, p.html().Find("dl").Text())
	}
	for _, path := range []string{sheet + ".txt", "/studies/" + id} {
		if !strings.Contains(strings.NewReplacer("&lt;", "<", "&gt;", ">").Replace(lead.get(path).body), "Renée <Öst>, ") {
			t.Errorf("%s does not say who signed", path)
		}
	}
	if p := lead.post("/studies/"+id+"/countersign", "name", "Somebody"); p.status != http.StatusForbidden {
		t.Errorf("the lead countersigns with status %d", p.status)
	}
}

package desk_test

import (
	"bytes"
	"crypto/sha256"
	"encoding/json"
	"fmt"
	"net/http"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"cloche/internal/panel"
	"cloche/internal/server/servertest"
)

// TestThePlanIsTheBytesThatWereHashed downloads the plan in each state and makes
// its hash again: over the bytes, and over what a stranger's JSON reader and
// writer make of them (sorted keys, no spaces: RFC 8785).
func TestThePlanIsTheBytesThatWereHashed(t *testing.T) {
	f := servertest.New(t)
	lead := f.Lead()
	for _, state := range []panel.State{panel.Locked, panel.Open, panel.Closed} {
		id, _ := f.InState(servertest.Unseeded, state)
		stored, err := f.Svc.Study(t.Context(), id)
		f.Must(err)
		body := []byte(lead.Get("/studies/" + string(id) + "/study.json").Body)
		if got := fmt.Sprintf("%x", sha256.Sum256(body)); got != stored.Lock.StudyHash {
			t.Errorf("%s: SHA-256 of the download is %s, fixed was %s", state, got, stored.Lock.StudyHash)
		}
		var read any
		f.Must(json.Unmarshal(body, &read))
		var again bytes.Buffer
		out := json.NewEncoder(&again)
		out.SetEscapeHTML(false)
		f.Must(out.Encode(read))
		if !bytes.Equal(bytes.TrimSuffix(again.Bytes(), []byte("\n")), body) {
			t.Errorf("%s: read and written again it is\n%s\nnot\n%s", state, again.Bytes(), body)
		}
		sheet, text := lead.Get("/studies/"+string(id)+"/plan").Body, lead.Get("/studies/"+string(id)+"/plan.txt").Body
		for _, want := range []string{stored.Lock.StudyHash, stored.Lock.PlanHash, "that of study.json",
			"serving-plan.txt in the data package", "the dessert's name makes it saltier",
			"paired t test, two-sided", "level of 0.05", "12 assessors", servertest.NameA, servertest.NameB, "I " +
				"agree to taste two spoonfuls."} {
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
		servertest.Skip(t, "needs python3")
	}
	f := servertest.New(t)
	id, _ := f.InState(servertest.Unseeded, panel.Locked)
	stored, err := f.Svc.Study(t.Context(), id)
	f.Must(err)
	file := filepath.Join(t.TempDir(), "study.json")
	f.Must(os.WriteFile(file, []byte(f.Lead().Get("/studies/"+string(id)+"/study.json").Body), 0o600))
	out, err := exec.Command("python3", "-c", `
import hashlib, json, sys
plan = open(sys.argv[1], "rb").read()
form = json.dumps(json.loads(plan), sort_keys=True, separators=(",", ":"), ensure_ascii=False)
print(hashlib.sha256(plan).hexdigest(), hashlib.sha256(form.encode()).hexdigest())`, file).Output()
	f.Must(err)
	if want := stored.Lock.StudyHash + " " + stored.Lock.StudyHash; strings.TrimSpace(string(out)) != want {
		t.Errorf("the script makes %s, want %s", out, want)
	}
}

func TestThePartnerCountersigns(t *testing.T) {
	f := servertest.New(t)
	id, _ := f.InState(servertest.Unseeded, panel.Locked)
	lead, partner := f.Lead(), f.Partner()
	sheet := "/studies/" + string(id) + "/plan"
	if lead.Get(sheet).HTML().Find("form[action$='/countersign']").Length() != 0 {
		t.Error("the lead is offered to countersign")
	}
	form := partner.Get(sheet).HTML().Find("form[action$='/countersign']")
	if form.Length() != 1 {
		t.Fatal("the partner is not offered to countersign")
	}
	p := partner.Post(form.AttrOr("action", ""), "name", " ")
	if p.Status != http.StatusUnprocessableEntity || p.HTML().Find(".problems a[href='#name']").Length() != 1 ||
		p.HTML().Find("#name-wrong").Length() != 1 {
		t.Errorf("no name: status %d", p.Status)
	}
	p = partner.Post(form.AttrOr("action", ""), "name", "Renée <Öst>")
	if p.Path != sheet || !strings.Contains(p.HTML().Text(), "Renée <Öst>, ") ||
		p.HTML().Find("form[action$='/countersign']").Length() != 0 {
		t.Errorf("signed, the page at %s is %s", p.Path, p.HTML().Find("dl").Text())
	}
	for _, path := range []string{sheet + ".txt", "/studies/" + string(id)} {
		if !strings.Contains(strings.NewReplacer("&lt;", "<", "&gt;", ">").Replace(lead.Get(path).Body),
			"Renée <Öst>, ") {
			t.Errorf("%s does not say who signed", path)
		}
	}
	if p := lead.Post("/studies/"+string(id)+"/countersign", "name", "Somebody"); p.Status != http.StatusForbidden {
		t.Errorf("the lead countersigns with status %d", p.Status)
	}
}

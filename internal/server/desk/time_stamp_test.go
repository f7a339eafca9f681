package desk_test

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"net/http"
	"strings"
	"testing"
	"time"

	"cloche/internal/panel"
	"cloche/internal/server/servertest"
	"cloche/internal/stamp"
	"cloche/internal/stamp/stamptest"
)

// TestThePlanIsStamped walks the whole way: request, answers that are none, the answer; what the
// page, the report and the packages then say.
func TestThePlanIsStamped(t *testing.T) {
	f := servertest.New(t)
	id, _ := f.InState(servertest.Unseeded, panel.Locked)
	lead, partner := f.Lead(), f.Partner()
	at := "/studies/" + string(id)
	if p := partner.Get(at + "/plan"); p.HTML().Find("#time-stamp").Length() != 0 {
		t.Error("the partner is offered a request that is the lead's to make")
	}
	form := lead.Get(at + "/plan").HTML().Find("form[action$='/time-stamp']")
	if p := lead.Post(form.AttrOr("action", "")); p.Path != at+"/plan" {
		t.Fatalf("asked, the lead is at %s, status %d", p.Path, p.Status)
	}
	asked := lead.Get(at + "/time-stamp.tsq").Body
	if again := partner.Get(at + "/time-stamp.tsq").Body; again != asked {
		t.Error("lead and partner get different requests")
	}
	stored, err := f.Svc.Study(t.Context(), id)
	f.Must(err)
	now := stored.Lock.At
	authority := stamptest.New(t, now, nil)
	send := func(answer string) servertest.Page {
		return lead.Send(at+"/time-stamp/answer", "stamp.tsr", answer)
	}
	for _, tc := range []struct{ name, answer, want string }{
		{"nothing", "", "This is no answer to a time stamp request. Choose the file that the authority sent back"},
		{"the request", asked, "This is the request file"},
		{"too long", strings.Repeat("x", stamp.MaxAnswer+1), "The file is larger than any answer, 64 KiB"},
		{"stamped before the lock", string(authority.Answer([]byte(asked), now.AddDate(0, 0, -1), nil)),
			"one of the two clocks is wrong. Compare this machine’s clock"},
		{"stamped tomorrow", string(authority.Answer([]byte(asked), now.AddDate(0, 0, 1), nil)),
			"one of the two clocks is wrong. Set this machine’s clock"},
	} {
		p := send(tc.answer)
		wrong := p.HTML().Find("#file-wrong").Text()
		if p.Status != http.StatusUnprocessableEntity || !strings.Contains(wrong, tc.want) ||
			p.HTML().Find(".problems a[href='#file']").Length() != 1 {
			t.Errorf("%s: status %d, “%s”", tc.name, p.Status, wrong)
		}
	}
	answer := string(authority.Answer([]byte(asked), now, nil))
	if p := send(answer); p.Path != at+"/plan" || p.HTML().Find("form[action*='time-stamp']").Length() != 0 {
		t.Fatalf("the answer leads to %s, status %d", p.Path, p.Status)
	}
	if p := send(answer); p.Status != http.StatusConflict {
		t.Errorf("a second answer has status %d", p.Status)
	}
	sum := sha256.Sum256(authority.Cert.Raw)
	says := []string{"before the first sitting was opened", stamptest.Name, "Invented Root", hex.EncodeToString(sum[:]),
		"for the reader to judge"}
	holds := func(where, text string) {
		t.Helper()
		for _, want := range says {
			if !strings.Contains(text, want) {
				t.Errorf("%s lacks %q", where, want)
			}
		}
	}
	holds("the plan", partner.Get(at+"/plan").HTML().Text())
	holds("plan.txt", partner.Get(at+"/plan.txt").Body)
	files := func(when string) map[string]string {
		t.Helper()
		packed := lead.Get(at + "/data.zip").Files()
		sums := packed["locked.sha256"]
		if packed["time-stamp.tsq"] != asked || packed["time-stamp.tsr"] != answer ||
			sums != partner.Get(at+"/locked.sha256").Body {
			t.Errorf("%s, the package holds %d files without those of the stamp", when, len(packed))
		}
		want := fmt.Sprintf("%x  study.json\n", sha256.Sum256([]byte(packed["study.json"])))
		if !strings.Contains(sums, want) {
			t.Errorf("what was stamped is %s", sums)
		}
		return packed
	}
	files("locked")
	logged := ""
	for _, e := range f.Events(id) {
		logged += e.What + ": " + e.Detail + "\n"
	}
	if !strings.Contains(logged, "time stamp requested: ") || !strings.Contains(logged, "time stamped: ") {
		t.Errorf("the log says\n%s", logged)
	}
	f.Clock.Pass(time.Hour)
	sitting, err := f.Svc.OpenSitting(t.Context(), servertest.ByLead, id)
	f.Must(err)
	for i := range 3 {
		f.Tasted(sitting.Join, fmt.Sprintf("nonce-of-a-guest-%d", i), "20", []string{"70", "40", "60"}[i])
	}
	f.Must(f.Svc.Close(t.Context(), servertest.ByLead, id))
	packed := files("closed")
	holds("report.html", packed["report.html"])
	for _, want := range append(says[1:4], `"before_opening": true`) {
		if !strings.Contains(packed["findings.json"], want) {
			t.Errorf("findings.json lacks %s", want)
		}
	}
}

package desk_test

import (
	"net/http"
	"strings"
	"testing"

	"cloche/internal/panel"
	"cloche/internal/server"
	"cloche/internal/server/servertest"
)

func TestUploadWithMistakesKeepsWhatWasTyped(t *testing.T) {
	const wrong = "cloche: 1\ntitel: Salt & <b>sugar</b>\n\n# a remark of mine\n"
	f := servertest.New(t)
	lead := f.Lead()
	for _, tc := range []struct{ name, file string }{{"typed", ""}, {"as a file", "my study.yaml"}} {
		t.Run(tc.name, func(t *testing.T) {
			lead.T = t
			p := lead.Upload(tc.file, wrong)
			doc := p.HTML()
			if p.Status != http.StatusUnprocessableEntity {
				t.Errorf("status %d, want 422", p.Status)
			}
			if got := doc.Find("textarea").Text(); got != wrong {
				t.Errorf("the text comes back as %q, want %q", got, wrong)
			}
			list := doc.Find(".mistakes").Text()
			for _, want := range []string{"Line 2, column 1", "titel: Salt & <b>sugar</b>", "title"} {
				if !strings.Contains(list, want) {
					t.Errorf("the list of mistakes lacks %q: %s", want, list)
				}
			}
		})
	}
	studies, err := f.Svc.Studies(t.Context())
	f.Must(err)
	if len(studies) != 0 {
		t.Errorf("%d studies were kept, want none", len(studies))
	}
}

func TestUploadOfWhatIsNoStudyFile(t *testing.T) {
	f := servertest.New(t)
	lead := f.Lead()
	for _, tc := range []struct {
		name, content string
		status        int
		says          string
	}{
		{"nothing", "", http.StatusUnprocessableEntity, "fixing"},
		{"a picture", "\x89PNG\r\n\x1a\n\xff\xfe\x00", http.StatusUnprocessableEntity, "UTF-8"},
		{"a text of an office program", "PK\x03\x04\x14\x00\x06\x00\xff", http.StatusUnprocessableEntity,
			"a Word or Excel file"},
		{"too large", strings.Repeat("# very long\n", 30_000), http.StatusRequestEntityTooLarge, "256 KiB"},
		{"far too large", strings.Repeat("# very long\n", 300_000), http.StatusRequestEntityTooLarge, "256 KiB"},
		{"only a script", "<script>alert(1)</script>", http.StatusUnprocessableEntity, "fixing"},
	} {
		t.Run(tc.name, func(t *testing.T) {
			lead.T = t
			p := lead.Upload("x.yaml", tc.content)
			if p.Status != tc.status || !strings.Contains(p.HTML().Find("main").Text(), tc.says) {
				t.Errorf("status %d, want %d and %q in: %s", p.Status, tc.status, tc.says, p.HTML().Find("main").Text())
			}
		})
	}
}

func TestUploadTypedTextKeepsItsLines(t *testing.T) {
	f := servertest.New(t)
	p := f.Lead().Upload("", strings.ReplaceAll(servertest.Custard, "\n", "\r\n")) // as browsers send it
	id := strings.TrimPrefix(p.Path, "/studies/")
	stored, err := f.Svc.Study(t.Context(), panel.StudyID(id))
	f.Must(err)
	if stored.File != servertest.Custard {
		t.Errorf("kept\n%q, want\n%q", stored.File, servertest.Custard)
	}
	if got := f.Lead().Get("/studies/" + id + "/edit/text").HTML().Find("textarea").Text(); got != servertest.Custard {
		t.Errorf("the page of the file holds %q", got)
	}
}

// TestUploadKeepsAFileWithMistakesWhenAsked: the file becomes a draft as it is.
func TestUploadKeepsAFileWithMistakesWhenAsked(t *testing.T) {
	const wrong = "cloche: 1\ntitel: Salt & sugar\n\n# a remark of mine\n"
	f := servertest.New(t)
	lead := f.Lead()
	if keep := lead.Upload("", wrong).HTML().Find("button[name=keep]").Length(); keep != 1 {
		t.Fatalf("%d buttons to keep it, want 1", keep)
	}
	p := lead.Post("/studies/upload", "text", strings.ReplaceAll(wrong, "\n", "\r\n"), "keep", "yes")
	stored, err := f.Svc.Study(t.Context(), panel.StudyID(strings.TrimPrefix(p.Path, "/studies/")))
	f.Must(err)
	if stored.File != wrong || len(stored.Problems) == 0 {
		t.Errorf("kept %q with %d problems", stored.File, len(stored.Problems))
	}
}

// TestDraftSaysWhatItWillDo: source of the temperatures, SI 2013/2996 Schedule 4
// (UK) and FDA Food Code 3-501.16 (USA).
func TestDraftSaysWhatItWillDo(t *testing.T) {
	f := servertest.New(t)
	id := f.Uploaded(servertest.Custard)
	text := strings.Join(strings.Fields(f.Lead().Get("/studies/"+string(id)).HTML().Find("main").Text()), " ")
	for _, want := range []string{
		"12 assessors", "both samples", "60 g", "55 °C",
		"eggs, milk (including lactose), celery (including celeriac), nutmeg",
		"63 °C or above", "8 °C or below", "57 °C and 5 °C", "Local rules come first",
		"“celeriac crème brûlée” (sample canarysampleA) minus “celeriac royale” (sample canarysampleB)",
		"paired t test, two-sided", "level of 0.05; intervals at 95 %", "acting on: 5 on a scale from 0 to 100",
		"Holm’s method",
		"nine answers, from “dislike extremely” (1) to “like extremely” (9)", "Continue with",
	} {
		if !strings.Contains(text, want) {
			t.Errorf("the draft lacks %q in:\n%s", want, text)
		}
	}
	if portions := f.Lead().Get("/studies/" +
		string(id)).HTML().Find("td[data-label=Portions]").Text(); portions != "24" {
		t.Errorf("%s portions, want 24: 12 assessors of 2 servings each", portions)
	}
}

func TestCautionsFollowTheDish(t *testing.T) {
	for _, tc := range []struct{ name, from, to, says, not string }{
		{"hot", "55 °C", "70 °C", "Hold hot, and log", "Served between"},
		{"cold", "55 °C", "6 °C", "Keep cold until", "Served between"},
		{"between", "55 °C", "20 °C", "Served between the two limits", "Hold hot, and log"},
		{"alcohol", "also contains: [nutmeg]", "alcohol: true", "let nobody drive", ""},
		{"alcohol added up", "also contains: [nutmeg]", "alcohol: true", "× 0.008 are the grams of alcohol", ""},
		{"raw food", "55 °C", "70 °C", "has to be frozen or heated first", "let nobody drive"},
		{"palates", "55 °C", "70 °C", "four to six servings at a sitting", ""},
		{"no allergens", "[milk, eggs, celery], also contains: [nutmeg]", "[]", "names none of the 14", ""},
	} {
		t.Run(tc.name, func(t *testing.T) {
			f := servertest.New(t)
			sound := strings.Replace(servertest.Custard, "{assessors: 12}", "{assessors: 12, minimum age: 18}", 1)
			id := f.Uploaded(strings.Replace(sound, tc.from, tc.to, 1))
			text := f.Lead().Get("/studies/" + string(id)).HTML().Find(".caution").Text()
			if !strings.Contains(text, tc.says) || tc.not != "" && strings.Contains(text, tc.not) {
				t.Errorf("cautions %q, want %q and not %q", text, tc.says, tc.not)
			}
		})
	}
}

func TestStudyThatCannotBeRunSaysWhy(t *testing.T) {
	f := servertest.New(t)
	id := f.Uploaded(strings.NewReplacer("rinse: 0 s", "rinse: 0 s, design: one, codes: sample, "+
		"strata: [{id: guest, levels: [regular, new]}]", "test: paired-t", "test: welch-t").Replace(servertest.Custard))
	lead := f.Lead()
	p := lead.Get("/studies/" + string(id) + "/edit/lock")
	if p.HTML().Find("form[action$=lock]").Length() != 0 ||
		!strings.Contains(p.HTML().Find(".problems").Text(), "codes: serving") {
		t.Errorf("the draft offers to lock a study that cannot be run: %s", p.HTML().Find(".problems").Text())
	}
	lead.Post("/studies/"+string(id)+"/lock", "revision", "1")
	stored, err := f.Svc.Study(t.Context(), id)
	f.Must(err)
	if stored.State != panel.Draft {
		t.Errorf("the study is %s, want draft", stored.State)
	}
}

func TestInventedDataIsCalledInvented(t *testing.T) {
	const words = "This data is invented."
	for _, tc := range []struct {
		name      string
		demo      bool
		file      string
		home, own bool // says so on the front page, on the study's pages
	}{
		{"a demo", true, servertest.Custard, true, true},
		{"an invented study", false, servertest.Custard, false, true},
		{"a real study", false, strings.Replace(servertest.Custard, "invented: true\n", "", 1), false, false},
	} {
		t.Run(tc.name, func(t *testing.T) {
			f := servertest.NewWith(t, server.Options{Invented: tc.demo})
			id, join := f.InState(tc.file, panel.Open)
			lead := f.Lead()
			guest := f.Visitor()
			ballot := guest.Post("/join/"+string(join)+"/consent", "nonce", "nonce-of-a-guest-9")
			for path, p := range map[string]servertest.Page{
				"front page": guest.Get("/"), "consent": f.Visitor().Get("/join/" + string(join)), "ballot": ballot,
				"study": lead.Get("/studies/" + string(id)),
				"card":  lead.Get("/studies/" + string(id) + "/sittings/1/card"),
				"log":   lead.Get("/studies/" + string(id) + "/log"),
			} {
				want := tc.own
				if path == "front page" {
					want = tc.home
				}
				if got := strings.Contains(p.HTML().Find(".invented").Text(), words); got != want {
					t.Errorf("%s says that the data is invented: %v, want %v", path, got, want)
				}
			}
		})
	}
}

package server_test

import (
	"bytes"
	"mime/multipart"
	"net/http"
	"strings"
	"testing"

	"cloche/internal/panel"
	"cloche/internal/server"
	"cloche/internal/server/servertest"
)

// TestWhoSeesThePhotos asks for a photo at both its addresses as everybody.
func TestWhoSeesThePhotos(t *testing.T) {
	f := servertest.New(t)
	id, join := f.InState(servertest.Custard, panel.Open)
	elsewhere, _ := f.InState(strings.Replace(servertest.Custard, "seed: 7", "seed: 8", 1), panel.Open)
	guest := f.Visitor()
	guest.Post("/join/"+string(join)+"/consent", "nonce", "a-guest-who-is-curious")
	people := map[string]*servertest.Visitor{"lead": f.Lead(), "partner": f.Partner(),
		"kitchen": f.Staff(id, panel.RoleKitchen),
		"floor":   f.Staff(id, panel.RoleFloor), "assessor": guest, "stranger": f.Visitor()}
	check := func(state string, kitchens ...string) {
		t.Helper()
		for name, v := range people {
			for path, may := range map[string][]string{"/studies/" + string(id) + "/photos/" +
				servertest.CanaryDish: {"lead", "partner"}, "/kitchen/photos/" + servertest.CanaryDish: kitchens} {
				p, sees := v.First("GET", path), false
				for _, who := range may {
					sees = sees || who == name
				}
				if got := p.Status == http.StatusOK && strings.HasPrefix(p.Body, servertest.JpegMark); got != sees ||
					!got && strings.Contains(p.Body, servertest.JpegMark) {
					t.Errorf("%s, %s: %s gets status %d", state, path, name, p.Status)
				}
			}
		}
	}
	check("open", "kitchen")
	if !strings.Contains(people["kitchen"].Get("/kitchen").Body, "/kitchen/photos/"+servertest.CanaryDish) {
		t.Error("the kitchen's page does not lead to the photo")
	}
	other := f.Staff(elsewhere, panel.RoleKitchen)
	if p := other.First("GET", "/studies/"+string(id)+"/photos/"+servertest.CanaryDish); strings.Contains(p.Body,
		servertest.JpegMark) {
		t.Error("another kitchen gets it")
	}
	f.Must(f.Svc.Close(t.Context(), servertest.ByLead, id))
	check("closed")
}

// TestPhotoThatIsNotTaken: what is wrong with a picture stands in the summary and
// beside its field, and one far too large is answered at all.
func TestPhotoThatIsNotTaken(t *testing.T) {
	f := servertest.New(t)
	lead := f.Lead()
	id, _ := f.Drafted(servertest.Custard)
	send := func(id panel.StudyID, picture []byte) servertest.Page {
		var b bytes.Buffer
		form := multipart.NewWriter(&b)
		part, err := form.CreateFormFile("photo", "a.jpg")
		f.Must(err)
		_, err = part.Write(picture)
		f.Must(err)
		f.Must(form.Close())
		return lead.Do(http.MethodPost, "/studies/"+string(id)+"/photos/"+servertest.CanaryDish,
			form.FormDataContentType(), &b)
	}
	doc := send(id, []byte("no picture")).HTML()
	link, beside := doc.Find(".problems a[href='#photo-"+servertest.CanaryDish+"']").Text(),
		doc.Find("#photo-"+servertest.CanaryDish+"-wrong").Text()
	if beside == "" || !strings.HasSuffix(link, beside) ||
		doc.Find("#photo-"+servertest.CanaryDish).AttrOr("aria-invalid", "") != "true" {
		t.Errorf("the summary says %q, the field %q", link, beside)
	}
	if p := send(id, make([]byte, 3*panel.MaxPhoto)); p.Status != http.StatusRequestEntityTooLarge ||
		!strings.Contains(p.Body, "a photo 12 MiB") {
		t.Errorf("a picture three times too large: status %d", p.Status)
	}
	// One whose text was broken in another window meanwhile.
	unread, _ := f.Drafted("cloche: 1\ntitle: [")
	if p := send(unread, []byte("no picture")); p.Status != http.StatusOK || !strings.HasSuffix(p.Path, "/edit/text") {
		t.Errorf("a draft that cannot be read: status %d at %s", p.Status, p.Path)
	}
}

// TestADraftThatCannotBeReadBreaksNoPage asks for every page of a draft whose text was broken, as in
// another window, and sends every form of it.
func TestADraftThatCannotBeReadBreaksNoPage(t *testing.T) {
	f := servertest.New(t)
	lead, asked := f.Lead(), 0
	for _, r := range server.Routes() {
		if !strings.HasPrefix(r.Path, "/studies/:id") {
			continue
		}
		for _, step := range []string{"dishes", "size", "lock", "see", "question", "check"} {
			id, _ := f.Drafted("cloche: 1\ntitle: [")
			path := strings.NewReplacer(":id", string(id), ":step", step, ":dish", "none", ":number", "1", ":file",
				"none.svg", ":role", "floor", ":token", "none", ":what", "spilt").Replace(r.Path)
			if p := lead.Do(r.Method, path, "application/x-www-form-urlencoded",
				strings.NewReader("revision=1&do=next&confirm=yes")); p.Status >= http.StatusInternalServerError {
				t.Errorf("%s %s: status %d", r.Method, r.Path, p.Status)
			}
			if asked++; !strings.Contains(r.Path, ":step") {
				break
			}
		}
	}
	if asked < 40 {
		t.Errorf("%d pages and forms were asked for", asked)
	}
}

package server_test

import (
	"bytes"
	"image"
	"image/jpeg"
	"mime/multipart"
	"net/http"
	"strings"
	"testing"

	"cloche/internal/panel"
)

// jpegMark is how every JPEG begins.
const jpegMark = "\xff\xd8\xff"

// photograph is a small picture.
func photograph(t testing.TB) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := jpeg.Encode(&b, image.NewGray(image.Rect(0, 0, 40, 30)), nil); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// TestWhoSeesThePhotos asks for a photo at both its addresses as everybody.
func TestWhoSeesThePhotos(t *testing.T) {
	f := newFixture(t)
	id, join := f.inState(custard, panel.Open)
	elsewhere, _ := f.inState(strings.Replace(custard, "seed: 7", "seed: 8", 1), panel.Open)
	guest := f.visitor()
	guest.post("/join/"+join+"/consent", "nonce", "a-guest-who-is-curious")
	people := map[string]*visitor{"lead": f.lead(), "partner": f.partner(), "kitchen": f.staff(id, panel.RoleKitchen),
		"floor": f.staff(id, panel.RoleFloor), "assessor": guest, "stranger": f.visitor()}
	check := func(state string, kitchens ...string) {
		t.Helper()
		for name, v := range people {
			for path, may := range map[string][]string{"/studies/" + id + "/photos/" + canaryDish: {"lead", "partner"}, "/kitchen/photos/" + canaryDish: kitchens} {
				p, sees := v.first("GET", path), false
				for _, who := range may {
					sees = sees || who == name
				}
				if got := p.status == http.StatusOK && strings.HasPrefix(p.body, jpegMark); got != sees || !got && strings.Contains(p.body, jpegMark) {
					t.Errorf("%s, %s: %s gets status %d", state, path, name, p.status)
				}
			}
		}
	}
	check("open", "kitchen")
	if !strings.Contains(people["kitchen"].get("/kitchen").body, "/kitchen/photos/"+canaryDish) {
		t.Error("the kitchen's page does not lead to the photo")
	}
	other := f.staff(elsewhere, panel.RoleKitchen)
	if p := other.first("GET", "/studies/"+id+"/photos/"+canaryDish); strings.Contains(p.body, jpegMark) {
		t.Error("another kitchen gets it")
	}
	f.must(f.svc.Close(t.Context(), id))
	check("closed")
}

// TestPhotoThatIsNotTaken: what is wrong with a picture stands in the summary and
// beside its field, and one far too large is answered at all.
func TestPhotoThatIsNotTaken(t *testing.T) {
	f := newFixture(t)
	lead := f.lead()
	id, _ := f.drafted(custard)
	send := func(picture []byte) page {
		var b bytes.Buffer
		form := multipart.NewWriter(&b)
		part, err := form.CreateFormFile("photo", "a.jpg")
		f.must(err)
		_, err = part.Write(picture)
		f.must(err)
		f.must(form.Close())
		return lead.do(http.MethodPost, "/studies/"+id+"/photos/"+canaryDish, form.FormDataContentType(), &b)
	}
	doc := send([]byte("no picture")).html()
	link, beside := doc.Find(".problems a[href='#photo-"+canaryDish+"']").Text(), doc.Find("#photo-"+canaryDish+"-wrong").Text()
	if beside == "" || !strings.HasSuffix(link, beside) || doc.Find("#photo-"+canaryDish).AttrOr("aria-invalid", "") != "true" {
		t.Errorf("the summary says %q, the field %q", link, beside)
	}
	if p := send(make([]byte, 3*panel.MaxPhoto)); p.status != http.StatusRequestEntityTooLarge || !strings.Contains(p.body, "a photo 12 MiB") {
		t.Errorf("a picture three times too large: status %d", p.status)
	}
}

package panel_test

import (
	"bytes"
	"encoding/binary"
	"hash/crc32"
	"image"
	"image/color"
	"image/jpeg"
	"image/png"
	"strings"
	"testing"

	"cloche/internal/panel"
)

// painted is a picture whose left half is red and whose top right quarter is blue.
func painted(w, h int) image.Image {
	p := image.NewRGBA(image.Rect(0, 0, w, h))
	for y := range h {
		for x := range w {
			c := color.RGBA{A: 255}
			switch {
			case x < w/2:
				c.R = 250
			case y < h/2:
				c.B = 250
			}
			p.SetRGBA(x, y, c)
		}
	}
	return p
}

func asJPEG(t *testing.T, p image.Image) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := jpeg.Encode(&b, p, &jpeg.Options{Quality: 95}); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

func asPNG(t *testing.T, p image.Image) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := png.Encode(&b, p); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// held puts an Exif block into a JPEG that says how the camera was held, and where.
func held(file []byte, orientation byte) []byte {
	block := append([]byte("Exif\x00\x00MM\x00\x2a\x00\x00\x00\x08\x00\x01\x01\x12\x00\x03\x00\x00\x00\x01\x00"),
		orientation)
	block = append(block, "\x00\x00\x00\x00\x00\x00 GPS 52.5 N 13.4 E"...)
	out := append([]byte{0xff, 0xd8, 0xff, 0xe1}, binary.BigEndian.AppendUint16(nil, uint16(len(block)+2))...)
	return append(append(out, block...), file[2:]...)
}

// claims is a small PNG that claims to be a huge picture.
func claims(w, h uint32) []byte {
	head := append([]byte("IHDR"), binary.BigEndian.AppendUint32(binary.BigEndian.AppendUint32(nil, w), h)...)
	head = append(head, 8, 2, 0, 0, 0)
	file := append([]byte("\x89PNG\r\n\x1a\n"), 0, 0, 0, 13)
	return binary.BigEndian.AppendUint32(append(file, head...), crc32.ChecksumIEEE(head))
}

func TestAPhotoIsKeptSmallAndBare(t *testing.T) {
	n := desk(t)
	ctx := t.Context()
	s := n.begin(custard)
	tests := []struct {
		name        string
		file        []byte
		w, h        int
		bottomRight string // colours of three corners
		topRight    string
		topLeft     string
	}{
		{"small", asJPEG(t, painted(60, 40)), 60, 40, "black", "blue", "red"},
		{"wide", asPNG(t, painted(2400, 600)), panel.PhotoSide, 300, "black", "blue", "red"},
		{"high", asPNG(t, painted(300, 3000)), 120, panel.PhotoSide, "black", "blue", "red"},
		{"one pixel high", asPNG(t, painted(2400, 1)), panel.PhotoSide, 1, "black", "black", "red"},
		{"held upside down", held(asJPEG(t, painted(60, 40)), 3), 60, 40, "red", "red", "black"},
		{"held on its side", held(asJPEG(t, painted(60, 40)), 6), 40, 60, "blue", "red", "red"},
		{"held on its other side", held(asJPEG(t, painted(60, 40)), 8), 40, 60, "red", "black", "blue"},
	}
	for _, tc := range tests {
		t.Run(tc.name, func(t *testing.T) {
			n.must(n.svc.SetPhoto(ctx, byLead, s.ID, "canarydish", tc.file))
			kept := of[[]byte](n)(n.svc.Photo(ctx, n.lead, s.ID, "canarydish"))
			p, err := jpeg.Decode(bytes.NewReader(kept))
			if err != nil {
				t.Fatal(err)
			}
			if b := p.Bounds(); b.Dx() != tc.w || b.Dy() != tc.h {
				t.Errorf("kept as %v, want %d × %d", b, tc.w, tc.h)
			}
			corners := []string{colourOf(p.At(tc.w-1, tc.h-1)), colourOf(p.At(tc.w-1, 0)), colourOf(p.At(0, 0))}
			if strings.Join(corners, " ") != tc.bottomRight+" "+tc.topRight+" "+tc.topLeft {
				t.Errorf("bottom right, top right, top left are %v", corners)
			}
			if bytes.Contains(kept, []byte("Exif")) || bytes.Contains(kept, []byte("GPS")) {
				t.Error("what the camera noted is kept")
			}
		})
	}
}

func colourOf(c color.Color) string {
	r, g, b, _ := c.RGBA()
	switch {
	case r > 0x9000 && g < 0x5000 && b < 0x5000:
		return "red"
	case b > 0x9000 && g < 0x5000 && r < 0x5000:
		return "blue"
	case r+g+b < 0x9000:
		return "black"
	}
	return "other"
}

func TestWhatIsNoPhotoIsRefused(t *testing.T) {
	n := desk(t)
	ctx := t.Context()
	s := n.begin(custard)
	whole := asJPEG(t, painted(60, 40))
	for name, file := range map[string][]byte{
		"nothing": nil, "text": []byte("a dish"), "a web page": []byte("<svg onload=alert(1)>"),
		"half a picture": whole[:len(whole)/2], "a file of many bytes": make([]byte, panel.MaxPhoto+1),
		"many pixels": claims(50_000, 50_000), "a line of pixels": claims(1<<31-1, 1), "no pixels": claims(0, 5),
	} {
		n.wantError(name, n.svc.SetPhoto(ctx, byLead, s.ID, "canarydish", file), panel.ErrBadValue)
	}
	n.wantError("no such dish", n.svc.SetPhoto(ctx, byLead, s.ID, "soup", whole), panel.ErrBadValue)
	n.wantError("no photo was kept", last(n.svc.Photo(ctx, n.lead, s.ID, "canarydish")), panel.ErrNotFound)
	n.must(n.svc.Lock(ctx, byLead, s.ID, 1))
	n.wantError("after the lock", n.svc.SetPhoto(ctx, byLead, s.ID, "canarydish", whole), panel.ErrWrongState)
}

// TestAPhotoIsSeenByThoseWhoKnowTheDish walks a study through its states.
func TestAPhotoIsSeenByThoseWhoKnowTheDish(t *testing.T) {
	n := desk(t)
	ctx := t.Context()
	s := n.begin(custard)
	n.must(n.svc.SetPhoto(ctx, byLead, s.ID, "canarydish", asJPEG(t, painted(60, 40))))
	copied := of[panel.Study](n)(n.svc.Copy(ctx, byLead, s.ID))
	of[[]byte](n)(n.svc.Photo(ctx, n.lead, copied.ID, "canarydish"))
	look := func(state string, roles string) {
		t.Helper()
		for role := panel.RoleNobody; role <= panel.RoleTablet; role++ {
			want := panel.ErrRefused
			if contains(roles, role.String()) {
				want = nil
			}
			n.wantError(state+", "+role.String(), last(n.svc.Photo(ctx, panel.Session{Role: role, StudyID: s.ID}, s.ID,
				"canarydish")), want)
		}
		other := panel.Session{Role: panel.RoleKitchen, StudyID: copied.ID}
		n.wantError(state+", kitchen of another study", last(n.svc.Photo(ctx, other, s.ID, "canarydish")),
			panel.ErrRefused)
	}
	look("draft", "lead partner monitor")
	n.must(n.svc.Lock(ctx, byLead, s.ID, 1))
	look("locked", "lead partner monitor")
	of[panel.Sitting](n)(n.svc.OpenSitting(ctx, byLead, s.ID))
	look("open", "lead partner monitor kitchen")
	amended := of[panel.Study](n)(n.svc.Amend(ctx, byLead, s.ID, "a reason"))
	of[[]byte](n)(n.svc.Photo(ctx, n.lead, amended.ID, "canarydish"))
	n.must(n.svc.Close(ctx, byLead, s.ID))
	look("closed", "lead partner monitor")
	n.must(n.svc.RemovePhoto(ctx, byLead, copied.ID, "canarydish"))
	n.wantError("removed", last(n.svc.Photo(ctx, n.lead, copied.ID, "canarydish")), panel.ErrNotFound)
}

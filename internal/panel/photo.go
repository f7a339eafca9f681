package panel

import (
	"bytes"
	"context"
	"encoding/binary"
	"fmt"
	"image"
	"image/color"
	"image/jpeg"
	_ "image/png" // photos come as JPEG or PNG

	"cloche/internal/study"
)

// Bounds of photos.
const (
	// MaxPhoto is the largest file that is taken, in bytes.
	MaxPhoto = 12 << 20
	// PhotoSide is the longest side of a photo as it is kept, in pixels.
	PhotoSide = 1200
	// maxUnpacked bounds what a file may unpack to, in bytes: a small file can be a
	// picture that fills the memory. It holds a photo of 50 million pixels as phones
	// take it, and a progressive JPEG of 11.
	maxUnpacked  = 160 << 20
	photoQuality = 82
)

// SetPhoto keeps the photo of a dish of a draft: a JPEG or PNG, which is made
// smaller and written anew as JPEG, so that nothing but the picture is kept (no
// place, no camera). [ErrBadValue] when it is no such picture, or too large, or
// the draft has no such dish.
func (s *Service) SetPhoto(ctx context.Context, by Session, studyID StudyID, dish study.DishID, file []byte) error {
	if err := by.may(ActEdit); err != nil {
		return err
	}
	stored, err := s.Study(ctx, studyID)
	if err != nil {
		return err
	}
	if _, ok := stored.Spec.Dish(dish); !ok {
		return fmt.Errorf("%w: no such dish", ErrBadValue)
	}
	small, err := s.unpack(ctx, file)
	if err != nil {
		return err
	}
	if err := s.store.SetPhoto(ctx, studyID, Photo{Dish: dish, JPEG: small}); err != nil {
		return fmt.Errorf("keep a photo: %w", err)
	}
	return nil
}

// RemovePhoto removes the photo of a dish of a draft.
func (s *Service) RemovePhoto(ctx context.Context, by Session, studyID StudyID, dish study.DishID) error {
	if err := by.may(ActEdit); err != nil {
		return err
	}
	if err := s.store.SetPhoto(ctx, studyID, Photo{Dish: dish}); err != nil {
		return fmt.Errorf("remove a photo: %w", err)
	}
	return nil
}

// Photo returns the photo of a dish as JPEG. A photo shows the dish behind a
// code: lead and partner see it, as they know what is asked; the kitchen while
// it plates; nobody else ([ErrRefused]).
func (s *Service) Photo(ctx context.Context, by Session, studyID StudyID, dish study.DishID) ([]byte, error) {
	stored, err := s.store.Study(ctx, studyID)
	if err != nil {
		return nil, err
	}
	if !seesPhotos(by, stored) {
		return nil, ErrRefused
	}
	p, err := s.store.Photo(ctx, studyID, dish)
	return p.JPEG, err
}

func seesPhotos(by Session, stored Study) bool {
	if by.Role == RoleKitchen {
		return by.StudyID == stored.ID && May(by.Role, KnowKey, stored.State) == Whole
	}
	return May(by.Role, KnowQuestion, stored.State) == Whole
}

// PhotoDishes returns the dishes of a study that have a photo.
func (s *Service) PhotoDishes(ctx context.Context, studyID StudyID) ([]study.DishID, error) {
	return s.store.PhotoDishes(ctx, studyID)
}

// Photos returns the photos of a study, for its export.
func (s *Service) Photos(ctx context.Context, studyID StudyID) ([]Photo, error) {
	dishes, err := s.store.PhotoDishes(ctx, studyID)
	if err != nil {
		return nil, err
	}
	photos := make([]Photo, len(dishes))
	for i, dish := range dishes {
		if photos[i], err = s.store.Photo(ctx, studyID, dish); err != nil {
			return nil, err
		}
	}
	return photos, nil
}

// unpack is [smallPhoto], one picture after another: unpacking takes memory.
func (s *Service) unpack(ctx context.Context, file []byte) ([]byte, error) {
	select {
	case s.unpacking <- struct{}{}:
		defer func() { <-s.unpacking }()
	case <-ctx.Done():
		return nil, ctx.Err()
	}
	return smallPhoto(file)
}

// smallPhoto makes a picture small enough and writes it anew.
func smallPhoto(file []byte) ([]byte, error) {
	if len(file) > MaxPhoto {
		return nil, fmt.Errorf("%w: a photo may hold at most %d MiB", ErrBadValue, MaxPhoto>>20)
	}
	header, _, err := image.DecodeConfig(bytes.NewReader(file))
	if err != nil {
		return nil, fmt.Errorf("%w: the file is no JPEG or PNG picture", ErrBadValue)
	}
	if header.Width < 1 || header.Height < 1 || header.Width > maxUnpacked/bytesAPixel(file, header)/header.Height {
		return nil, fmt.Errorf("%w: the picture has %d × %d pixels, which is too many", ErrBadValue, header.Width,
			header.Height)
	}
	decoded, _, err := image.Decode(bytes.NewReader(file))
	picture, readable := decoded.(image.RGBA64Image) // as all pictures of the standard library are
	if err != nil || !readable {
		return nil, fmt.Errorf("%w: the picture is damaged", ErrBadValue)
	}
	var out bytes.Buffer
	if err := jpeg.Encode(&out, upright(shrink(picture, PhotoSide), turnOf(file)),
		&jpeg.Options{Quality: photoQuality}); err != nil {
		return nil, fmt.Errorf("write a photo: %w", err)
	}
	return out.Bytes(), nil
}

// pngInterlace is where the header of a PNG says whether it is interlaced.
const pngInterlace = 28

// bytesAPixel is how much memory a pixel takes at most while a file is unpacked, as
// measured with the standard library's decoders: a JPEG that is not of brightness and
// two colours is written anew with four bytes beside its samples, an interlaced PNG has
// each pass beside the whole.
func bytesAPixel(file []byte, header image.Config) int {
	if bytes.HasPrefix(file, []byte("\xff\xd8")) {
		return bytesAPixelOfJPEG(isProgressive(file), header.ColorModel)
	}
	n := 4
	switch header.ColorModel {
	case color.NRGBA64Model, color.RGBA64Model, color.Gray16Model:
		n = 8
	}
	if len(file) > pngInterlace && file[pngInterlace] == 1 {
		n *= 2
	}
	return n
}

// bytesAPixelOfJPEG counts the samples of a pixel, for each of which a progressive
// JPEG keeps a coefficient of four bytes beside it.
func bytesAPixelOfJPEG(progressive bool, colours color.Model) int {
	samples, anew := 3, 0
	switch colours {
	case color.CMYKModel:
		samples, anew = 4, 4
	case color.RGBAModel:
		anew = 4
	}
	if progressive {
		return 5*samples + anew
	}
	return samples + anew
}

// isProgressive reports whether a JPEG is: its frame begins with the marker SOF2 (ITU-T
// T.81, table B.1).
func isProgressive(file []byte) bool {
	for at := 2; at+4 <= len(file) && file[at] == 0xff; {
		switch marker := file[at+1]; marker {
		case 0xc2:
			return true
		case 0xc0, 0xc1, 0xda:
			return false
		case 0xff: // padding
			at++
			continue
		}
		at += 2 + int(binary.BigEndian.Uint16(file[at+2:]))
	}
	// What cannot be told is taken for the dearer.
	return true
}

// shrink returns a picture whose longer side is at most side, each pixel the mean
// of those that it stands for, on white.
func shrink(p image.RGBA64Image, side int) *image.RGBA {
	b := p.Bounds()
	w, h := b.Dx(), b.Dy()
	if longest := max(w, h); longest > side {
		w, h = max(w*side/longest, 1), max(h*side/longest, 1)
	}
	small := image.NewRGBA(image.Rect(0, 0, w, h))
	for y := range h {
		for x := range w {
			small.SetRGBA(x, y, mean(p, image.Rect(
				b.Min.X+x*b.Dx()/w, b.Min.Y+y*b.Dy()/h, b.Min.X+(x+1)*b.Dx()/w, b.Min.Y+(y+1)*b.Dy()/h)))
		}
	}
	return small
}

// mean is the mean colour of a part of a picture; what is transparent lets white
// through.
func mean(p image.RGBA64Image, part image.Rectangle) color.RGBA {
	var r, g, b, n uint64
	for y := part.Min.Y; y < part.Max.Y; y++ {
		for x := part.Min.X; x < part.Max.X; x++ {
			c := p.RGBA64At(x, y) // At would make a value for each of 50 million pixels
			white := uint64(0xffff - c.A)
			r, g, b, n = r+uint64(c.R)+white, g+uint64(c.G)+white, b+uint64(c.B)+white, n+1
		}
	}
	return color.RGBA{R: uint8(r / n >> 8), G: uint8(g / n >> 8), B: uint8(b / n >> 8), A: 0xff}
}

package builder

import (
	"errors"
	"io"
	"net/http"

	"github.com/gin-gonic/gin"

	"cloche/internal/panel"
	"cloche/internal/server/site"
	"cloche/internal/study"
)

// dishPhoto is the form of a dish's photo.
type dishPhoto struct {
	Dish, Title string
	Has         bool
	Problem     string // why the picture was not taken
}

// photosOf are the forms of all dishes that can have a photo.
func (s *handlers) photosOf(c *gin.Context, b *builder) ([]dishPhoto, error) {
	has, err := s.pictured(c, b.saved)
	if err != nil {
		return nil, err
	}
	var list []dishPhoto
	for _, d := range b.asked.Dishes {
		if d.ID != "" {
			list = append(list, dishPhoto{Dish: string(d.ID), Title: d.Title, Has: has[d.ID]})
		}
	}
	return list, nil
}

// setPhoto keeps the photo of a dish, or removes it.
func (s *handlers) setPhoto(c *gin.Context) error {
	id, dish := c.Param("id"), study.DishID(c.Param("dish"))
	var err error
	if c.Request.PostForm.Get("do") == "remove" {
		err = s.Panel.RemovePhoto(c.Request.Context(), site.SessionOf(c), panel.StudyID(id), dish)
	} else {
		err = s.keepPhoto(c, panel.StudyID(id), dish)
	}
	switch {
	case errors.Is(err, panel.ErrBadValue), errors.Is(err, http.ErrMissingFile):
		return s.photoAgain(c, string(dish), err)
	case errors.Is(err, panel.ErrWrongState):
		return site.SeeOther(c, "/studies/"+id)
	case err != nil:
		return err
	}
	return site.SeeOther(c, "/studies/"+id+"/edit/dishes#photos")
}

func (s *handlers) keepPhoto(c *gin.Context, id panel.StudyID, dish study.DishID) error {
	file, _, err := c.Request.FormFile("photo")
	if err != nil {
		return http.ErrMissingFile
	}
	defer file.Close()
	picture, err := io.ReadAll(io.LimitReader(file, panel.MaxPhoto+1))
	if err != nil {
		return err
	}
	if len(picture) == 0 {
		return http.ErrMissingFile
	}
	return s.Panel.SetPhoto(c.Request.Context(), site.SessionOf(c), id, dish, picture)
}

// photoAgain shows the dishes with what is wrong with the picture.
func (s *handlers) photoAgain(c *gin.Context, dish string, cause error) error {
	b, err := s.builder(c, "dishes")
	if errors.Is(err, errDraftGone) {
		return site.SeeOther(c, "/studies/"+c.Param("id"))
	}
	if err != nil {
		return err
	}
	if b.text == nil { // it was broken elsewhere meanwhile: there is no step to show
		return site.SeeOther(c, b.Href(textStep))
	}
	b.photo = refusal{dish, b.say(photoWords(cause))}
	return b.step.show(s, c, http.StatusUnprocessableEntity, b)
}

func photoWords(err error) string {
	if errors.Is(err, http.ErrMissingFile) {
		return "No picture was chosen. Choose a JPEG or PNG file, then keep it."
	}
	return "The picture was not taken: choose a JPEG or PNG of at most 12 MiB and 40 million pixels (a progressive " +
		"JPEG: 11 million)."
}

// photo gives the photo of a dish to lead and partner.
func (s *handlers) photo(c *gin.Context) error { return s.SendPhoto(c, site.StudyIn(c)) }

// pictured are the dishes of a study that have a photo.
func (s *handlers) pictured(c *gin.Context, stored panel.Study) (map[study.DishID]bool, error) {
	dishes, err := s.Panel.PhotoDishes(c.Request.Context(), stored.ID)
	has := map[study.DishID]bool{}
	for _, d := range dishes {
		has[d] = true
	}
	return has, err
}

package server

import (
	"errors"
	"net/http"

	"github.com/gin-gonic/gin"

	"cloche/internal/panel"
	"cloche/internal/study"
)

// photo gives the photo of a dish to lead and partner.
func (s *server) photo(c *gin.Context) error { return s.sendPhoto(c, c.Param("id")) }

// kitchenPhoto gives the photo of a dish to the kitchen that plates it.
func (s *server) kitchenPhoto(c *gin.Context) error { return s.sendPhoto(c, who(c).StudyID) }

func (s *server) sendPhoto(c *gin.Context, studyID string) error {
	picture, err := s.svc.Photo(c.Request.Context(), who(c), studyID, study.DishID(c.Param("dish")))
	if errors.Is(err, panel.ErrRefused) { // whether there is one is not told either
		err = panel.ErrNotFound
	}
	if err != nil {
		return err
	}
	write(c, http.StatusOK, "image/jpeg", picture, nil)
	return nil
}

// pictured are the dishes of a study that have a photo.
func (s *server) pictured(c *gin.Context, kept panel.Study) (map[study.DishID]bool, error) {
	dishes, err := s.svc.PhotoDishes(c.Request.Context(), kept.ID)
	has := map[study.DishID]bool{}
	for _, d := range dishes {
		has[d] = true
	}
	return has, err
}

package site

import (
	"errors"
	"net/http"

	"github.com/gin-gonic/gin"

	"cloche/internal/panel"
	"cloche/internal/study"
)

func (s *Site) SendPhoto(c *gin.Context, studyID panel.StudyID) error {
	picture, err := s.Panel.Photo(c.Request.Context(), SessionOf(c), studyID, study.DishID(c.Param("dish")))
	if errors.Is(err, panel.ErrRefused) { // whether there is one is not told either
		err = panel.ErrNotFound
	}
	if err != nil {
		return err
	}
	Write(c, http.StatusOK, "image/jpeg", picture, nil)
	return nil
}

package site

import (
	"strconv"

	"github.com/gin-gonic/gin"

	"cloche/internal/panel"
)

// StudyIn returns the study that a request's address names.
func StudyIn(c *gin.Context) panel.StudyID { return panel.StudyID(c.Param("id")) }

// SeatIn returns the seat that a request's address names.
func SeatIn(c *gin.Context) panel.AssessorID { return panel.AssessorID(c.Param("seat")) }

// SittingOf finds the sitting that an address names.
func (s *Site) SittingOf(c *gin.Context) (panel.Study, panel.Sitting, error) {
	stored, err := s.Panel.Study(c.Request.Context(), StudyIn(c))
	if err != nil {
		return panel.Study{}, panel.Sitting{}, err
	}
	sittings, err := s.Panel.Sittings(c.Request.Context(), stored.ID)
	if err != nil {
		return panel.Study{}, panel.Sitting{}, err
	}
	for _, x := range sittings {
		if strconv.Itoa(x.Number) == c.Param("number") {
			return stored, x, nil
		}
	}
	return panel.Study{}, panel.Sitting{}, panel.ErrNotFound
}

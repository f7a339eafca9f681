package desk

import (
	"errors"
	"strconv"

	"github.com/gin-gonic/gin"

	"cloche/internal/panel"
	"cloche/internal/server/site"
)

// pacing is up to which wave the plates of a sitting may go out.
type pacing struct {
	Number int // of the sitting
	panel.Waves
}

// pacings are those of the sittings at which plates come in several waves.
func pacings(live panel.Live) (all []pacing) {
	for _, x := range live.Sittings {
		if x.Waves.Of > 1 {
			all = append(all, pacing{x.Number, x.Waves})
		}
	}
	return all
}

// release lets a wave of a sitting go out.
func (s *handlers) release(c *gin.Context) error {
	_, sitting, err := s.SittingOf(c)
	if err != nil {
		return err
	}
	wave, err := strconv.Atoi(c.Request.PostFormValue("wave"))
	if err != nil {
		wave = 0 // no wave is called that
	}
	err = s.Panel.ReleaseWave(c.Request.Context(), site.SessionOf(c), sitting.ID, wave, panel.PhoneAct{})
	if errors.Is(err, panel.ErrBadValue) {
		return site.ErrForm // the page offers the sitting's own waves
	}
	if err != nil {
		return err
	}
	return site.SeeOther(c, "/studies/"+string(sitting.StudyID)+"#pacing")
}

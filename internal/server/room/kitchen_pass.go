package room

import (
	"cmp"
	"slices"
	"strconv"

	"github.com/gin-gonic/gin"

	"cloche/internal/panel"
	"cloche/internal/server/site"
)

// passed is what stands at the pass and goes out together: a plate, or a tray.
type passed struct {
	Code, Codes string // of its first plate, of all
	Words       string // for how long
	Long        bool   // for [panel.KitchenSheet.PassLong] or longer
	waits       int64
}

// atPass lists what stands at the pass, longest first.
func atPass(say site.Tongue, sheet panel.KitchenSheet) (all []passed) {
	for _, w := range sheet.Waves {
		for i, p := range w.Plates {
			if p.State != panel.PlateAtPass || i > 0 && w.Plates[i-1].Tray == p.Tray {
				continue
			}
			all = append(all, passed{string(p.Code), string(p.Tray), site.Minutes(say, p.Waits),
				p.Waits >= sheet.PassLong, int64(p.Waits)})
		}
	}
	slices.SortFunc(all, func(a, b passed) int {
		return cmp.Or(cmp.Compare(b.waits, a.waits), cmp.Compare(a.Code, b.Code))
	})
	return all
}

func (s *handlers) toPass(c *gin.Context) error { return s.passes(c, true) }

func (s *handlers) notAtPass(c *gin.Context) error { return s.passes(c, false) }

func (s *handlers) passes(c *gin.Context, there bool) error {
	err := s.Panel.AtPass(c.Request.Context(), site.SessionOf(c), threeDigits(c.Request.PostFormValue("code")), there,
		phoneActOf(c))
	return acted(c, err, "/kitchen#due-now", "")
}

// release lets a wave go out.
func (s *handlers) release(c *gin.Context) error {
	wave, err := strconv.Atoi(c.Request.PostFormValue("wave"))
	if err != nil {
		wave = 0 // no wave is called that
	}
	err = s.Panel.ReleaseWave(c.Request.Context(), site.SessionOf(c), "", wave, phoneActOf(c))
	return acted(c, err, "/kitchen#due-now", "")
}

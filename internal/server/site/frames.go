package site

import (
	"github.com/gin-gonic/gin"

	"cloche/internal/panel"
)

// leadFrame is the frame of a lead's page.
func leadFrame(title string, invented bool) Frame {
	return Frame{Title: title, Invented: invented, SignedIn: true}
}

// Rehearsing is the bar over a screen that is only rehearsed.
type Rehearsing struct {
	Screen, Of           int
	Before, After, Other string // other screens, and the first one of another assessor; "" = none
	Study                string // the way back
	Closed               bool   // the screen shows what stands there after the close
}

// StaffFrame is the frame of a page of kitchen or floor: like an assessor's, it
// says nothing of the study.
type StaffFrame struct {
	Frame
	Role    string // "kitchen" or "floor"; "" before joining
	Sitting int    // from 1; 0 before joining
}

func StaffFrameFor(by panel.Session, title string, sitting int, invented bool) StaffFrame {
	return StaffFrame{Frame: Frame{Title: title, Invented: invented}, Role: by.Role.String(), Sitting: sitting}
}

// DeskFrame is the frame of a page that lead and partner share.
func (s *Site) DeskFrame(c *gin.Context, title string, invented bool) Frame {
	f := leadFrame(title, invented)
	f.Reader = SessionOf(c).Role == panel.RolePartner
	return f
}

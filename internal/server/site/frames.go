package site

import (
	"slices"
	"strings"

	"github.com/gin-gonic/gin"

	"cloche/internal/panel"
	"cloche/internal/study"
	"cloche/internal/words"
)

// Rehearsing is the bar over a screen that is only rehearsed.
type Rehearsing struct {
	Screen, Of           int
	Before, After, Other string // other screens, and the first one of another assessor; "" = none
	Study                string // the way back
	Closed               bool   // the screen shows what stands there after the close
	Half, Reads          bool   // a random half of the panel reads names; this assessor does
}

// StaffFrame is the frame of a page of kitchen or floor: like an assessor's, it
// says nothing of the study.
type StaffFrame struct {
	Frame
	Role    string // "kitchen" or "floor"; "" before joining
	Sitting int    // from 1; 0 before joining
}

// StaffFrameFor is the frame of a page for whoever sent a request; its title is English here.
func StaffFrameFor(c *gin.Context, role panel.Role, title string, sitting int, invented bool) StaffFrame {
	w := TongueOf(c)
	f := Frame{Title: w.Translate(title), Invented: invented, Lang: noticeLanguage(c)}
	return StaffFrame{Frame: f.offering(c, "tongue", study.Spoken), Role: role.String(), Sitting: sitting}
}

// Tongue is the language that a page of kitchen or floor is in.
type Tongue = words.Words

// Tongue is that of the page.
func (f StaffFrame) Tongue() Tongue { return words.In(f.Lang) }

// TongueIn is a language by its tag.
func TongueIn(tag string) Tongue { return words.In(tag) }

// TongueOf is the language of whoever sent a request: the one kept with the user, then the one
// chosen on a page, then that of the device.
func TongueOf(c *gin.Context) Tongue { return words.In(noticeLanguage(c)) }

// DeskFrame is the frame of a page that lead and partner share, of a study or of none (nil); its title
// is English here.
func (s *Site) DeskFrame(c *gin.Context, title string, of *study.Study) Frame {
	f := s.StudyFrame(c, title, of)
	f.Title = TongueOf(c).Translate(title)
	return f
}

// StudyFrame is [Site.DeskFrame] where the title is a study's own.
func (s *Site) StudyFrame(c *gin.Context, title string, of *study.Study) Frame {
	f := Frame{Title: title, SignedIn: true, Lang: noticeLanguage(c),
		Reader: SessionOf(c).Role != panel.RoleLead, Begins: SessionOf(c).House == panel.RoleLead,
		Owner: IsOwner(c)}
	if f.of = of; of != nil {
		f.Invented = of.Invented
	}
	return f
}

// LangOf is the language of a text where it is one of the study's own and that is another language than
// the page's, else "". Source: WCAG 2.2, success criterion 3.1.2.
func (f Frame) LangOf(text string) string { return LangOf(f.Language(), f.of, text) }

// LangOf is [Frame.LangOf] of a page in a language, which is of a study or of none (nil).
func LangOf(page string, of *study.Study, text string) string {
	text = strings.Trim(strings.TrimSpace(text), "“”")
	if of == nil || !slices.ContainsFunc(of.OwnTexts(), func(own string) bool {
		return own == text || strings.Contains(own, "\n") && slices.Contains(paragraphs(own), text)
	}) {
		return ""
	}
	return OtherThan(page, of.Language())
}

// OtherThan is a language, and "" where it is that of the page too.
func OtherThan(page, own string) string {
	of, _, _ := strings.Cut(page, "-")
	if tag, _, _ := strings.Cut(own, "-"); tag == of {
		return ""
	}
	return own
}

// DoorFrame is the frame of a form of one column for who is not signed in yet, in the language
// that their browser asks for; its title is English here.
func DoorFrame(c *gin.Context, title string) Frame {
	f := Frame{Title: TongueOf(c).Translate(title), Narrow: true, Lang: noticeLanguage(c)}
	return f.offering(c, "tongue", study.Spoken)
}

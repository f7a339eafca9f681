package server

import (
	"errors"
	"fmt"
	"io"
	"mime/multipart"
	"net/http"
	"strings"
	"time"
	"unicode/utf8"

	"github.com/gin-gonic/gin"

	"cloche/internal/panel"
	"cloche/internal/study"
	"cloche/studies"
)

// studyList is the lead's list of studies.
type studyList struct {
	frame
	Groups []studyGroup
}

// studyGroup is the studies of one state.
type studyGroup struct {
	Heading, Meaning string
	Studies          []studyLink
}

type studyLink struct {
	ID, Title, When string
	Invented        bool
}

// upload is the form that takes a study file.
type upload struct {
	frame
	Text     string // as it was sent
	Rows     int    // of the text area
	Mistakes []mistake
}

// mistake is a problem of the file with the line that it stands in.
type mistake struct{ Place, Source, What, Instead string }

var (
	studiesScreen = screen[studyList]{"studies", desk}
	uploadScreen  = screen[upload]{"upload", desk}
)

// leadFrame is the frame of a lead's page.
func leadFrame(title string, invented bool) frame {
	return frame{Title: title, Invented: invented, SignedIn: true}
}

// when writes a time for people, in the time zone of the service.
func when(t time.Time) string { return t.Local().Format("2 Jan 2006, 15:04") }

func (s *server) studies(c *gin.Context) error {
	all, err := s.svc.Studies(c.Request.Context())
	if err != nil {
		return err
	}
	page := studyList{frame: s.deskFrame(c, "Studies", false)}
	for _, g := range []struct {
		state            panel.State
		heading, meaning string
	}{
		{panel.Open, "Open", "People can taste now."},
		{panel.Locked, "Locked", "Fixed, and ready to open."},
		{panel.Draft, "Drafts", "Nothing is fixed yet."},
		{panel.Closed, "Closed", "Done: read what was found."},
	} {
		group := studyGroup{Heading: g.heading, Meaning: g.meaning}
		for _, x := range all {
			if x.State == g.state {
				group.Studies = append(group.Studies, studyLink{x.ID, titleOf(x), moment(x), x.Asked.Invented})
			}
		}
		if len(group.Studies) > 0 {
			page.Groups = append(page.Groups, group)
		}
	}
	return show(s, c, http.StatusOK, studiesScreen, page)
}

// moment says when a study came into its state.
func moment(x panel.Study) string {
	switch x.State {
	case panel.Closed:
		return "closed " + when(x.ClosedAt)
	case panel.Locked, panel.Open:
		return "locked " + when(x.Lock.At)
	case panel.Draft:
	}
	return "begun " + when(x.Created)
}

// The height of the text area, in lines.
const (
	fewRows  = 14
	manyRows = 40
)

func uploadPage(text string, problems []study.Problem) upload {
	page := upload{frame: leadFrame("New study", false), Text: text, Mistakes: mistakes(text, problems)}
	page.Rows = min(max(strings.Count(text, "\n")+2, fewRows), manyRows)
	return page
}

// mistakes words the problems of a text.
func mistakes(text string, problems []study.Problem) []mistake {
	lines := strings.Split(text, "\n")
	var all []mistake
	for _, p := range problems {
		m := mistake{Place: "The whole file", What: sentence(p.What), Instead: sentence(p.Instead)}
		if p.Line > 0 {
			m.Place = fmt.Sprintf("Line %d, column %d", p.Line, p.Column)
		}
		if p.Line > 0 && p.Line <= len(lines) {
			m.Source = strings.TrimRight(lines[p.Line-1], "\r")
		}
		all = append(all, m)
	}
	return all
}

// uploadForm offers an empty form, or the text of an earlier study or of the
// example to start from.
func (s *server) uploadForm(c *gin.Context) error {
	text := ""
	switch from := c.Query("from"); from {
	case "":
	case "example":
		text = string(studies.CeleriacCustard)
	default:
		kept, err := s.svc.Study(c.Request.Context(), from)
		if err != nil {
			return err
		}
		text = kept.File
	}
	return show(s, c, http.StatusOK, uploadScreen, uploadPage(text, nil))
}

func (s *server) upload(c *gin.Context) error {
	name, text, err := studyText(c.Request)
	if err != nil {
		return err
	}
	if !utf8.ValidString(text) {
		problem := study.Problem{What: "the file is not text in UTF-8", Instead: "save the study file as UTF-8 text and choose it again"}
		return show(s, c, http.StatusUnprocessableEntity, uploadScreen, uploadPage("", []study.Problem{problem}))
	}
	kept, problems, err := s.svc.Upload(c.Request.Context(), name, []byte(text))
	if err != nil {
		return err
	}
	if len(problems) > 0 {
		return show(s, c, http.StatusUnprocessableEntity, uploadScreen, uploadPage(text, problems))
	}
	return seeOther(c, "/studies/"+kept.ID)
}

// studyText returns the chosen file or, when none was chosen, the text typed.
func studyText(r *http.Request) (name, text string, err error) {
	file, header, err := r.FormFile("file")
	if errors.Is(err, http.ErrMissingFile) || errors.Is(err, http.ErrNotMultipart) {
		return typed(r)
	}
	if err != nil {
		return "", "", fmt.Errorf("%w: %w", errForm, err)
	}
	defer file.Close()
	if header.Size == 0 {
		return typed(r)
	}
	return readFile(file, header)
}

func readFile(file multipart.File, header *multipart.FileHeader) (name, text string, err error) {
	if header.Size > maxFile {
		return "", "", &http.MaxBytesError{Limit: maxFile}
	}
	b, err := io.ReadAll(io.LimitReader(file, maxFile))
	if err != nil {
		return "", "", fmt.Errorf("%w: %w", errForm, err)
	}
	return header.Filename, string(b), nil
}

// typed returns the text area's text, whose lines browsers end with CR LF.
func typed(r *http.Request) (name, text string, err error) {
	text = strings.ReplaceAll(r.PostFormValue("text"), "\r\n", "\n")
	if len(text) > maxFile {
		return "", "", &http.MaxBytesError{Limit: maxFile}
	}
	return "study.yaml", text, nil
}

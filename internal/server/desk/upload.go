package desk

import (
	"errors"
	"fmt"
	"io"
	"mime/multipart"
	"net/http"
	"strings"
	"unicode/utf8"

	"github.com/gin-gonic/gin"

	"cloche/internal/server/builder"
	"cloche/internal/server/site"
	"cloche/internal/study"
)

// upload is the form that takes a study file.
type upload struct {
	site.Frame
	Text     string // as it was sent
	Rows     int    // of the text area
	Mistakes []builder.Mistake
	May      bool // the file can be kept with its mistakes
}

var uploadScreen = site.DeskScreen[upload]("desk/upload")

func (s *handlers) uploadPage(c *gin.Context, text string, problems []study.Problem) upload {
	return upload{Frame: s.DeskFrame(c, "Open a study file", nil), Text: text, Rows: builder.RowsFor(text),
		Mistakes: builder.Mistakes(site.TongueOf(c), text, problems), May: text != ""}
}

func (s *handlers) uploadForm(c *gin.Context) error {
	return site.Show(s.Site, c, http.StatusOK, uploadScreen, s.uploadPage(c, "", nil))
}

// upload keeps a sound file as a draft, and one with mistakes when the person
// says so.
func (s *handlers) upload(c *gin.Context) error {
	name, text, err := studyText(c.Request)
	if err != nil {
		return err
	}
	if !utf8.ValidString(text) || strings.ContainsRune(text, 0) {
		return site.Show(s.Site, c, http.StatusUnprocessableEntity, uploadScreen,
			s.uploadPage(c, "", []study.Problem{notText(text)}))
	}
	_, problems := study.Read(name, []byte(text))
	if len(problems) > 0 && (c.Request.PostForm.Get("keep") == "" || text == "") {
		return site.Show(s.Site, c, http.StatusUnprocessableEntity, uploadScreen, s.uploadPage(c, text, problems))
	}
	stored, err := s.Panel.Begin(c.Request.Context(), site.SessionOf(c), []byte(text),
		fmt.Sprintf("the file %s", site.Short(name)))
	if err != nil {
		return err
	}
	return site.SeeOther(c, "/studies/"+string(stored.ID))
}

// studyText returns the chosen file or, when none was chosen, the text typed.
func studyText(r *http.Request) (name, text string, err error) {
	file, header, err := r.FormFile("file")
	if errors.Is(err, http.ErrMissingFile) || errors.Is(err, http.ErrNotMultipart) {
		return site.TypedText(r)
	}
	if err != nil {
		return "", "", fmt.Errorf("%w: %w", site.ErrForm, err)
	}
	defer file.Close()
	if header.Size == 0 {
		return site.TypedText(r)
	}
	return readFile(file, header)
}

// notText says what a file is that is no text, as far as its first bytes tell.
func notText(file string) study.Problem {
	for _, begin := range []string{"PK\x03\x04", "\xd0\xcf\x11\xe0"} { // Office Open XML, and what came before it
		if strings.HasPrefix(file, begin) {
			return study.Problem{What: study.Say("this looks like a Word or Excel file"),
				Instead: study.Say("save what it says as plain text (.yaml or .txt) and choose that file")}
		}
	}
	return study.Problem{What: study.Say("this file holds characters that are not plain text"),
		Instead: study.Say("open it in the program that wrote it, save it again as plain text (UTF-8, where it " +
			"asks), and choose that file")}
}

func readFile(file multipart.File, header *multipart.FileHeader) (name, text string, err error) {
	if header.Size > site.MaxFile {
		return "", "", &http.MaxBytesError{Limit: site.MaxFile}
	}
	b, err := io.ReadAll(io.LimitReader(file, site.MaxFile))
	if err != nil {
		return "", "", fmt.Errorf("%w: %w", site.ErrForm, err)
	}
	return header.Filename, string(b), nil
}

package server

import (
	"errors"
	"fmt"
	"io"
	"mime/multipart"
	"net/http"
	"strings"
	"unicode/utf8"

	"github.com/gin-gonic/gin"

	"cloche/internal/study"
)

// upload is the form that takes a study file.
type upload struct {
	frame
	Text     string // as it was sent
	Rows     int    // of the text area
	Mistakes []mistake
	May      bool // the file can be kept with its mistakes
}

var uploadScreen = screen[upload]{"upload", desk}

func (s *server) uploadPage(c *gin.Context, text string, problems []study.Problem) upload {
	return upload{frame: s.deskFrame(c, "Open a study file", false), Text: text, Rows: rowsFor(text), Mistakes: mistakes(text, problems), May: text != ""}
}

func (s *server) uploadForm(c *gin.Context) error {
	return show(s, c, http.StatusOK, uploadScreen, s.uploadPage(c, "", nil))
}

// upload keeps a sound file as a draft, and one with mistakes when the person
// says so.
func (s *server) upload(c *gin.Context) error {
	name, text, err := studyText(c.Request)
	if err != nil {
		return err
	}
	if !utf8.ValidString(text) || strings.ContainsRune(text, 0) {
		problem := study.Problem{What: "the file is not text in UTF-8", Instead: "save the study file as UTF-8 text and choose it again"}
		return show(s, c, http.StatusUnprocessableEntity, uploadScreen, s.uploadPage(c, "", []study.Problem{problem}))
	}
	_, problems := study.Read(name, []byte(text))
	if len(problems) > 0 && (c.Request.PostForm.Get("keep") == "" || text == "") {
		return show(s, c, http.StatusUnprocessableEntity, uploadScreen, s.uploadPage(c, text, problems))
	}
	kept, err := s.svc.Begin(c.Request.Context(), []byte(text), fmt.Sprintf("the file %s", short(name)))
	if err != nil {
		return err
	}
	return seeOther(c, "/studies/"+kept.ID)
}

// short cuts a file's name to a length that fits a line of the log.
func short(name string) string {
	if r := []rune(name); len(r) > 80 {
		return string(r[:80]) + "…"
	}
	return name
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

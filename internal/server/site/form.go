package site

import (
	"errors"
	"fmt"
	"io"
	"net/http"
	"net/url"
	"strconv"
	"strings"

	"github.com/gin-gonic/gin"

	"cloche/internal/panel"
	"cloche/internal/study"
)

// WantsJSON reports whether a script asks, not a form.
func WantsJSON(c *gin.Context) bool {
	return strings.HasPrefix(c.GetHeader("Accept"), "application/json")
}

// Bounds of what a request may send, in bytes.
const (
	maxForm = 64 << 10
	MaxFile = panel.MaxFile
)

var ErrForm = errors.New("the form cannot be read")

// maxDrained is how much of a picture that is too large is read and thrown away: a
// browser shows an answer only to what it could send to the end.
const maxDrained = 64 << 20

// ReadForm reads the form of a POST, bounded. Only forms with a file have parts;
// they stay in memory. The lead's forms hold texts of whole studies.
func ReadForm(c *gin.Context, of Role) error {
	r := c.Request
	most, parts := int64(maxForm), int64(2*MaxFile+maxForm)
	if of == Lead || c.FullPath() == SignInRoute { // which may carry a form of the lead's
		most = 3*MaxFile + maxForm // three bytes for each that is escaped
		parts = panel.MaxPhoto + maxForm
	}
	if r.Method != http.MethodPost {
		return nil
	}
	var err error
	if strings.HasPrefix(r.Header.Get("Content-Type"), "multipart/form-data") {
		sent := r.Body
		r.Body = http.MaxBytesReader(c.Writer, sent, parts)
		err = r.ParseMultipartForm(parts)
		if err != nil && of == Lead {
			_, _ = io.CopyN(io.Discard, sent, maxDrained)
		}
	} else {
		r.Body = http.MaxBytesReader(c.Writer, r.Body, most)
		err = r.ParseForm()
	}
	if err != nil {
		return fmt.Errorf("%w: %w", ErrForm, err)
	}
	return nil
}

// Nonce reads the one-time word of a form. A form without one was not made
// here.
func Nonce(c *gin.Context) (string, error) {
	n := c.Request.PostFormValue("nonce")
	if len(n) < 16 || len(n) > MaxToken {
		return "", ErrForm
	}
	return n, nil
}

const SignInRoute = "/sign-in"

// ScreenReplies are the answers by their value on the form, from 1.
var ScreenReplies = []study.Reply{study.Yes, study.No}

// ScreeningGiven reads what a form says to the questions before the first plate.
func ScreeningGiven(c *gin.Context) map[string]study.Reply {
	given := map[string]study.Reply{}
	for field := range c.Request.PostForm {
		n, err := strconv.Atoi(c.Request.PostForm.Get(field))
		if err == nil && n >= 1 && n <= len(ScreenReplies) {
			given[field] = ScreenReplies[n-1]
		}
	}
	return given
}

// LevelsGiven reads what a form, or the address of a table's card, says of what decides
// the stratum.
func LevelsGiven(from url.Values) map[string]int {
	given := map[string]int{}
	for field := range from {
		if n, err := strconv.Atoi(from.Get(field)); err == nil {
			given[field] = n
		}
	}
	return given
}

// Field is one input of a form. Its words are English, or in the language of the page already.
type Field struct {
	ID, Label, Hint, Type, Value, Autocomplete string
	Mode                                       string // inputmode: which keys a phone shows; "" = all
	Problem                                    string
}

// DescribedBy lists the ids of the texts that go with the input.
func (f Field) DescribedBy() string {
	var ids []string
	if f.Hint != "" {
		ids = append(ids, f.ID+"-hint")
	}
	if f.Problem != "" {
		ids = append(ids, f.ID+"-wrong")
	}
	return strings.Join(ids, " ")
}

// Problem is a line of the summary above a form.
type Problem struct{ Field, Text string }

// Problems lists what is wrong with fields, whose words are English here.
func Problems(w Tongue, fields ...Field) []Problem {
	var list []Problem
	for _, f := range fields {
		if f.Problem != "" {
			list = append(list, Problem{f.ID, w.Translate(f.Label) + ": " + w.Translate(f.Problem)})
		}
	}
	return list
}

// TypedText returns the text area's text, whose lines browsers end with CR LF.
func TypedText(r *http.Request) (name, text string, err error) {
	text = strings.ReplaceAll(r.PostFormValue("text"), "\r\n", "\n")
	if len(text) > MaxFile {
		return "", "", &http.MaxBytesError{Limit: MaxFile}
	}
	return "study.yaml", text, nil
}

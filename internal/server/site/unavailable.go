package site

import (
	"net/http"
	"slices"
	"strings"

	"github.com/gin-gonic/gin"

	"cloche/internal/words"
)

// RetryAfter is when a phone may come again, in seconds (RFC 9110, section 10.2.3).
const RetryAfter = "5"

// again holds a form that could not be taken, so that a phone without scripts
// keeps the answers on the page and can send them again.
type again struct {
	Action string
	Fields []formField
}

type formField struct{ Name, Value string }

// againOf returns the form of a guest's request, nil when there was none. What the
// lead typed, such as a password, is never sent back.
func againOf(c *gin.Context, r Role) *again {
	if c.Request.Method != http.MethodPost || r != Assessor {
		return nil
	}
	a := &again{Action: c.Request.URL.Path}
	for name, values := range c.Request.PostForm {
		for _, value := range values {
			a.Fields = append(a.Fields, formField{name, value})
		}
	}
	slices.SortStableFunc(a.Fields, func(x, y formField) int { return strings.Compare(x.Name, y.Name) })
	return a
}

// unavailableNotice says that the database cannot be used for the moment.
func unavailableNotice(r Role, w words.Words) notice {
	if r&AtDesk != 0 {
		return notice{
			Heading: "The database cannot be used at this moment",
			Text: []string{"It cannot be reached, is locked by another program, or its disk is full or cannot be written. Nothing that was kept before is lost.",
				"Phones hold their answers and send them again. This page works again by itself once the database does."},
		}
	}
	return notice{Heading: w.CannotKeep, Text: []string{w.LeaveOpen, w.IfItGoesOn}}
}

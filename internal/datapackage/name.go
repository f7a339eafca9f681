package datapackage

import (
	"cmp"
	"strings"
	"time"
	"unicode"

	"golang.org/x/text/unicode/norm"

	"cloche/internal/panel"
)

// longestTitle bounds the title in a file name, so that the whole stays far under
// the 255 bytes of usual file systems.
const longestTitle = 60

// FileName names a download after its study and the study's day: that of its close,
// of its lock, or today's for a draft, in the study’s time zone. Only small
// ASCII letters, digits, hyphens and dots stand in it, so that it is safe in a header
// and on every disk. what is the name of the document, such as “key.csv”.
func FileName(stored panel.Study, what string, now time.Time) string {
	day := now
	switch {
	case !stored.ClosedAt.IsZero():
		day = stored.ClosedAt
	case !stored.Lock.At.IsZero():
		day = stored.Lock.At
	}
	title := ""
	if stored.Spec != nil {
		title = plainTitle(stored.Spec.Title)
	}
	return cmp.Or(title, "tasting") + "-" + day.In(stored.Zone()).Format(time.DateOnly) + "-" + what
}

// spelled are letters that do not come apart into a letter and a mark.
var spelled = strings.NewReplacer("ß", "ss", "æ", "ae", "œ", "oe", "ø", "o", "ł", "l", "đ", "d", "ð", "d", "þ", "th",
	"ı", "i",
	"'", "", "’", "")

// plainTitle is a title in small ASCII letters and digits with hyphens between its
// words, cut between words where it can be; "" when no such letter is in it.
func plainTitle(title string) string {
	var b strings.Builder
	for _, r := range norm.NFKD.String(spelled.Replace(strings.ToLower(title))) {
		switch {
		case r >= 'a' && r <= 'z' || r >= '0' && r <= '9':
			b.WriteRune(r)
		case !unicode.Is(unicode.Mn, r): // a mark belongs to the letter before it
			b.WriteByte(' ')
		}
	}
	s := strings.Join(strings.Fields(b.String()), "-")
	if len(s) <= longestTitle {
		return s
	}
	if i := strings.LastIndexByte(s[:longestTitle+1], '-'); i > 0 {
		return s[:i]
	}
	return s[:longestTitle]
}

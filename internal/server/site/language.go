package site

import (
	"fmt"
	"net/http"
	"regexp"
	"slices"

	"github.com/gin-gonic/gin"

	"cloche/internal/panel"
	"cloche/internal/study"
	"cloche/internal/words"
)

// languageCookie remembers the language that a person chose on a page.
const languageCookie = "cloche-language"

// tag is the form of the language tags that a cookie or link may hold.
var tag = regexp.MustCompile(`^[a-z]{2,3}(-[A-Za-z0-9]{1,8}){0,3}$`)

// LanguageLink leads to the same page in another language.
type LanguageLink struct{ Tag, Name, Href string }

// prefers returns in which languages a person reads: the one chosen on a page,
// then those that the phone is set to.
func prefers(c *gin.Context) []string {
	list := []string{c.GetHeader("Accept-Language")}
	if cookie, err := c.Request.Cookie(languageCookie); err == nil && tag.MatchString(cookie.Value) {
		list = slices.Insert(list, 0, cookie.Value)
	}
	return list
}

// SpeakHere notes on the device which language its owner reads, so that pages before signing in
// are in it, too; "" forgets it.
func (s *Site) SpeakHere(c *gin.Context, tag string) {
	kept := SeatKept
	if tag == "" {
		kept = -1
	}
	s.SetCookie(c, languageCookie, tag, "/", kept)
}

// TakeLanguage lets panel choose the words of an assessor's page. It reports true when
// the address asks for a language: then that is noted, and the browser is sent
// to the same page without asking.
func (s *Site) TakeLanguage(c *gin.Context) bool {
	if s.choosesLanguage(c, "in") {
		return true
	}
	r := c.Request
	c.Request = r.WithContext(panel.Speaking(r.Context(), prefers(c)...))
	return false
}

// choosesLanguage notes the language that an address asks for under a key, and sends the browser
// to the same page without it.
func (s *Site) choosesLanguage(c *gin.Context, key string) bool {
	asked := c.Query(key)
	if c.Request.Method != http.MethodGet || !tag.MatchString(asked) {
		return false
	}
	s.SpeakHere(c, asked)
	c.Redirect(http.StatusSeeOther, addressWith(c.Request, key, ""))
	return true
}

// TakeTongue is [Site.TakeLanguage] on a page of kitchen and floor, where panel goes on in the
// study's language: what is read aloud to a guest does not follow the waiter's phone.
func (s *Site) TakeTongue(c *gin.Context) bool { return s.choosesLanguage(c, "tongue") }

// addressWith is that of the same page with one thing asked for, or without it.
func addressWith(r *http.Request, key, value string) string {
	q := r.URL.Query()
	q.Del(key)
	if value != "" {
		q.Set(key, value)
	}
	if len(q) == 0 {
		return r.URL.EscapedPath()
	}
	return r.URL.EscapedPath() + "?" + q.Encode()
}

// GuestFrame is the frame of every page for an assessor: its title says nothing of
// the study. The page that answers a form has no links to other languages, which
// would lose what was typed.
func GuestFrame(c *gin.Context, invented bool, lang string, offered []string) Frame {
	return Frame{Title: words.In(lang).Title, Invented: invented, Lang: lang}.sized(c).offering(c, "in", offered)
}

// offering adds the links to the page in other languages, which ask for them under a key.
func (f Frame) offering(c *gin.Context, key string, offered []string) Frame {
	f.Languages = LanguageLinks(c, key, f.Lang, offered)
	return f
}

// LanguageLinks lead from a page in a language to the same in the others that are offered, which ask
// for them under a key; none where there is no choice, and on a page that answers a form.
func LanguageLinks(c *gin.Context, key, lang string, offered []string) (links []LanguageLink) {
	if len(offered) < 2 || c.Request.Method != http.MethodGet {
		return nil
	}
	for _, to := range offered {
		link := LanguageLink{Tag: to, Name: words.Name(to)}
		if to != lang {
			link.Href = addressWith(c.Request, key, to)
		}
		links = append(links, link)
	}
	return links
}

// BallotFrame is the frame of a ballot.
func BallotFrame(c *gin.Context, b panel.Ballot) Frame {
	return GuestFrame(c, b.Invented, b.Language, b.Languages)
}

// noticeLanguage is that of pages of the house, and of a notice to a person of whom nothing else
// is known.
func noticeLanguage(c *gin.Context) string {
	if by := SessionOf(c); slices.Contains(study.Spoken, by.Language) {
		return by.Language
	}
	return study.BestLanguage(study.Spoken, prefers(c)...)
}

// ProblemWords says what is wrong with an answer.
func ProblemWords(w words.Words, a panel.Ask) string {
	switch a.Problem {
	case "":
		return ""
	case panel.NoMark:
		return w.NoMark
	case panel.NoChoice:
		return w.NoChoice
	case panel.OffLine:
		return w.Off(a.From, a.To)
	case panel.NoPlace:
		return w.NoPlace
	case panel.OnePlace:
		return w.OnePlace
	case panel.NoTick:
		return w.NoTick
	case panel.BothTick:
		return w.BothTick
	case panel.TooLong:
		return fmt.Sprintf(w.CommentLong, panel.MaxComment)
	}
	return w.OffList
}

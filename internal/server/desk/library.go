package desk

import (
	"iter"
	"net/http"
	"net/url"
	"strings"

	"github.com/gin-gonic/gin"

	"cloche/internal/panel"
	"cloche/internal/server/site"
	"cloche/internal/server/summary"
)

// studyList is the library: studies by state, or those that a search found.
type studyList struct {
	site.Frame
	Query    string
	Found    int  // studies that the search found
	Close    bool // none word for word: these come close
	Any      bool
	Closed   bool // a study is closed, and who reads may read the house's record
	Groups   []studyGroup
	Archived studyGroup
}

// studyGroup is the studies of one state.
type studyGroup struct {
	Heading, Meaning string
	Studies          []studyLink
	All              int    // when there are more than are shown: how many
	AllAt            string // address of the page that shows them
}

// mostOfState is how many studies of a state the list shows unless it is asked for all: the
// latest, which are looked for most.
const mostOfState = 50

type studyLink struct {
	ID          panel.StudyID
	Title, When string
	Own         string // language of the title where it is another than the page's
	Verdict     string // of a closed study, in a line
	Told        bool   // it is the report's, in the reader's language
	People      string // whom it rests on
	Invented    bool
	closed      bool
}

var studiesScreen = site.DeskScreen[studyList]("desk/studies")

// maxQuery bounds a search, in bytes.
const maxQuery = 200

func (s *handlers) studies(c *gin.Context) error {
	all, err := s.Panel.StudiesFor(c.Request.Context(), site.SessionOf(c))
	if err != nil {
		return err
	}
	page := studyList{Frame: s.DeskFrame(c, "Studies", nil), Any: len(all) > 0,
		Query: strings.TrimSpace(c.Query("q"))}
	page.Query = strings.ToValidUTF8(page.Query[:min(len(page.Query), maxQuery)], "")
	w := site.TongueOf(c)
	record := panel.May(site.SessionOf(c).Role, panel.KnowRatings, panel.Closed) == panel.Whole
	for _, x := range all {
		page.Closed = page.Closed || x.State == panel.Closed && record
	}
	found := all
	if page.Query != "" {
		found, page.Close = s.search.find(w, all, page.Query)
	}
	page.Found = len(found)
	most := mostOfState
	if c.Query("all") != "" {
		most = len(found)
	}
	page.group(w, found, most)
	if err := s.verdicts(c, &page); err != nil {
		return err
	}
	return site.Show(s.Site, c, http.StatusOK, studiesScreen, page)
}

// group puts studies by their state, at most so many of each, and those that were put away apart.
func (p *studyList) group(w site.Tongue, found []panel.Study, most int) {
	for _, g := range []struct {
		state            panel.State
		heading, meaning string
	}{
		{panel.Open, "Open studies", "People can taste now."},
		{panel.Locked, "Locked studies", "Fixed, and ready to open."},
		{panel.Draft, "Drafts", "Nothing is fixed yet."},
		{panel.Closed, "Closed studies", "Done: read what was found."},
	} {
		group, all := studyGroup{Heading: g.heading, Meaning: g.meaning}, 0
		for _, x := range found {
			if x.State != g.state || !x.ArchivedAt.IsZero() {
				continue
			}
			if all++; all <= most {
				group.Studies = append(group.Studies, linkOf(w, x))
			}
		}
		if all > most {
			group.All, group.AllAt = all, "/studies?"+url.Values{"q": {p.Query}, "all": {"yes"}}.Encode()
		}
		if all > 0 {
			p.Groups = append(p.Groups, group)
		}
	}
	for _, x := range found {
		if !x.ArchivedAt.IsZero() {
			p.Archived.Studies = append(p.Archived.Studies, linkOf(w, x))
		}
	}
}

// links are the lines of all groups but of what was put away.
func (p *studyList) links() iter.Seq[*studyLink] {
	return func(yield func(*studyLink) bool) {
		for g := range p.Groups {
			for i := range p.Groups[g].Studies {
				if !yield(&p.Groups[g].Studies[i]) {
					return
				}
			}
		}
	}
}

func linkOf(w site.Tongue, x panel.Study) studyLink {
	link := studyLink{ID: x.ID, Title: summary.Title(w, x), When: moment(w, x), Invented: x.Spec.Invented,
		closed: x.State == panel.Closed}
	if x.Spec.Title != "" {
		link.Own = site.OtherThan(w.Tag(), x.Spec.Language())
	}
	if x.Version > 1 {
		link.When = versionWords(w, x.Version) + " · " + link.When
	}
	return link
}

// moment says when a study came into its state.
func moment(w site.Tongue, x panel.Study) string {
	switch x.State {
	case panel.Closed:
		return w.Translate("closed %s", w.Moment(x.ClosedAt.In(x.Zone())))
	case panel.Locked, panel.Open:
		return w.Translate("locked %s", w.Moment(x.Lock.At.In(x.Zone())))
	case panel.Draft:
	}
	return w.Translate("started %s", w.Moment(x.Created.In(x.Zone())))
}

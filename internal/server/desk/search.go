package desk

import (
	"strings"
	"sync"

	"cloche/internal/panel"
	"cloche/internal/server/site"
	"cloche/internal/server/summary"
	"cloche/internal/study"
	"cloche/internal/words"
)

// searchIndex keeps what a search looks through, of each study that one has come to, until
// its file changes.
type searchIndex struct {
	mu   sync.Mutex
	kept map[panel.StudyID]searchable
}

// mostSearchable bounds what is kept, of studies that were deleted too; beyond it all is forgotten and made anew.
const mostSearchable = 10_000

// searchable is what a search looks through of a study: its title, its dishes and the names that
// they are served under.
type searchable struct {
	of    *study.Study
	texts string   // in lower case
	words []string // without accents
}

// find returns the studies with every word of a search; when there is none, those whose words come close.
func (i *searchIndex) find(w site.Tongue, all []panel.Study, query string) (found []panel.Study, close bool) {
	i.mu.Lock()
	defer i.mu.Unlock()
	if len(i.kept) > mostSearchable {
		i.kept = nil
	}
	wanted := strings.Fields(strings.ToLower(query))
	for _, x := range all {
		if holdsAll(i.of(w, x).texts, wanted) {
			found = append(found, x)
		}
	}
	if len(found) > 0 {
		return found, false
	}
	near := newCloseSearch(query)
	for _, x := range all {
		if near.matches(i.of(w, x).words) {
			found = append(found, x)
		}
	}
	return found, len(found) > 0
}

func holdsAll(text string, wanted []string) bool {
	for _, word := range wanted {
		if !strings.Contains(text, word) {
			return false
		}
	}
	return true
}

// of is what a search looks through of a study; what stands for a title that is missing is in the
// language of whoever searches, and not kept.
func (i *searchIndex) of(w site.Tongue, x panel.Study) searchable {
	if known, ok := i.kept[x.ID]; ok && known.of == x.Spec {
		return known
	}
	text := searched(w, x)
	made := searchable{of: x.Spec, texts: strings.ToLower(text), words: words.Sought(text)}
	if x.Spec.Title == "" {
		return made
	}
	if i.kept == nil {
		i.kept = map[panel.StudyID]searchable{}
	}
	i.kept[x.ID] = made
	return made
}

// searched is what a search looks through, a text on each line.
func searched(w site.Tongue, x panel.Study) string {
	texts := []string{summary.Title(w, x)}
	for _, d := range x.Spec.Dishes {
		texts = append(texts, d.Title)
	}
	for _, n := range x.Spec.Names {
		texts = append(texts, n.Text)
	}
	for _, t := range x.Spec.Translations {
		for _, n := range t.Names {
			texts = append(texts, n.Text)
		}
	}
	return strings.Join(texts, "\n")
}

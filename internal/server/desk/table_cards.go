package desk

import (
	"cmp"
	"fmt"
	"net/http"
	"strconv"

	"github.com/gin-gonic/gin"

	"cloche/internal/panel"
	"cloche/internal/server/site"
	"cloche/internal/words"
)

// tableCards are cards for the tables of a sitting, several to a page. Guests read them, so
// they say nothing of the study but how it greets them.
type tableCards struct {
	site.Frame
	ID       panel.StudyID
	Number   int // of the sitting
	From, To int
	Problem  string
	House    string // as the cards call it; "" = not at all
	Word     string // of the evening
	Cards    []tableCard
}

// tableCard is the card of one table, in each language of the study.
type tableCard struct {
	Table int
	Link  string
	QR    site.QRCode
	Said  []cardWords
}

// cardWords is what a card says in one language. Table is empty on the card for every table.
type cardWords struct{ Language, Greeting, Table, Scan, Word string }

// cardSays is what a card says in each language in which guests read the study; table 0 is every table.
func cardSays(stored panel.Study, table int) (all []cardWords) {
	for _, lang := range languagesOf(stored) {
		w := words.In(lang)
		said := cardWords{Language: lang, Greeting: cmp.Or(stored.Spec.In(lang).Texts.Welcome, w.Welcome),
			Scan: w.ScanCard, Word: w.WordLabel}
		if table > 0 {
			said.Table = fmt.Sprintf(w.AtTable, table)
		}
		all = append(all, said)
	}
	return all
}

// Most and usual numbers of cards.
const (
	mostCards  = 60
	usualCards = 12
)

var tableCardsScreen = site.DeskScreen[tableCards]("desk/table_cards")

func (s *handlers) tableCards(c *gin.Context) error {
	stored, x, err := s.SittingOf(c)
	if err != nil {
		return err
	}
	line, err := s.sittingLine(c, stored, x)
	if err != nil {
		return err
	}
	page := tableCards{Frame: s.DeskFrame(c, "Cards for the tables", stored.Spec), ID: stored.ID,
		Number: x.Number, Word: line.Word, House: houseAsked(c)}
	page.From, page.To, page.Problem = tablesAsked(site.TongueOf(c), c.Query("from"), c.Query("to"))
	for n := page.From; n <= page.To && page.Problem == ""; n++ {
		card := tableCard{Table: n, Link: line.Link + "?table=" + strconv.Itoa(n), Said: cardSays(stored, n)}
		if card.QR, err = site.NewQR(card.Link); err != nil {
			return err
		}
		page.Cards = append(page.Cards, card)
	}
	return site.Show(s.Site, c, http.StatusOK, tableCardsScreen, page)
}

// languagesOf are those in which guests read a study.
func languagesOf(stored panel.Study) []string {
	if len(stored.Spec.Languages) == 0 {
		return stored.Spec.In("").Languages
	}
	return stored.Spec.Languages
}

// tablesAsked reads which tables are meant, and what is wrong with that.
func tablesAsked(w site.Tongue, from, to string) (first, last int, problem string) {
	if from == "" && to == "" {
		return 1, usualCards, ""
	}
	first, err := panel.TableOf(from)
	if err == nil {
		last, err = panel.TableOf(to)
	}
	if err != nil || first == 0 || last < first || last-first >= mostCards {
		return first, last, w.Translate("Type the numbers of the first and the last table, the smaller one first; "+
			"at most %d cards at once.", mostCards)
	}
	return first, last, ""
}

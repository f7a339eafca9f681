package desk

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"net/http"
	"path/filepath"
	"strconv"

	"github.com/gin-gonic/gin"

	"cloche/internal/datapackage"
	"cloche/internal/panel"
	"cloche/internal/server/builder"
	"cloche/internal/server/site"
	"cloche/internal/study"
)

// fromPaper is the form that takes answers that were written on paper, and says beforehand
// what would be taken.
type fromPaper struct {
	site.Frame
	ID       panel.StudyID
	Study    string
	Plates   int    // that are still to be answered
	Names    int    // that are still to be read before tasting
	How      string // to type the answers
	Done     string // what was just taken; "" = nothing
	Checked  bool   // a table was sent, and is sound
	Says     string // what would be taken
	Missing  int    // plates still to be answered that the table does not have
	Taken    []panel.PaperTaken
	MoreIn   int // pages that are not listed
	Left     []string
	Name     string // of the file
	Table    string // as it is sent again, once it was looked at
	Mistakes []builder.Mistake
	More     int // mistakes that are not listed
}

var fromPaperScreen = site.DeskScreen[fromPaper]("desk/from_paper")

// mostListed is how many refused rows a page lists.
const mostListed = 50

func (s *handlers) paperPage(c *gin.Context) (fromPaper, error) {
	stored, sheet, err := s.Panel.PaperSheet(c.Request.Context(), site.SessionOf(c), site.StudyIn(c))
	if err != nil {
		return fromPaper{}, err
	}
	names := sheet.Names()
	return fromPaper{Frame: s.DeskFrame(c, "Answers from paper", stored.Spec), ID: stored.ID,
		Study: stored.Spec.Title, Plates: len(sheet.Rows) - names, Names: names,
		How: site.Sentence(site.TongueOf(c).Tell(panel.HowToType(stored.Spec)))}, nil
}

func (s *handlers) paperForm(c *gin.Context) error {
	page, err := s.paperPage(c)
	if err != nil {
		return err
	}
	if n, err := strconv.Atoi(c.Query("done")); err == nil && n > 0 {
		page.Done = site.TongueOf(c).Translate("The answers are in. Servings: %d.", n)
	} else if err == nil {
		page.Done = site.TongueOf(c).Translate("What was expected is in.")
	}
	return site.Show(s.Site, c, http.StatusOK, fromPaperScreen, page)
}

// importPaper shows what would be taken of a table; once that was looked at, it takes it.
func (s *handlers) importPaper(c *gin.Context) error {
	page, err := s.paperPage(c)
	if err != nil {
		return err
	}
	name, file, err := paperFile(c)
	if err != nil {
		return err
	}
	table, problem := datapackage.ReadPaper(name, file)
	if problem != nil {
		page.refuse(site.TongueOf(c), []study.Problem{*problem})
		return site.Show(s.Site, c, http.StatusUnprocessableEntity, fromPaperScreen, page)
	}
	ctx, by := c.Request.Context(), site.SessionOf(c)
	if c.Request.PostFormValue("looked") == "yes" {
		check, err := s.Panel.ImportPaper(ctx, by, page.ID, table)
		if err == nil && check.Sound() {
			return site.SeeOther(c, fmt.Sprintf("/studies/%s/paper?done=%d", page.ID, check.Servings))
		}
		if err != nil && !errors.Is(err, panel.ErrRated) { // answered since: the check says so
			return err
		}
	}
	_, check, err := s.Panel.CheckPaper(ctx, by, page.ID, table)
	if err != nil {
		return err
	}
	page.Left = check.LeftAlone
	if !check.Sound() {
		page.refuse(site.TongueOf(c), check.Refused)
		return site.Show(s.Site, c, http.StatusUnprocessableEntity, fromPaperScreen, page)
	}
	again, err := datapackage.PaperCSV(table)
	if err != nil {
		return err
	}
	page.Checked, page.Name, page.Table = true, name, string(again)
	w := site.TongueOf(c)
	page.Says = w.Translate("servings: %d, guests: %d", check.Servings, check.Guests)
	if check.Names > 0 {
		page.Says = w.Translate("servings: %d, names read before tasting: %d, guests: %d", check.Servings, check.Names,
			check.Guests)
	}
	page.Missing, page.Taken = check.Left, check.Taken[:min(mostListed, len(check.Taken))]
	page.MoreIn = len(check.Taken) - len(page.Taken)
	return site.Show(s.Site, c, http.StatusOK, fromPaperScreen, page)
}

// refuse lists what is wrong.
func (p *fromPaper) refuse(w site.Tongue, problems []study.Problem) {
	for i, x := range problems {
		if i == mostListed {
			p.More = len(problems) - i
			return
		}
		m := builder.Mistake{Place: w.Translate("The whole file"), What: site.Sentence(w.Tell(x.What)),
			Instead: site.Sentence(w.Tell(x.Instead))}
		if x.Line > 0 {
			m.Place = w.Translate("Line %d", x.Line)
		}
		p.Mistakes = append(p.Mistakes, m)
	}
}

// paperFile is the file that was chosen, or the table of the page that says what would be
// taken.
func paperFile(c *gin.Context) (name string, file []byte, err error) {
	sent, header, err := c.Request.FormFile("file")
	if errors.Is(err, http.ErrMissingFile) || errors.Is(err, http.ErrNotMultipart) {
		return site.Short(c.Request.PostFormValue("name")), []byte(c.Request.PostFormValue("table")), nil
	}
	if err != nil {
		return "", nil, fmt.Errorf("%w: %w", site.ErrForm, err)
	}
	defer sent.Close()
	if header.Size > datapackage.MaxPaper {
		return "", nil, &http.MaxBytesError{Limit: datapackage.MaxPaper}
	}
	file, err = io.ReadAll(io.LimitReader(sent, datapackage.MaxPaper))
	if err != nil {
		return "", nil, fmt.Errorf("%w: %w", site.ErrForm, err)
	}
	return site.Short(filepath.Base(header.Filename)), file, nil
}

// paperSheet is the empty table to fill in.
func (s *handlers) paperSheet(c *gin.Context) error {
	stored, sheet, err := s.Panel.PaperSheet(c.Request.Context(), site.SessionOf(c), site.StudyIn(c))
	if err != nil {
		return err
	}
	text, err := datapackage.PaperCSV(sheet)
	if err != nil {
		return err
	}
	return download(c, stored, "text/csv; charset=utf-8", "from-paper.csv", bytes.NewBuffer(text))
}

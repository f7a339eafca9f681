package room

import (
	"net/http"
	"net/url"
	"strconv"

	"github.com/gin-gonic/gin"

	"cloche/internal/panel"
	"cloche/internal/server/site"
)

// labelsPage sets up and prints code labels. A label has a code and the number of
// its wave: what stands on a plate must not say what is on it.
type labelsPage struct {
	site.StaffFrame
	Grid     labelGrid
	Sizes    []sizeChoice
	Fields   []gridField
	Style    string // address of the style sheet of the grid
	Sheets   [][]label
	Count    int
	Spares   int // labels of spare codes, at the end
	Waves    []int
	Wave     int // 0 = every wave
	Problems []site.Problem
}

type sizeChoice struct {
	Name, Href string
	Here       bool
}

// gridField is a number of the grid on the form.
type gridField struct{ Name, Label, Value, Mode string }

// label is one label; an empty one is left blank, for codes written by hand.
type label struct {
	Code  panel.Code
	Wave  int
	Spare bool // for a dropped plate
}

var labelsScreen = site.StaffScreen[labelsPage]("room/labels")

func (s *handlers) labels(c *gin.Context) error {
	q := c.Request.URL.Query()
	if q.Get("paper") == "" {
		wave := q.Get("wave")
		q = labelSizes[0].Values()
		q.Set("wave", wave)
	}
	return s.showLabels(c, http.StatusOK, q)
}

// setLabels takes the form and leads to the labels, so that their address can be
// kept for the next sitting.
func (s *handlers) setLabels(c *gin.Context) error {
	if _, wrong := readGrid(c.Request.PostForm); len(wrong) > 0 {
		return s.showLabels(c, http.StatusUnprocessableEntity, c.Request.PostForm)
	}
	q := url.Values{"wave": {strconv.Itoa(waveOf(c.Request.PostForm))}}
	g, _ := readGrid(c.Request.PostForm)
	for name, values := range g.Values() {
		q[name] = values
	}
	return site.SeeOther(c, "/kitchen/labels?"+q.Encode())
}

func waveOf(q url.Values) int {
	n, _ := strconv.Atoi(q.Get("wave")) // no number is every wave
	return max(n, 0)
}

func (s *handlers) showLabels(c *gin.Context, status int, q url.Values) error {
	by := site.SessionOf(c)
	labels, err := s.Panel.CodeLabels(c.Request.Context(), by)
	if err != nil {
		return err
	}
	g, wrong := readGrid(q)
	page := labelsPage{StaffFrame: site.StaffFrameFor(c, by.Role, "Labels", labels.Sitting, labels.Invented), Grid: g,
		Problems: wrong, Wave: waveOf(q)}
	page.Style = "/kitchen/labels.css?" + g.Values().Encode()
	page.choices(q)
	var all []label
	for i, codes := range labels.Waves {
		number := i + 1
		page.Waves = append(page.Waves, number)
		if page.Wave != 0 && page.Wave != number {
			continue
		}
		for _, code := range codes {
			all = append(all, label{code, number, false})
		}
	}
	page.Count = len(all)
	if page.Wave == 0 { // a spare belongs to no wave
		for _, code := range labels.Spares {
			all = append(all, label{code, 0, true})
		}
	}
	page.Spares = len(all) - page.Count
	if len(wrong) == 0 {
		page.Sheets = onSheets(all, g)
	}
	return site.Show(s.Site, c, status, labelsScreen, page)
}

// choices fills in what the form offers, with what was typed.
func (p *labelsPage) choices(q url.Values) {
	for _, g := range labelSizes {
		to := g.Values()
		to.Set("wave", strconv.Itoa(p.Wave))
		p.Sizes = append(p.Sizes, sizeChoice{g.Name(), "/kitchen/labels?" + to.Encode(), g.Name() == p.Grid.Name()})
	}
	p.Fields = append(p.Fields, gridField{"columns", "Columns", q.Get("columns"), "numeric"},
		gridField{"rows", "Rows", q.Get("rows"), "numeric"})
	for _, f := range gridFields {
		mode := "decimal"
		if f.Least < 0 {
			mode = "text" // some phones' number keys have no minus sign
		}
		p.Fields = append(p.Fields, gridField{f.Name, f.Label, q.Get(f.Name), mode})
	}
	p.Fields = append(p.Fields, gridField{"skip", "Labels of the first sheet that are used up", q.Get("skip"),
		"numeric"})
}

// onSheets lays labels out, the first after those that are used up.
func onSheets(all []label, g labelGrid) [][]label {
	if len(all) == 0 {
		return nil
	}
	all = append(make([]label, g.Skip), all...)
	var sheets [][]label
	for each := g.Columns * g.Rows; len(all) > 0; {
		n := min(each, len(all))
		sheets = append(sheets, all[:n])
		all = all[n:]
	}
	return sheets
}

// labelStyle is the style sheet of a grid.
func (s *handlers) labelStyle(c *gin.Context) error {
	g, wrong := readGrid(c.Request.URL.Query())
	if len(wrong) > 0 {
		return panel.ErrBadValue
	}
	site.Write(c, http.StatusOK, "text/css; charset=utf-8", []byte(g.css()), nil)
	return nil
}

package report

import (
	"fmt"
	"html/template"
	"slices"

	"cloche/internal/analysis"
	"cloche/internal/study"
	"cloche/web"
)

// Options are what the page says beside study and findings.
type Options struct {
	// Tell puts what stands on the first screen into the language of who reads it; nil = English
	Tell      func(study.Said) string
	LangOf    func(string) string // the language of a text of the study, where it is another; nil = not said
	Simulated bool                // nobody tasted: every part says that its ratings are simulated
	Notes     []string            // of the running of the study, e.g. that the blind was broken for a serving and why
	Flow      *Flow               // nil when it is not known who came
	Methods   []MethodsText       // a paragraph for a paper in each language, English first; nil for none

	Deviations []Deviation // from the plan, as far as they are on record; of no use without Flow

	BlindTo  []Fact            // who was kept from knowing what, and what came of it
	Rated    []analysis.Rating // to draw by position and sitting; nil = not drawn
	Answered []AnsweredAt      // to draw how the evening went; nil = not drawn
}

// Page is what web/templates/report_body.html shows. Everything is text ready
// to be read; nothing in it needs a template function.
type Page struct {
	Title     string
	TitleLang string // BCP 47, where the page around it is in another language; else ""
	Invented  bool
	Heads     Heads // of the first screen
	Simulated bool  // then every part is marked, and the title is no h1: the page around it has one
	Outcome   Outcome
	Verdict   []string // the primary finding, sentence by sentence
	Plain     int      // sentences of it that come first and hold no statistics: points, people, sure or not
	Next      string   // what to do now
	Sure      *Sure    // the primary finding beside the same reckoned in other ways; nil for none
	Limits    string   // what the study cannot say
	Beside    []Beside // what it answers beside that, for whoever acts
	Asked     string   // what was compared, of whom
	Others    []Said   // secondary findings: those of the primary pair and those that are clear
	MoreOther []Said   // of a long page the clear ones that are shown on request
	Further   string   // says how many more there are in the table; "" for none
	Figures   []Figure
	// FiguresMissing says how to get figures when their script was not built.
	FiguresMissing string
	Table          []Row         // of what was rated
	Folded         int           // rows of it that are shown on request
	FoldedText     string        // says so
	Choices        []Row         // of what was chosen
	Amounts        []Row         // of lines over amounts
	Panels         []Panel       // of all samples together
	Effects        []Effects     // of dishes crossed with names
	Tables         []NumberTable // of words that were ticked
	// FoldedPanelsText says what is found on the attributes whose part is shown on request.
	FoldedPanelsText string
	AboutRights      []AboutRight
	Profile          *ProfilePart // of a study that describes its samples
	Expected         *Expected    // nil when no name was read before tasting
	OnePair          string       // what every row compares; "" when they differ
	Headings         Headings
	Notes            []Note // footnotes of the tables, in order
	FoldedNotes      []Note // those of rows that are shown on request
	Remarks          []Note // of the whole study, but for [analysis.WarnInvented]: see Invented
	Running          []string
	Flow             []FlowStep
	Deviations       []Deviation // from the plan
	BlindTo          []Fact
	MethodsTexts     []MethodsText
	Technical        Technical
}

// Said is a finding in a sentence or two.
type Said struct {
	Outcome Outcome
	Text    string
}

// Figure is drawn by web/static/figure.js from its option. Alt and Data say the
// same in words and numbers.
type Figure struct {
	ID        string
	Simulated bool // as [Page.Simulated]
	Spoken    bool // it speaks the language of the page around it; else English
	langOf    func(string) string
	InWords   string // head of what says it in words and numbers; "" in English
	Title     string
	Alt       string // what is to be seen, for those who do not see it
	Height    int    // pixels
	Option    template.JS
	Legend    []LegendEntry
	Left      string // what lies to the left of the zero line; "" when it has none
	Right     string
	Key       string // what its letters stand for, where a picture of it has no caption; "" when it has none
	Data      DataTable
	Caption   string
}

// LangOf is the language of a text of a figure that speaks the language of its page, where the text is a
// study's own and in another; else "".
func (f Figure) LangOf(text string) string {
	if f.langOf == nil || !f.Spoken {
		return ""
	}
	return f.langOf(text)
}

// LegendEntry explains a mark of a figure. Mark is a class of report.css.
type LegendEntry struct{ Mark, Text string }

// DataTable holds the numbers of a figure.
type DataTable struct {
	Headings []string
	Rows     [][]string
}

// Headings are those of a table of findings.
type Headings struct {
	Difference string   // "Difference", "Median difference"
	Moved      string   // "Up / down / same", or what stands there of groups
	Interval   string   // "95 % interval", or "interval" when the rows have several levels
	Below      []string // how to read it
}

// Row is a finding in the table of its kind. A table shows the fields that its kind
// fills: means and moves for pairs, counts and share for choices.
type Row struct {
	Ask, Compared   string // the question; "X minus Y"
	Attribute, Pair string // the same in ids: "saltiness", "A − B"
	Role            string
	N               int
	People          string // N in words, or those of each group: "40 + 41"
	Counts          string // "27 / 10 / 3"
	Share           string
	MeanFirst       string
	MeanSecond      string
	Difference      string
	Interval        string
	Moved           string
	P               string
	Clear           bool
	Folded          bool      // of a long page: shown on request
	TestsFolded     bool      // likewise its technical part
	Notes           []int     // numbers of the footnotes
	Technical       []TechRow // tests, then effects, then checks
	Excluded        []string
}

// TechRow is a test, an effect or a check in the technical part; "—" stands
// for what it has none of.
type TechRow struct{ What, Value, Interval, DF, P string }

// Note is a warning; Number is its footnote, 0 when it is not one.
type Note struct {
	Number     int
	Code, Text string
}

// Technical is the last part of the page.
type Technical struct {
	PlanHash    string
	Facts       []Fact
	Excluded    []string
	Assumptions []string
	Methods     []string
}

// Fact is a line of the technical part.
type Fact struct{ What, Value string }

// Build makes the page of a result.
func Build(s *study.Study, r *analysis.Result, o Options) Page {
	tell := o.Tell
	if tell == nil {
		tell = English
	}
	p := Page{Heads: headsIn(tell), Title: s.Title, Invented: s.Invented, Simulated: o.Simulated,
		Outcome: NoAnswer, Running: o.Notes,
		Flow: FlowSteps(o.Flow, r), MethodsTexts: o.Methods, Deviations: o.Deviations,
		BlindTo: o.BlindTo, Headings: headingsOf(s, twoSamples(r.Findings)), Technical: technicalOf(s, r)}
	if !web.FiguresBuilt() {
		p.FiguresMissing = "The script that draws the figures was not built into this program. " +
			"The numbers are in the tables; for figures run “npm --prefix web ci” and build again."
	}
	for _, w := range r.Warnings {
		if w.Code == analysis.WarnInvented { // said at the top of the page
			continue
		}
		p.Remarks = append(p.Remarks, Note{Code: w.Code, Text: upperFirst(w.Text) + "."})
	}
	notes, further, shown := newFootnotes(), 0, inView(s, r.Findings)
	for i, f := range r.Findings {
		v := verdictOf(s, f)
		switch {
		case i == 0:
			p.Outcome, p.Verdict, p.Asked = v.Outcome, spoken(tell, v.Sentences), kindOf(f).asked(s, f)
			p.Next, p.Sure, p.Plain = tell(nextWords(f)), sureOf(s, f), plainLines(v.Sentences)
		case f.Kind == analysis.KindPanel, f.Kind == analysis.KindAboutRight: // have a part of their own
		case (f.Compares(s.Plan.Compare) || v.Outcome == Clear || toldBeside(s, f)) && shown[i]:
			p.Others = append(p.Others, Said{v.Outcome, v.Text()})
		case v.Outcome == Clear:
			p.MoreOther = append(p.MoreOther, Said{v.Outcome, v.Text()})
		default:
			further++
		}
		p.add(s, f, v, notes, shown[i])
	}
	if r.Blinding != nil {
		p.Tables = append(p.Tables, blindingTable(s, r.Blinding))
	}
	p.OnePair, p.Limits = onePair(p.Table), tell(limits(s, r))
	p.fold(s)
	p.Expected, p.Beside = expectedOf(s, r, notes), besideAnswers(s, r, tell)
	p.foldNotes(notes.list)
	switch {
	case further == 1:
		p.Further = "One more secondary comparison, not clear, is in the table."
	case further > 1:
		p.Further = fmt.Sprintf("%d more secondary comparisons, none of them clear, are in the table.", further)
	}
	if len(p.Amounts) > 0 && adjustedTogether(r.Findings) > 0 {
		p.Headings.Interval = "interval"
	}
	p.Headings.Below = append(p.Headings.Below, dosesBelow(s, r.Findings)...)
	p.Figures = figuresOf(tell, s, r)
	p.drawPanel(s, r)
	p.drawAboutRight(s, r)
	p.drawProfile(s, r)
	p.drawWays(s, r)
	p.drawBeside(s, r, o)
	if p.Profile = profileOf(s, r); p.Profile != nil {
		p.Profile.Simulated = o.Simulated
	}
	for i := range p.AboutRights {
		p.AboutRights[i].Simulated = o.Simulated
	}
	for i := range p.Panels {
		p.Panels[i].Simulated = o.Simulated
	}
	for i := range p.Figures {
		p.Figures[i].Simulated, p.Figures[i].langOf = o.Simulated, o.LangOf
	}
	return p
}

// drawPanel draws all samples on the primary attribute, where the primary finding is not
// drawn so already.
func (p *Page) drawPanel(s *study.Study, r *analysis.Result) {
	for _, f := range ofKind(r.Findings, analysis.KindPanel) {
		if f.Attribute == s.Plan.Attribute && f.Role != analysis.Primary {
			p.Figures = append(p.Figures, panelFigures(English, s, r, f)...)
		}
	}
}

// add puts a row into the table of its kind.
func (p *Page) add(s *study.Study, f analysis.Finding, v Verdict, notes *footnotes, shown bool) {
	r := kindOf(f).row(s, f, v, notes)
	r.Folded = !shown
	switch f.Kind {
	case analysis.KindChoice:
		p.Choices = append(p.Choices, r)
	case analysis.KindRanking:
		p.Choices = append(append(p.Choices, r), rankedPairRows(s, f)...)
		p.Headings.Below = append(p.Headings.Below, rankingBelow(s, f)...)
	case analysis.KindDose, analysis.KindNamedDose, analysis.KindThreshold:
		p.Amounts = append(p.Amounts, r)
	case analysis.KindWords:
		p.Choices, p.Tables = append(p.Choices, r), append(p.Tables, wordTables(s, f)...)
	case analysis.KindFactor:
		p.addEffect(r)
	case analysis.KindAboutRight:
		p.AboutRights = append(p.AboutRights, aboutRightOf(s, f, r, v))
	case analysis.KindPanel:
		p.Panels = append(p.Panels, panelOf(s, f, r, v))
	default:
		p.Table = append(p.Table, r)
	}
	if f.People != nil {
		p.Tables = append(p.Tables, peopleTable(s, f))
	}
}

// Tested are the rows of all tables that have a technical part.
func (p Page) Tested() []Row {
	rows := slices.Concat(p.Table, p.Choices, p.Amounts)
	for _, x := range p.Effects {
		rows = append(rows, x.Rows...)
	}
	rows = slices.DeleteFunc(rows, func(r Row) bool { return len(r.Technical) == 0 })
	for _, x := range p.Panels {
		rows = append(rows, x.Row)
	}
	for _, x := range p.AboutRights {
		rows = append(rows, x.Row)
	}
	if p.Expected != nil {
		rows = append(rows, p.Expected.Table...)
		for _, w := range p.Expected.Ways {
			rows = append(rows, w.Row)
		}
	}
	return rows
}

func onePair(rows []Row) string {
	for _, r := range rows {
		if r.Pair != rows[0].Pair {
			return ""
		}
	}
	if len(rows) == 0 {
		return ""
	}
	return rows[0].Compared
}

// footnotes numbers warnings; the same words get the same number.
type footnotes struct {
	list   []Note
	number map[analysis.Warning]int
}

func newFootnotes() *footnotes { return &footnotes{number: map[analysis.Warning]int{}} }

// ofAll are the numbers of several warnings, in order.
func (n *footnotes) ofAll(ws []analysis.Warning) []int {
	var numbers []int
	for _, w := range ws {
		numbers = append(numbers, n.of(w))
	}
	slices.Sort(numbers)
	return numbers
}

func (n *footnotes) of(w analysis.Warning) int {
	if k, ok := n.number[w]; ok {
		return k
	}
	k := len(n.list) + 1
	n.number[w] = k
	n.list = append(n.list, Note{k, w.Code, upperFirst(w.Text) + "."})
	return k
}

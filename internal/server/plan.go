package server

import (
	"bytes"
	"cmp"
	"errors"
	"fmt"
	"net/http"
	"strconv"
	"strings"

	"github.com/gin-gonic/gin"

	"cloche/internal/analysis"
	"cloche/internal/panel"
	"cloche/internal/study"
)

// planPage is the plan as it was fixed, on one sheet: on screen, on paper and as text.
type planPage struct {
	frame
	ID, Study string
	State     string
	Parts     []planPart
	Seeded    bool // the seed stands in the study file
	Differs   bool // the canonical form has another hash than the one that was fixed
	MaySign   bool
	Signer    string // as it was typed, when it comes back
	Problems  []problem
}

// planPart is one part of the sheet.
type planPart struct {
	Heading string
	Facts   []fact
	Lines   []string
}

var planScreen = screen[planPage]{"plan", desk}

// fixed returns a study whose plan is fixed; [panel.ErrWrongState] of a draft.
func (s *server) fixed(c *gin.Context) (panel.Study, error) {
	kept, err := s.svc.Study(c.Request.Context(), c.Param("id"))
	if err == nil && kept.State == panel.Draft {
		err = panel.ErrWrongState
	}
	return kept, err
}

func (s *server) plan(c *gin.Context) error { return s.showPlan(c, http.StatusOK, "", nil) }

func (s *server) showPlan(c *gin.Context, status int, signer string, problems []problem) error {
	kept, err := s.fixed(c)
	if err != nil {
		return err
	}
	lines, err := s.svc.Versions(c.Request.Context(), kept.ID)
	if err != nil {
		return err
	}
	parts := planParts(kept, lines)
	_, p, err := s.svc.Progress(c.Request.Context(), kept.ID)
	if err != nil {
		return err
	}
	return show(s, c, status, planScreen, planPage{
		frame: s.deskFrame(c, "Plan", kept.Asked.Invented), ID: kept.ID, Study: titleOf(kept), State: kept.State.String(), Parts: parts,
		Seeded: kept.Asked.Serving.HasSeed, Differs: study.Hash(kept.Asked) != kept.Lock.StudyHash,
		MaySign: panel.MayDo(who(c).Role, panel.ActCountersign, kept.State) && kept.Countersigned.At.IsZero() && p.Servings == 0,
		Signer:  signer, Problems: problems,
	})
}

// planParts says what was fixed. It is the same before and after close: nothing in
// it is drawn by lot.
func planParts(kept panel.Study, lines []panel.VersionLine) []planPart {
	parts := append(sheet(kept.Asked), planPart{Heading: "What was fixed, and how to check it", Facts: hashesFixed(kept), Lines: checkWords(kept)})
	return append(parts, versionsFixed(kept, lines)...)
}

// sheet is all that a lock fixes but what is drawn by lot.
func sheet(a *study.Study) []planPart {
	return []planPart{
		{Heading: "Question", Facts: []fact{{"Asked", a.Title}, {"Kind of test", questionFixed(a.Question)}, {"Hypothesis", cmp.Or(a.Hypothesis, "none was written down")}}},
		{Heading: "Samples", Facts: samplesFixed(a)},
		{Heading: "What each assessor is asked", Facts: asksFixed(a)},
		{Heading: "Panel", Facts: panelFixed(a)},
		{Heading: "What will be tested", Lines: tested(a)},
		{Heading: "What is left out, and when tasting ends", Facts: []fact{
			{"Left out", leftOutFixed(a)}, {"Tasting ends", sentence(analysis.StoppingRule(a))}}},
		{Heading: "Words that assessors read", Facts: textsFixed(a.Texts)},
	}
}

// questionFixed says a question as a cook would.
func questionFixed(q study.Question) string {
	if q.CollectsRatings() {
		return q.Kind().Asks
	}
	return q.Kind().Asks + " (" + string(q) + ")"
}

func samplesFixed(a *study.Study) []fact {
	var facts []fact
	for _, x := range a.Samples {
		d, _ := a.Dish(x.Dish)
		text := d.Title
		if name := a.NameText(x.ID); name != "" {
			text += ", called “" + name + "”"
		} else {
			text += ", served without a name"
		}
		for _, more := range []string{d.Portion, degrees(d.ServeAt)} {
			if more != "" {
				text += ", " + more
			}
		}
		facts = append(facts, fact{"Sample " + string(x.ID), text + "; contains: " + d.Contents().Words()})
	}
	return facts
}

func asksFixed(a *study.Study) []fact {
	var facts []fact
	for _, x := range a.Attributes {
		facts = append(facts, fact{x.Ask, scaleWords(x.Scale)})
	}
	if a.Serving.Expectation {
		facts = append(facts, fact{"Before tasting", "the names are read, and what is expected of each is rated"})
	}
	return facts
}

func panelFixed(a *study.Study) []fact {
	facts := panelFacts(a)
	if cost, err := analysis.CostOf(a, a.Panel.Assessors); err == nil {
		facts = append(facts, fact{"Time of each", "about " + counted(cost.Minutes, "minute")})
	}
	if !a.Serving.Minimise {
		facts = append(facts, fact{"Blocks in which orders are drawn", blockWords(a.Serving)})
	}
	if a.Panel.MinimumAge > 0 {
		facts = append(facts, fact{"Minimum age", strconv.Itoa(a.Panel.MinimumAge)})
	}
	for _, x := range a.Panel.Screening {
		facts = append(facts, fact{"Asked before the first plate", fmt.Sprintf("“%s” (%s)", x.Ask, x.ID)})
	}
	return facts
}

// blockWords says what blocks are and what their size means.
func blockWords(v study.Serving) string {
	if v.RandomBlocks() {
		return "of random size: whoever has seen the earlier orders of a block can hardly guess the next"
	}
	return "of fixed size: counts stay even at every moment, but whoever has seen the other orders of a block can guess its last"
}

// leftOutFixed says whose ratings are not analysed.
func leftOutFixed(a *study.Study) string {
	text := "The answers of whoever withdraws are deleted."
	for _, x := range a.Panel.Screening {
		text += fmt.Sprintf(" Whoever says %s to “%s” is not counted in the findings.", x.LeavesOut, x.Ask)
	}
	return text + " The report counts them all."
}

func textsFixed(t study.Texts) []fact {
	var facts []fact
	for _, x := range []fact{{"Welcome", t.Welcome}, {"Consent", t.Consent}, {"Instructions", t.Instructions}, {"Debrief, after close", t.Debrief}} {
		if x.Text != "" {
			facts = append(facts, x)
		}
	}
	return facts
}

func hashesFixed(kept panel.Study) []fact {
	facts := []fact{{"Version", strconv.Itoa(kept.Version)}, {"Locked", when(kept.Lock.At)}, {"Study, SHA-256", kept.Lock.StudyHash}, {"Serving plan, SHA-256", kept.Lock.PlanHash}}
	if x := kept.Countersigned; !x.At.IsZero() {
		return append(facts, fact{"Countersigned", x.Name + ", " + when(x.At) + ", before the first rating"})
	}
	return append(facts, fact{"Countersigned", "no"})
}

func checkWords(kept panel.Study) []string {
	return []string{
		"The first hash is that of study.json, to the byte: download it and run “sha256sum” on it, or any other program that makes a SHA-256.",
		"The second is that of the serving plan: who gets what, in which order, under which code. It stays shut until the study is closed; serving-plan.txt in the data package then has this hash.",
		"Study " + kept.ID + ".",
	}
}

// versionsFixed tells of all versions, when there are several.
func versionsFixed(kept panel.Study, lines []panel.VersionLine) []planPart {
	if len(lines) < 2 {
		return nil
	}
	part := planPart{Heading: "Versions", Lines: []string{fmt.Sprintf("This is version %d.", kept.Version)}}
	for _, v := range lines {
		text := standing(v)
		if v.State != panel.Draft {
			text += ", study " + v.StudyHash
		}
		if why := amendedWords(v); why != "" {
			text += ". " + why
		}
		part.Facts = append(part.Facts, fact{fmt.Sprintf("Version %d", v.Number), text})
	}
	return []planPart{part}
}

// studyJSON gives the canonical form of the study: the bytes that were hashed.
func (s *server) studyJSON(c *gin.Context) error {
	kept, err := s.fixed(c)
	if err != nil {
		return err
	}
	return download(c, kept, "application/json", "study.json", bytes.NewBuffer(study.Canonical(kept.Asked)))
}

// planText gives the sheet as plain text.
func (s *server) planText(c *gin.Context) error {
	kept, err := s.fixed(c)
	if err != nil {
		return err
	}
	lines, err := s.svc.Versions(c.Request.Context(), kept.ID)
	if err != nil {
		return err
	}
	return download(c, kept, "text/plain; charset=utf-8", "plan.txt", bytes.NewBuffer(planSheet(kept, lines)))
}

// planSheet is the sheet as plain text.
func planSheet(kept panel.Study, lines []panel.VersionLine) []byte {
	var b bytes.Buffer
	title := titleOf(kept)
	fmt.Fprintf(&b, "%s\n%s\n", title, strings.Repeat("=", len([]rune(title))))
	if kept.Asked.Invented {
		b.WriteString("\nThe data of this study are invented.\n")
	}
	for _, p := range planParts(kept, lines) {
		fmt.Fprintf(&b, "\n%s\n%s\n", p.Heading, strings.Repeat("-", len([]rune(p.Heading))))
		for _, f := range p.Facts {
			fmt.Fprintf(&b, "%s: %s\n", f.Term, strings.ReplaceAll(strings.TrimSpace(f.Text), "\n", "\n  "))
		}
		for _, l := range p.Lines {
			fmt.Fprintf(&b, "%s\n", l)
		}
	}
	return b.Bytes()
}

// countersign puts the partner's name to the plan.
func (s *server) countersign(c *gin.Context) error {
	id, name := c.Param("id"), c.Request.PostFormValue("name")
	err := s.svc.Countersign(c.Request.Context(), who(c), id, name)
	if errors.Is(err, panel.ErrBadValue) {
		return s.showPlan(c, http.StatusUnprocessableEntity, name,
			[]problem{{"name", fmt.Sprintf("Write the name to sign with, in at most %d characters.", panel.MaxSigner)}})
	}
	if err != nil {
		return err
	}
	return seeOther(c, "/studies/"+id+"/plan")
}

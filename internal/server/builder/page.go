package builder

import (
	"cloche/internal/panel"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"github.com/gin-gonic/gin"

	"cloche/internal/server/site"
	"cloche/internal/server/summary"
	"cloche/internal/study"
)

// building is what every page of the builder begins with.
type building struct {
	site.Frame
	ID               panel.StudyID
	Called           string // the study's id and title
	Revision         int
	Shown            string // what the page shows of each field, for a form that comes back late
	Steps            []StepLink
	Name             string // of the step
	Heading          string
	Number, Of       int
	Next             string // title of the next step; "" on the last
	CanUndo, CanRedo bool
	NextHref         string // of the next step, when something was just found missing on this one; else ""
	Stale            bool
	Refused          bool       // something could not be taken, so that nothing was saved
	Lost             []lostText // what was typed into fields that are gone
	Told             string     // what was done, in words
	Rewritten        bool       // the save before wrote more lines of the file than were changed
	Wrong, Open      []remark   // of this step: to mend, and not filled in yet
	Jumps            []remark   // to the languages of a long page
	Parts            []part
}

// StepLink is a step in the list of steps.
type StepLink struct {
	Href, Title string
	State       string // what is open in it, in words
	Current     bool
	Wrong       bool
}

// remark is a problem with the address of the field that it is about.
type remark struct{ Href, Text string }

// lostText is what was typed into a field that is gone.
type lostText struct{ Path, Text string }

// fields is a step that is nothing but fields.
type fields struct{ building }

var fieldsScreen = site.DeskScreen[fields]("builder/fields")

func showFields(s *handlers, c *gin.Context, status int, b *builder) error {
	return site.Show(s.Site, c, status, fieldsScreen, fields{s.building(c, b)})
}

// building makes what every page of the builder begins with.
func (s *handlers) building(c *gin.Context, b *builder) building {
	all, place := b.steps(), b.place()
	p := building{
		Frame: s.StudyFrame(c, b.say(b.step.title)+" · "+summary.Title(b.tongue, b.saved), b.asked), ID: b.saved.ID,
		Called: summary.Title(b.tongue, b.saved), Revision: b.saved.Revision, Shown: b.shown(),
		Name: b.step.name, Heading: b.say(b.step.title), Number: place, Of: len(all),
		CanUndo: b.saved.CanUndo, CanRedo: b.saved.CanRedo, Stale: b.stale, Refused: len(b.refused) > 0,
		Told:      b.say(savedWords(c.Query("saved"))),
		Rewritten: c.Query("rewritten") != "",
	}
	if place > 0 && place < len(all) {
		p.Next = b.say(all[place].title)
		if c.Query("saved") == "gained" {
			p.NextHref = b.Href(all[place].name)
		}
	}
	p.Steps = b.Links()
	if b.step.parts != nil {
		p.Parts = b.worded(b.step.parts(b))
	}
	b.fillBack(&p)
	b.putProblems(&p)
	for i := range p.Parts {
		for j := range p.Parts[i].Fields {
			p.Parts[i].Fields[j] = p.Parts[i].Fields[j].withChosen()
		}
	}
	return p
}

// savedWords says what a save did.
func savedWords(saved string) string {
	return map[string]string{"save": "Saved.", "undo": "Undone.", "redo": "Done again.",
		"remove": "Removed. Undo takes it back.", "gained": "Saved."}[saved]
}

// fillBack puts what was sent back into the fields, and keeps apart what has no
// field any more.
func (b *builder) fillBack(p *building) {
	if b.sent == nil {
		return
	}
	known := map[string]bool{"revision": true, "do": true, shownField: true}
	for i := range p.Parts {
		for j := range p.Parts[i].Fields {
			f := &p.Parts[i].Fields[j]
			known[f.Name] = true
			if sent, ok := b.sent[f.Name]; ok {
				f.back(f.cleaned(sent), b.stale && (b.contested == nil || b.contested[f.Name]))
			}
		}
	}
	for name, sent := range b.sent {
		if text := strings.TrimSpace(strings.Join(sent, "\n")); !known[name] && text != "" {
			p.Lost = append(p.Lost, lostText{name, text})
		}
	}
	slices.SortFunc(p.Lost, func(x, y lostText) int { return strings.Compare(x.Path, y.Path) })
}

// putProblems puts each problem of the step beside its field and into the summary.
func (b *builder) putProblems(p *building) {
	for _, x := range b.Problems {
		if b.owner(x.Path) != b.step.name {
			continue
		}
		f := nearestField(p.Parts, x.Path)
		r := remark{"", b.says(x)}
		switch {
		case f != nil:
			r = remark{"#" + f.ID, whereabouts(p.Parts, x.Path) + b.says(x)}
		case b.step.parts != nil && nearestPart(p.Parts, x.Path) != "":
			r.Href = "#" + nearestPart(p.Parts, x.Path)
		default:
			r.Href = b.Href(textStep) + "#line-" + strconv.Itoa(x.Line)
		}
		if b.isOpen(x) {
			p.Open = append(p.Open, r)
			if f != nil {
				f.Open = true
			}
			continue
		}
		p.Wrong = append(p.Wrong, r)
		if f != nil {
			f.Wrong = append(f.Wrong, b.says(x))
		}
	}
	for _, x := range b.refused {
		r := remark{"#main", x.Text}
		if f := nearestField(p.Parts, x.Path); f != nil {
			r.Href = "#" + f.ID
			f.Wrong = append(f.Wrong, x.Text)
		}
		p.Wrong = append(p.Wrong, r)
	}
}

// nearestField is the field of a path: its own, that of the value around it, or
// the first of those inside it.
func nearestField(parts []part, path string) *buildField {
	var around, inside *buildField
	for i := range parts {
		for j := range parts[i].Fields {
			f := &parts[i].Fields[j]
			switch {
			case f.Path == path:
				return f
			case f.Path != "" && below(path, f.Path) && (around == nil || len(f.Path) > len(around.Path)):
				around = f
			case inside == nil && below(f.Path, path):
				inside = f
			}
		}
	}
	if around != nil {
		return around
	}
	return inside
}

// whereabouts say in the words of the page which field a problem is about, for a
// list in which two dishes may lack the same; "" when no field holds the path.
func whereabouts(parts []part, path string) string {
	for _, p := range parts {
		for _, f := range p.Fields {
			if f.Path == "" || f.Path != path && !below(path, f.Path) {
				continue
			}
			if strings.HasPrefix(p.Kind, "item") {
				return p.Heading + ", " + f.Label + ": "
			}
			return f.Label + ": "
		}
	}
	return ""
}

// nearestPart is the id of the part that a path belongs to, "" when there is none.
func nearestPart(parts []part, path string) string {
	best := ""
	for _, p := range parts {
		id := fieldID(path)
		if p.ID != "" && (id == p.ID || strings.HasPrefix(id, p.ID+"-")) && len(p.ID) > len(best) {
			best = p.ID
		}
	}
	return best
}

// below reports whether a path is that of something inside another.
func below(path, around string) bool {
	rest, ok := strings.CutPrefix(path, around)
	return ok && rest != "" && (rest[0] == '.' || rest[0] == '[')
}

// owner is the step that a problem at a path belongs to; the file's own page for
// what no step edits.
func (b *builder) owner(path string) string {
	if translatedName.MatchString(path) || wholeItem.MatchString(path) && len(b.keysAt(path)) > 0 {
		return "names" // where names are written, and dishes served under them
	}
	best, longest := textStep, -1
	for _, x := range steps() {
		for _, own := range x.owns {
			if (path == own || below(path, own)) && len(own) > longest {
				best, longest = x.name, len(own)
			}
		}
	}
	return best
}

// wholeItem is the path of an item of a list that only another list can complete:
// a dish or a name that is in no sample.
var wholeItem = regexp.MustCompile(`^(dishes|names)\[\d+\]$`)

// isOpen tells what is not filled in yet from what is wrong: nothing stands there,
// or a list is short of items.
func (b *builder) isOpen(x study.Problem) bool {
	if b.text == nil || x.Path == "" {
		return false
	}
	if wholeItem.MatchString(x.Path) {
		return len(b.keysAt(x.Path)) > 0
	}
	return b.text.Value(x.Path) == "" && b.text.Len(x.Path) < 2 && len(b.text.Keys(x.Path)) == 0
}

func (b *builder) keysAt(path string) []string {
	if b.text == nil {
		return nil
	}
	return b.text.Keys(path)
}

// Links is the list of steps with what is open in each.
func (b *builder) Links() []StepLink {
	wrong, open := b.counts()
	var list []StepLink
	for _, x := range b.steps() {
		list = append(list, StepLink{
			Href: b.Href(x.name), Title: b.say(x.title), State: b.stateWords(wrong[x.name], open[x.name]),
			Current: x.name == b.step.name, Wrong: wrong[x.name] > 0,
		})
	}
	return append(list, StepLink{
		Href: b.Href(textStep), Title: b.say("The file itself"), State: b.stateWords(wrong[textStep], open[textStep]),
		Current: b.step.name == textStep, Wrong: wrong[textStep] > 0,
	})
}

// counts are how many problems of each kind stand in each step.
func (b *builder) counts() (wrong, open map[string]int) {
	wrong, open = map[string]int{}, map[string]int{}
	for _, x := range b.Problems {
		if b.isOpen(x) {
			open[b.owner(x.Path)]++
		} else {
			wrong[b.owner(x.Path)]++
		}
	}
	return wrong, open
}

func (b *builder) stateWords(wrong, open int) string {
	var words []string
	if wrong > 0 {
		words = append(words, b.say("%d to fix", wrong))
	}
	if open > 0 {
		words = append(words, b.say("%d still open", open))
	}
	return strings.Join(words, ", ")
}

package builder

import (
	"errors"
	"net/http"
	"slices"
	"strconv"

	"github.com/gin-gonic/gin"

	"cloche/internal/panel"
	"cloche/internal/server/site"
	"cloche/internal/server/summary"
	"cloche/internal/study"
)

// Quick start is a short road through the builder: one question a screen, then all
// answers on one page. It fills the same draft through the same fields, and leaves
// everything else at its default.

// quickStep is a screen of quick start.
type quickStep struct {
	name, title string
	hint        string
	parts       func(*builder) []part
	// applies tells whether the study has this question; nil: every study has.
	applies func(*builder) bool
}

// quickSteps are the screens, in their order.
func quickSteps() []quickStep {
	return []quickStep{
		{name: "names", title: "Under which names?", parts: quickNames, applies: (*builder).comparesNames,
			hint: "One dish, served under each of them."},
		{name: "dishes", title: "Which dishes?", parts: quickDishes, applies: (*builder).comparesDishes,
			hint: "Guests taste them blind."},
		{name: "plate", title: "What is on the plate?", parts: quickPlate},
		{name: "contains", title: "What does it contain?", parts: quickContains,
			hint: "Check every label. Guests read this."},
		{name: "age", title: "From which age?", parts: quickAge, applies: (*builder).pours},
		{name: "first", title: "What matters most?", parts: quickFirst, applies: (*builder).rates,
			hint: "This decides."},
		{name: "also", title: "Ask anything else?", parts: quickAlso, applies: (*builder).rates,
			hint: "Two are plenty."},
		{name: "change", title: "How big a change would you act on?", parts: quickChange,
			applies: (*builder).asksChange},
		{name: "guests", title: "How many guests, and when?", parts: quickGuests},
	}
}

func (b *builder) comparesNames() bool  { return b.asked.Question.Kind().NamesMatter }
func (b *builder) comparesDishes() bool { return !b.comparesNames() }
func (b *builder) rates() bool          { return b.asked.Question.CollectsRatings() }

// pours reports whether a dish contains alcohol.
func (b *builder) pours() bool {
	return slices.ContainsFunc(b.asked.Dishes, func(d study.Dish) bool { return d.Alcohol })
}

// choosesLiked reports whether one of two dishes is chosen, and a share of those choices
// is what the study is about.
func (b *builder) choosesLiked() bool {
	k := b.asked.Question.Kind()
	return k.Response == study.ChooseOne && k.Attributes == study.NoAttributes && k.ShareAbove > 0 && !k.Tells
}

// quickEnd is the name of the page of all answers.
const quickEnd = "check"

// IsQuick reports whether quick start holds what the draft asks: one dish under names, or
// dishes served blind, rated or one chosen.
func (b *builder) IsQuick() bool {
	if b.text == nil || b.asked.Plan.EffectOf != "" {
		return false
	}
	k := b.asked.Question.Kind()
	rated := k.Attributes == study.SomeRated && !k.Amounts && k.Plans("compare")
	if k.NamesMatter {
		return rated && b.text.Len("dishes") < 2
	}
	return b.text.Len("names") == 0 && (rated || b.choosesLiked())
}

// road is the screens that the draft needs.
func (b *builder) road() []quickStep {
	return slices.DeleteFunc(quickSteps(), func(x quickStep) bool { return x.applies != nil && !x.applies(b) })
}

// QuickHref is the address of a screen of quick start; of the page of all answers for "".
func (b *builder) QuickHref(name string) string {
	if name == "" {
		name = quickEnd
	}
	return "/studies/" + string(b.saved.ID) + "/quick/" + name
}

// quickPage is a screen of quick start.
type quickPage struct {
	building
	Hint    string
	Back    bool   // there is a screen before this one
	ToCheck bool   // it was opened from the page of all answers
	Missing bool   // somebody went on, and something is missing here
	Notice  *notes // what panels of some sizes would notice
}

var quickScreen = site.DeskScreen[quickPage]("builder/quick")

// quickBuilder opens a draft at a screen of quick start.
func (s *handlers) quickBuilder(c *gin.Context) (*builder, quickStep, error) {
	b, err := s.builder(c, steps()[0].name)
	if err != nil {
		return nil, quickStep{}, err
	}
	b.step = step{name: quickEnd, title: "Check your answers"}
	if !b.IsQuick() {
		return b, quickStep{}, errNotQuick
	}
	if c.Param("step") == quickEnd {
		return b, quickStep{name: quickEnd}, nil
	}
	for _, x := range b.road() {
		if x.name == c.Param("step") {
			b.step = step{name: x.name, title: x.title, parts: x.parts}
			return b, x, nil
		}
	}
	return nil, quickStep{}, panel.ErrNotFound
}

// errNotQuick sends to the builder: the draft says more than quick start shows.
var errNotQuick = errors.New("the draft says more than quick start shows")

// elsewhere leads on where a draft has no quick start; nil when it has.
func (s *handlers) elsewhere(c *gin.Context, b *builder, err error) (bool, error) {
	switch {
	case errors.Is(err, errDraftGone):
		return true, site.SeeOther(c, "/studies/"+c.Param("id"))
	case errors.Is(err, errNotQuick):
		return true, site.SeeOther(c, b.Href(steps()[0].name))
	}
	return err != nil, err
}

// quick shows a screen.
func (s *handlers) quick(c *gin.Context) error {
	b, at, err := s.quickBuilder(c)
	if gone, err := s.elsewhere(c, b, err); gone {
		return err
	}
	if at.name == quickEnd {
		return s.showCheck(c, http.StatusOK, b)
	}
	return s.showQuick(c, http.StatusOK, b, at)
}

func (s *handlers) showQuick(c *gin.Context, status int, b *builder, at quickStep) error {
	page := quickPage{Hint: b.say(at.hint), Missing: c.Query("missing") != "", ToCheck: c.Query("from") == quickEnd}
	if b.sent != nil {
		page.ToCheck = b.sent.Get("from") == quickEnd
	}
	page.building = building{Frame: s.StudyFrame(c, b.say(at.title)+" · "+summary.Title(b.tongue, b.saved), b.asked),
		ID: b.saved.ID, Called: summary.Title(b.tongue, b.saved), Revision: b.saved.Revision, Shown: b.shown(),
		Name: at.name, Heading: b.say(at.title), Stale: b.stale, Refused: len(b.refused) > 0,
		Parts: b.worded(at.parts(b))}
	road := b.road()
	place := slices.IndexFunc(road, func(x quickStep) bool { return x.name == at.name })
	page.Number, page.Of, page.Back = place+1, len(road), place > 0
	b.fillBack(&page.building)
	delete(b.sent, "from")
	b.quickProblems(&page)
	for i := range page.Parts {
		for j := range page.Parts[i].Fields {
			page.Parts[i].Fields[j] = page.Parts[i].Fields[j].withChosen()
		}
	}
	if at.name == "guests" {
		page.Notice = s.notices(c, b)
	}
	return site.Show(s.Site, c, status, quickScreen, page)
}

// quickProblems puts the problems of a screen beside its fields. What is only missing is
// told to whoever went on without it.
func (b *builder) quickProblems(page *quickPage) {
	for _, x := range b.Problems {
		f, ours := b.quickField(page.Parts, page.Name, x)
		missing := b.isOpen(x)
		if !ours || missing && !page.Missing {
			continue
		}
		r := remark{"#main", b.says(x)}
		if f != nil {
			if r.Href = "#" + f.ID; missing {
				r.Text = b.lacks(*f)
			}
			beside := r.Text
			if missing {
				beside = b.say("This is missing.")
			}
			if !slices.Contains(f.Wrong, beside) {
				f.Wrong = append(f.Wrong, beside)
			}
		}
		if !slices.Contains(page.Wrong, r) {
			page.Wrong = append(page.Wrong, r)
		}
	}
	if page.Missing && b.shortOf(page.Name) {
		b.lackTwo(page)
	}
	for _, x := range b.refused {
		r := remark{"#main", x.Text}
		if f := nearestField(page.Parts, x.Path); f != nil {
			r.Href = "#" + f.ID
			f.Wrong = append(f.Wrong, x.Text)
		}
		page.Wrong = append(page.Wrong, r)
	}
}

// lackTwo says which of the two things to compare are missing.
func (b *builder) lackTwo(page *quickPage) {
	page.Wrong = nil
	for i := range page.Parts[0].Fields[:2] {
		if f := &page.Parts[0].Fields[i]; f.Value == "" {
			f.Wrong = []string{b.say("This is missing.")}
			page.Wrong = append(page.Wrong, remark{"#" + f.ID, b.lacks(*f)})
		}
	}
}

// lacks says that a field is empty.
func (b *builder) lacks(f buildField) string {
	switch f.Kind {
	case choice, ticks:
		return b.say("%s: choose one.", f.Label)
	}
	return b.say("%s: this is missing.", f.Label)
}

// quickField is the field of a screen that a problem is about; not ours when it belongs
// to another screen, or to none.
func (b *builder) quickField(parts []part, name string, x study.Problem) (*buildField, bool) {
	if b.quickOwner(x) != name {
		return nil, false
	}
	if f := nearestField(parts, x.Path); f != nil {
		return f, true
	}
	return firstEmpty(parts), true // a list that is short of items, or what follows from it
}

// firstEmpty is the first field in which nothing stands; nil when there is none.
func firstEmpty(parts []part) *buildField {
	for i := range parts {
		for j := range parts[i].Fields {
			if f := &parts[i].Fields[j]; f.Value == "" && len(f.Values) == 0 {
				return f
			}
		}
	}
	return nil
}

// shortOf reports whether a screen is that of what is compared, and there are not two yet.
func (b *builder) shortOf(name string) bool {
	return name == b.compared() && b.text.Len(b.compared()) < 2
}

// quickOwner is the screen that a problem belongs to; "" for what only the builder shows.
func (b *builder) quickOwner(x study.Problem) string {
	for _, at := range b.road() {
		for _, p := range at.parts(b) {
			for _, f := range p.Fields {
				if f.Path != "" && (f.Path == x.Path || below(x.Path, f.Path)) {
					return at.name
				}
			}
		}
	}
	if b.comparesNames() && b.text.Len("dishes") == 0 &&
		slices.Contains([]string{"samples", "dishes", "analysis.compare"}, x.Path) {
		return "plate" // there is nothing to compare before there is a dish
	}
	return map[string]string{"names": b.compared(), "samples": b.compared(), "dishes": b.compared(),
		"attributes": "first", "analysis.compare": b.compared(), "analysis.attribute": "first",
		"panel": "guests"}[x.Path]
}

// compared is the screen of what is compared.
func (b *builder) compared() string {
	if b.comparesNames() {
		return "names"
	}
	return "dishes"
}

// saveQuick keeps what was typed and goes on, back, or to the page of all answers.
func (s *handlers) saveQuick(c *gin.Context) error {
	b, at, err := s.quickBuilder(c)
	if gone, err := s.elsewhere(c, b, err); gone {
		return err
	}
	if at.name == quickEnd {
		return site.SeeOther(c, b.QuickHref(""))
	}
	b.sent = c.Request.PostForm
	b.step.keeps = []string{"from"}
	if b.sent.Get("revision") != strconv.Itoa(b.saved.Revision) && !b.merge() {
		b.stale = true
		return s.showQuick(c, http.StatusConflict, b, at)
	}
	called, before := b.quickTitle(), b.text.Len("samples")
	b.write()
	if err := b.follow(called, before); err != nil {
		b.refuse("", err)
	}
	if len(b.refused) > 0 {
		return s.showQuick(c, http.StatusUnprocessableEntity, b, at)
	}
	return s.keepQuick(c, b, at)
}

func (s *handlers) keepQuick(c *gin.Context, b *builder, at quickStep) error {
	stored, err := s.Panel.SaveDraft(c.Request.Context(), site.SessionOf(c), b.saved.ID, b.saved.Revision,
		b.text.Bytes())
	switch {
	case errors.Is(err, panel.ErrWrongState):
		return site.SeeOther(c, "/studies/"+string(b.saved.ID))
	case errors.Is(err, panel.ErrStale):
		return s.saveQuick(c)
	case errors.Is(err, panel.ErrBadValue):
		b.refuse("", err)
		return s.showQuick(c, http.StatusUnprocessableEntity, b, at)
	case err != nil:
		return err
	}
	return site.SeeOther(c, Open(stored, b.tongue).onward(at.name, b.sent.Get("do"), b.sent.Get("from") == quickEnd))
}

// onward is where a screen leads once it is saved.
func (b *builder) onward(name, do string, toCheck bool) string {
	road := b.road()
	place := slices.IndexFunc(road, func(x quickStep) bool { return x.name == name })
	again, ours := b.QuickHref(name)+"?", func(x study.Problem) bool { return b.quickOwner(x) == name }
	if toCheck {
		again += "from=" + quickEnd + "&"
	}
	switch {
	case do == "back" && toCheck:
		return b.QuickHref("")
	case do == "back":
		return b.QuickHref(road[max(place-1, 0)].name)
	case b.shortOf(name), slices.ContainsFunc(b.Problems, ours):
		return again + "missing=yes"
	case toCheck || place+1 >= len(road):
		return b.QuickHref("")
	}
	return b.QuickHref(road[place+1].name)
}

// beginQuick makes a draft of what a question begins with and opens its first screen.
func (s *handlers) beginQuick(c *gin.Context, x asking) error {
	stored, err := s.Panel.Begin(c.Request.Context(), site.SessionOf(c), x.start, x.Words)
	if err != nil {
		return err
	}
	b := Open(stored, site.TongueOf(c))
	return site.SeeOther(c, b.QuickHref(b.road()[0].name))
}

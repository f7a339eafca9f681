package builder

import (
	"errors"
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"strings"

	"github.com/gin-gonic/gin"

	"cloche/internal/analysis"
	"cloche/internal/panel"
	"cloche/internal/server/site"
	"cloche/internal/study"
)

// step is one page of the builder.
type step struct {
	name, title string
	// owns are the paths of the study file that the step edits, with all that
	// stands below them. The longest path of all steps decides whose a problem is.
	owns []string
	// parts are the fields, filled from the file. Saving reads these fields and no
	// others. Nil for a step that edits nothing.
	parts func(*builder) []part
	// keeps are the fields that no study file holds: they ride along in the address.
	keeps []string
	// acts are what its own buttons do, by their first word; adding, removing and
	// moving items of a list is in [listActs].
	acts map[string]act
	show func(*handlers, *gin.Context, int, *builder) error
	// applies tells whether the study has anything to say here; nil: every study has.
	applies func(*builder) bool
}

// act is what a button does to the text beyond saving it. It returns the path to
// go on at.
type act func(b *builder, what string) (at string, err error)

// steps are the builder's pages, in their order.
func steps() []step {
	return []step{
		{name: "question", title: "The question", owns: []string{"title", "question", "hypothesis", "invented"},
			parts: questionParts, show: showFields},
		{name: "dishes", title: "Dishes", owns: []string{"dishes", "amounts in"}, parts: dishParts,
			acts: map[string]act{"propose": proposeAmounts}, keeps: []string{fieldRecipe}, show: showDishes},
		{name: "names", title: "Names and samples", owns: []string{"names", "samples"}, parts: nameParts,
			show: showNames},
		{name: "attributes", title: "What is asked", owns: []string{"attributes", "serving.attributes",
			"serving.show numbers"}, parts: attributeParts, acts: map[string]act{"pick": pickAttribute},
			show: showAttributes},
		{name: "expectation", title: "Expectation", owns: []string{"serving.expectation",
			"serving.expectation of half"},
			parts: expectationParts,
			show:  showFields, applies: mayExpect},
		{name: "panel", title: "Panel and service", owns: []string{"panel", "serving", "languages"}, parts: panelParts,
			show: showFields},
		{name: "analysis", title: "What decides", owns: []string{"analysis"}, parts: analysisParts, show: showAnalysis},
		{name: "size", title: "Size", owns: []string{"analysis.smallest effect"}, parts: sizeParts, keeps: sizeKeeps,
			acts: map[string]act{"plan": planFor}, show: showSize},
		{name: "words", title: "Words and languages", owns: []string{"texts", "translations"}, parts: wordParts,
			acts: map[string]act{"drop": dropLanguage}, show: showWords},
		{name: "see", title: "See it first", show: showSee},
		{name: "lock", title: "Lock", show: showLockStep},
	}
}

// textStep is the file itself, beside the steps.
const textStep = "text"

// builder is one request to the builder: a draft, its text, and what is wrong
// with it.
type builder struct {
	saved    panel.Study
	tongue   site.Tongue // in which the page speaks
	text     *study.Text
	asked    *study.Study
	Problems []study.Problem
	step     step
	query    url.Values // of the address
	sent     url.Values // the form that comes back; nil on a fresh page
	stale    bool       // the draft moved on since the form was opened, and the two cannot be merged
	// contested are the fields that were changed on this page and on another; nil
	// when all that differ are.
	contested map[string]bool
	refused   []refusal       // what could not be taken from the form
	photo     refusal         // the dish whose picture could not be taken
	earlier   analysis.Spread // what earlier studies tell; on the size step alone
}

// refusal is a problem of the form rather than of the file.
type refusal struct{ Path, Text string }

func (b *builder) refuse(path string, err error) {
	b.refused = append(b.refused, refusal{path, site.Sentence(b.say(strings.TrimPrefix(err.Error(), "study: ")))})
}

// errDraftGone sends to the study's page: there is nothing to build any more.
var errDraftGone = errors.New("the study is no draft")

// builder opens a draft at a step.
func (s *handlers) builder(c *gin.Context, name string) (*builder, error) {
	stored, err := s.Panel.Study(c.Request.Context(), site.StudyIn(c))
	if err != nil {
		return nil, err
	}
	if stored.State != panel.Draft {
		return nil, errDraftGone
	}
	b := Open(stored, site.TongueOf(c))
	b.query = c.Request.URL.Query()
	for _, x := range steps() {
		if x.name == name {
			b.step = x
			return b, nil
		}
	}
	return nil, panel.ErrNotFound
}

// steps are those that apply to the study, and the one that is open.
func (b *builder) steps() []step {
	return slices.DeleteFunc(steps(), func(x step) bool {
		return x.applies != nil && x.name != b.step.name && !x.applies(b)
	})
}

// place is where the step stands among them, from 1; 0 beside them.
func (b *builder) place() int {
	return 1 + slices.IndexFunc(b.steps(), func(x step) bool { return x.name == b.step.name })
}

// Open reads the text of a draft, for pages in a language.
func Open(stored panel.Study, w site.Tongue) *builder {
	b := &builder{saved: stored, tongue: w, asked: stored.Spec, Problems: stored.Problems}
	b.text, _ = study.OpenText("study.yaml", []byte(stored.File))
	return b
}

// editStep shows a step.
func (s *handlers) editStep(c *gin.Context) error {
	if c.Param("step") == textStep {
		return s.editText(c)
	}
	b, err := s.builder(c, c.Param("step"))
	if errors.Is(err, errDraftGone) {
		return site.SeeOther(c, "/studies/"+c.Param("id"))
	}
	if err != nil {
		return err
	}
	if b.text == nil { // not YAML: there is nothing to fill fields from
		return site.SeeOther(c, b.Href(textStep))
	}
	return b.step.show(s, c, http.StatusOK, b)
}

// saveStep keeps what was typed, then does what the button says.
func (s *handlers) saveStep(c *gin.Context) error {
	if c.Param("step") == textStep {
		return s.saveText(c)
	}
	b, err := s.builder(c, c.Param("step"))
	if errors.Is(err, errDraftGone) {
		return site.SeeOther(c, "/studies/"+c.Param("id"))
	}
	if err != nil {
		return err
	}
	if b.text == nil {
		return site.SeeOther(c, b.Href(textStep))
	}
	b.sent = c.Request.PostForm
	if b.sent.Get("revision") != strconv.Itoa(b.saved.Revision) && !b.merge() {
		b.stale = true
		return b.step.show(s, c, http.StatusConflict, b)
	}
	to := b.apply(b.sent.Get("do"))
	if len(b.refused) > 0 {
		return b.step.show(s, c, http.StatusUnprocessableEntity, b)
	}
	return s.keep(c, b, to)
}

// keep saves the text, undoes or redoes where that was asked for, and goes on.
func (s *handlers) keep(c *gin.Context, b *builder, to string) error {
	stored, err := s.Panel.SaveDraft(c.Request.Context(), site.SessionOf(c), b.saved.ID, b.saved.Revision,
		b.text.Bytes())
	if err == nil {
		err = s.stepBack(c, b, stored)
	}
	switch {
	case errors.Is(err, panel.ErrWrongState):
		return site.SeeOther(c, "/studies/"+string(b.saved.ID))
	case errors.Is(err, panel.ErrStale): // another page saved in this very moment
		return s.saveStep(c)
	case errors.Is(err, panel.ErrBadValue): // too long, or a character that no text has
		b.refuse("", err)
		return b.step.show(s, c, http.StatusUnprocessableEntity, b)
	case err != nil:
		return err
	}
	if b.sent.Get("do") == "next" && b.gained(stored) {
		to = b.Href(b.step.name) + "?saved=gained"
	}
	if b.text.Rewritten() {
		to = withQuery(to, "rewritten", "yes")
	}
	return site.SeeOther(c, to)
}

// withQuery adds a parameter to an address of our own.
func withQuery(href, key, value string) string {
	u, err := url.Parse(href)
	if err != nil {
		return href
	}
	q := u.Query()
	q.Set(key, value)
	u.RawQuery = q.Encode()
	return u.String()
}

// gained reports whether the step has a problem now that it did not have before it was
// saved, as a dish that was just added has: somebody who goes on would not see it.
func (b *builder) gained(stored panel.Study) bool {
	before := map[string]bool{}
	for _, x := range b.Problems {
		before[x.Path] = true
	}
	return slices.ContainsFunc(stored.Problems, func(x study.Problem) bool {
		return b.owner(x.Path) == b.step.name && !before[x.Path]
	})
}

// stepBack undoes or redoes a change, after what was typed has been saved.
func (s *handlers) stepBack(c *gin.Context, b *builder, stored panel.Study) (err error) {
	switch do := b.sent.Get("do"); {
	case do == "undo" && stored.CanUndo:
		_, err = s.Panel.Undo(c.Request.Context(), site.SessionOf(c), stored.ID, stored.Revision)
	case do == "redo" && stored.CanRedo:
		_, err = s.Panel.Redo(c.Request.Context(), site.SessionOf(c), stored.ID, stored.Revision)
	}
	return err
}

// apply writes the fields that were sent into the text and does what the button
// says. It returns where to go on.
func (b *builder) apply(do string) string {
	b.write()
	verb, what, _ := strings.Cut(do, " ")
	here, carried := b.Href(b.step.name), b.carried()
	switch verb {
	case "", "save", "undo", "redo":
		carried.Set("saved", savedWord(verb))
		return here + "?" + carried.Encode()
	case "next":
		return b.Href(b.next().name)
	}
	do1, ok := b.step.acts[verb]
	if !ok {
		do1, ok = listActs[verb]
	}
	if !ok {
		return here
	}
	at, err := do1(b, what)
	if err != nil {
		b.refuse(what, err)
		return here
	}
	if verb == "remove" || verb == "drop" { // what was done, and Undo, stand at the top
		carried.Set("saved", "remove")
		at = ""
	}
	if len(carried) > 0 {
		here += "?" + carried.Encode()
	}
	if at != "" {
		here += "#" + fieldID(at)
	}
	return here
}

// carried are the fields that ride along in the address.
func (b *builder) carried() url.Values {
	q := url.Values{}
	for _, name := range b.step.keeps {
		if v := strings.TrimSpace(b.sent.Get(name)); v != "" {
			q.Set(name, v)
		}
	}
	return q
}

// savedWord is the word that says on the next page what a save was.
func savedWord(do string) string {
	if do == "undo" || do == "redo" {
		return do
	}
	return "save"
}

// write sets every field of the step that was sent.
func (b *builder) write() {
	if b.step.parts == nil {
		return
	}
	for _, p := range b.step.parts(b) {
		for _, f := range p.Fields {
			sent, ok := b.sent[f.Name]
			if !ok {
				continue
			}
			if err := f.write(b, f.cleaned(sent)); err != nil {
				b.refuse(f.Path, err)
			}
		}
	}
}

// Href is the address of a step.
func (b *builder) Href(name string) string { return "/studies/" + string(b.saved.ID) + "/edit/" + name }

// next is the step after this one; the last has none.
func (b *builder) next() step {
	all := b.steps()
	return all[min(b.place(), len(all)-1)]
}

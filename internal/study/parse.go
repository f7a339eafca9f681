package study

import (
	"strconv"

	"github.com/goccy/go-yaml/ast"
)

// Parse reads a study file. It returns the study, or every mistake in the file
// in the order of their places and no study. Mistakes of YAML itself (an
// unclosed quote) hide the rest until they are mended; a file of another version
// is not read further than its version.
//
// File is only a name for the messages. A file may hold up to 1 MiB.
func Parse(file string, src []byte) (*Study, []Problem) {
	s, problems := Read(file, src)
	if len(problems) > 0 {
		return nil, problems
	}
	return s, nil
}

// Read reads a study file that may be half done: it returns the mistakes that
// [Parse] does and, mistakes or not, a study of all that could be read, never
// nil. What could not be read is as in a study that leaves it out; an item of a
// list that could not be read is empty, so that the others keep their index. A
// study with mistakes is for showing and editing only.
func Read(file string, src []byte) (*Study, []Problem) {
	r := &reader{file: file, places: map[string]place{}, bad: map[string]bool{}}
	s := blank()
	if root, ok := r.document(src); ok && r.version(root) {
		s = r.study(root)
	}
	return s, r.sorted()
}

// Mistake is one that only somebody above this package can see, at the place in the file
// where the value at a path stands.
func Mistake(file string, src []byte, path string, what, instead Said) Problem {
	r := &reader{file: file, places: map[string]place{}, bad: map[string]bool{}}
	if root, ok := r.document(src); ok && r.version(root) {
		r.study(root)
	}
	r.problems = nil
	r.reject(path, what, instead)
	return r.problems[0]
}

// blank is the study of a file in which nothing could be read.
func blank() *Study {
	s := &Study{Languages: []string{baseLanguage}, Panel: emptyPanel, Serving: defaultServing("")}
	s.Plan = defaultPlan(s)
	return s
}

// Bounds of lists and counts. The largest study that makes sense is far smaller;
// 26 samples are as many as the letters that stand for them.
const (
	maxDishes     = 26
	maxNames      = 26
	maxSamples    = 26
	maxAttributes = 30
	maxNotes      = 30
	maxAssessors  = 100_000
	maxSittings   = 365
	maxReplicates = 20
	maxServings   = 5_000_000 // of a plan
	maxSpares     = 200
	maxStrata     = 5
	maxLevels     = 20
)

var studyKeys = []key{
	required("cloche", "cloche: 1 as the first line"),
	required("title", "title: and what is asked, in a line"),
	required("question", "question: names, or another kind of test"),
	optional("hypothesis"),
	optional("invented"),
	optional("languages"),
	optional("amounts in"),
	required("dishes", "dishes: and a list of what is cooked"),
	optional("names"),
	required("samples", "samples: and a list of dishes under their names"),
	optional("attributes"),
	required("panel", "panel: with assessors: 40"),
	optional("serving"),
	required("texts", "texts: with consent: and instructions:"),
	optional("analysis"),
	optional("translations"),
}

func (r *reader) study(root ast.Node) *Study {
	o, _ := r.object("", Say("the study"), root, studyKeys)
	s := &Study{
		Title:      o.text("title", maxLine),
		Question:   word(o, "question", "", Questions()),
		Hypothesis: o.text("hypothesis", maxParagraph),
		Invented:   o.boolean("invented"),
		Languages:  o.languages(),
	}
	s.AmountsIn = o.amountUnitOf()
	s.Dishes = o.dishes()
	s.Names = o.names()
	s.Samples = o.samples(s)
	s.Attributes = o.attributes(s)
	s.Panel = o.panel(s.Languages[0])
	s.Serving = o.serving(s)
	s.Texts = o.texts()
	s.Plan = o.analysis(s)
	s.Translations = o.translations(s)
	r.checkTogether(s)
	return s
}

// version checks the first key of the file, which says how the rest is to be
// read.
func (r *reader) version(root ast.Node) bool {
	pairs, ok := pairsOf(root)
	if !ok {
		r.problem("", placeOfNode(root), Say("the file is %s, not a study", kindOf(root)),
			Say("write \"key: value\" lines, beginning with \"cloche: 1\""))
		return false
	}
	for i, pair := range pairs {
		if keyOf(pair.Key) != "cloche" {
			continue
		}
		if i > 0 {
			r.problem("cloche", placeOfNode(pair.Key), Say("the version is not the first key"),
				Say("write \"cloche: 1\" above all other keys"))
		}
		return r.versionIs(pair)
	}
	return true
}

func (r *reader) versionIs(pair *ast.MappingValueNode) bool {
	instead := Say("write \"cloche: %d\"", FormatVersion)
	typed, ok := scalarOf(pair.Value)
	switch {
	case pair.Value.Type() == ast.NullType:
		r.problem("cloche", placeOfNode(pair.Key), Say("\"cloche\" has no value"), instead)
	case !ok || typed != strconv.Itoa(FormatVersion):
		r.problem("cloche", placeOfNode(pair.Value),
			Say("this version of the format is not known: %s", shown(pair.Value)),
			instead)
	default:
		return true
	}
	return false
}

var panelKeys = []key{
	required("assessors", "assessors: 40"),
	optional("sittings"),
	optional("seats"),
	optional("minimum age"),
	optional("withdrawal days"),
	optional("tell result"),
	optional("last question"),
	optional("screening"),
}

// Bounds of a minimum age in years. Nobody serves alcohol to guests younger than
// lawfulAge anywhere in the European Union or the United Kingdom (from memory;
// most places ask for more, and for spirits nearly all do).
const (
	minAge    = 1
	maxAge    = 99
	lawfulAge = 16
)

// For how many days after the close answers can be taken out: a week is long enough
// to think it over, a season is the longest that findings can wait (common practice,
// no source).
const (
	defaultWithdrawal = 7
	maxWithdrawal     = 90
)

// emptyPanel is a panel of which nothing is said.
var emptyPanel = Panel{Sittings: 1, WithdrawalDays: defaultWithdrawal}

func (o object) panel(lang string) Panel {
	node, ok := o.value("panel")
	if !ok {
		return emptyPanel
	}
	p, ok := o.object("panel", Say("the panel"), node, panelKeys)
	if !ok {
		return emptyPanel
	}
	return Panel{
		Assessors: p.integer("assessors", 0, 1, maxAssessors),
		Sittings:  p.integer("sittings", emptyPanel.Sittings, 1, maxSittings),
		Seats:     p.integer("seats", 0, 1, maxAssessors),

		MinimumAge: p.integer("minimum age", 0, minAge, maxAge),
		Screening:  p.screening(lang),

		WithdrawalDays: p.integer("withdrawal days", defaultWithdrawal, 0, maxWithdrawal),
		TellResult:     p.boolean("tell result"),
		LastQuestion:   word(p, "last question", "", lastQuestions),
	}
}

var textKeys = []key{
	optional("welcome"),
	required("consent", "consent: and what assessors agree to (what they taste, allergens, their right to stop, what "+
		"is kept)"),
	required("instructions", "instructions: and how to taste"),
	optional("thanks"),
	optional("debrief"),
	optional("comment"),
	optional("first compared"),
	optional("second compared"),
}

func (o object) texts() Texts {
	node, ok := o.value("texts")
	if !ok {
		return Texts{}
	}
	t, ok := o.object("texts", Say("the section texts"), node, textKeys)
	if !ok {
		return Texts{}
	}
	return t.textsOf()
}

// textsOf reads the texts of a block of them.
func (o object) textsOf() Texts {
	return Texts{
		Welcome:      o.text("welcome", maxParagraph),
		Consent:      o.text("consent", maxParagraph),
		Instructions: o.text("instructions", maxParagraph),
		Thanks:       o.text("thanks", maxParagraph),
		Debrief:      o.text("debrief", maxParagraph),
		Comment:      o.text("comment", maxParagraph),

		FirstCompared:  o.text("first compared", maxWord),
		SecondCompared: o.text("second compared", maxWord),
	}
}

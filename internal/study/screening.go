package study

import (
	"slices"
	"strings"

	"github.com/goccy/go-yaml/ast"
)

// Reply is the answer to a screening question.
type Reply string

// The replies.
const (
	Yes Reply = "yes"
	No  Reply = "no"
)

var replies = []Reply{Yes, No}

// Screen is a question that assessors answer with yes or no before their first
// plate. The ratings of whoever gives the answer LeavesOut are not analysed, and
// are counted.
type Screen struct {
	ID        string
	Ask       string // as the assessor reads it
	LeavesOut Reply
}

// ScreenWords is a screening question in another language.
type ScreenWords struct{ ID, Ask string }

// maxScreens bounds the questions: more would be a questionnaire, and answers
// about health are sensitive.
const maxScreens = 3

// StockScreen is a screening question whose words the program has in every
// language, under its id.
type StockScreen struct {
	ID        string
	LeavesOut Reply
}

// StockScreens are the questions to choose from. That people with a cold are left
// out, and those who know the dishes, is common practice, no source. The words are
// our own in every language, written from memory and tried on nobody: have a native
// speaker read them.
var StockScreens = []StockScreen{
	{"senses", Yes},
	{"kitchen", Yes},
}

// In returns the question as a study in a language of [Spoken] asks it, with or
// without a region; in English for any other.
func (x StockScreen) In(lang string) Screen {
	return Screen{ID: x.ID, Ask: tongueOf(lang).screens[x.ID], LeavesOut: x.LeavesOut}
}

// StockScreenOf returns the question of the program with an id.
func StockScreenOf(id string) (StockScreen, bool) {
	i := slices.IndexFunc(StockScreens, func(x StockScreen) bool { return x.ID == id })
	if i < 0 {
		return StockScreen{}, false
	}
	return StockScreens[i], true
}

func stockScreenIDs() []string {
	ids := make([]string, len(StockScreens))
	for i, x := range StockScreens {
		ids[i] = x.ID
	}
	return ids
}

// isStock reports whether a question has the program's words in a language.
func (x Screen) isStock(lang string) bool {
	stock, ok := StockScreenOf(x.ID)
	return ok && x.Ask == stock.In(lang).Ask
}

var screenKeys = []key{
	required("id", "id: and a short word, as in senses"),
	{"ask", false, Say("ask: and the question as the assessor reads it")},
	{"leaves out", false, Say("leaves out: and the answer, yes or no")},
}

// screening reads the questions before the first plate. One with the id of a
// question of the program needs no words.
func (o object) screening(lang string) []Screen {
	var all []Screen
	ids := o.identifiers(o.sub("screening"))
	o.list("screening", 1, maxScreens, func(path string, node ast.Node) {
		b, ok := o.object(path, Say("a screening question"), node, screenKeys)
		if !ok {
			ids.incomplete()
			all = append(all, Screen{})
			return
		}
		x := Screen{ID: b.id("id")}
		b.screen(&x, lang)
		ids.take(path, x.ID)
		all = append(all, x)
	})
	return all
}

func (o object) screen(x *Screen, lang string) {
	stock, known := StockScreenOf(x.ID)
	_, worded := o.values["ask"]
	if known {
		*x = stock.In(lang)
	}
	if worded {
		x.Ask = o.text("ask", maxLine)
	} else if !known && x.ID != "" {
		o.reject(o.sub("ask"), Say("the screening question %s has no words", quoted(x.ID)),
			Say("write ask: and the question, or the id of one of the program's own: %s",
				strings.Join(stockScreenIDs(), ", ")))
	}
	if _, ruled := o.values["leaves out"]; !ruled && !known && x.ID != "" {
		o.reject(o.sub("leaves out"), Say("nothing says whom the screening question %s leaves out", quoted(x.ID)),
			Say("write leaves out: yes, or leaves out: no"))
	}
	x.LeavesOut = word(o, "leaves out", x.LeavesOut, replies)
}

// ownScreens are the ids of the questions whose words a study brings itself, and
// which its translations need.
func ownScreens(s *Study) []string {
	var ids []string
	for _, x := range s.Panel.Screening {
		if !x.isStock(s.offered()[0]) {
			ids = append(ids, x.ID)
		}
	}
	return ids
}

func (o object) translatedScreens(s *Study, lang string) []ScreenWords {
	if !o.sound("panel.screening") {
		return nil
	}
	own := ownScreens(s)
	var b object
	if _, written := o.values["screening"]; written || len(own) > 0 {
		b, _ = o.part("screening", lang, keysOf(own, "%s: and the question in "+lang))
	}
	var all []ScreenWords
	for _, x := range s.Panel.Screening {
		w := ScreenWords{ID: x.ID}
		if slices.Contains(own, x.ID) {
			if b.reader != nil {
				w.Ask = b.text(x.ID, maxLine)
			}
		} else if stock, ok := StockScreenOf(x.ID); ok {
			w.Ask = stock.In(lang).Ask
		}
		all = append(all, w)
	}
	return all
}

func (t Translation) screen(x Screen) Screen {
	if i := slices.IndexFunc(t.Screening, func(w ScreenWords) bool { return w.ID == x.ID }); i >= 0 {
		x.Ask = t.Screening[i].Ask
	}
	return x
}

package site

import (
	"fmt"
	"html/template"
	"io/fs"
	"strconv"
	"strings"
	"sync"

	"cloche/internal/panel"
	"cloche/internal/words"
)

// Pages are the templates of all screens. A screen is put together with its layout in a
// language when it is first shown there: all of them at once would take more memory than
// everything else.
type Pages struct {
	layouts map[string]*template.Template
	screens map[string]readScreen // by name

	mu   sync.Mutex
	sets map[string]*template.Template // by screen and language
}

type readScreen struct{ layout, text string }

// ReadPages parses every registered screen, and fails when one does not parse or a file of
// templates belongs to no screen.
func ReadPages(from fs.FS, a *Assets, invented bool, screens []AnyScreen) (*Pages, error) {
	funcs := template.FuncMap{
		"asset":      a.url,
		"modules":    a.modules,
		"rank":       func(i int) int { return i + 1 }, // categories count from 1
		"num":        func(x float64) string { return strconv.FormatFloat(x, 'f', -1, 64) },
		"most":       func() int { return panel.MaxComment }, // characters of a comment
		"paragraphs": paragraphs,
		"demo":       func() bool { return invented },
		"say":        func() words.Words { return words.In("en") },
		"t":          words.In("en").Translate,
		"scripted":   func() map[string]string { return scriptWords(words.In("en")) },
		"wrong":      func(a panel.Ask) string { return ProblemWords(words.In("en"), a) },
	}
	p := &Pages{layouts: map[string]*template.Template{}, screens: map[string]readScreen{},
		sets: map[string]*template.Template{}}
	for layout, parts := range layoutParts {
		set, err := template.New("page").Funcs(funcs).ParseFS(from, parts...)
		if err != nil {
			return nil, err
		}
		p.layouts[layout] = set
	}
	for _, x := range screens {
		text, err := fs.ReadFile(from, "templates/"+x.name+".html")
		if err != nil {
			return nil, err
		}
		if _, err := template.New(x.name).Funcs(funcs).Parse(string(text)); err != nil {
			return nil, err
		}
		p.screens[x.name] = readScreen{x.layout, string(text)}
	}
	return p, p.everyFileIsAScreen(from)
}

func (p *Pages) everyFileIsAScreen(from fs.FS) error {
	files, err := fs.Glob(from, "templates/*/*.html")
	if err != nil {
		return err
	}
	for _, f := range files {
		name := strings.TrimSuffix(strings.TrimPrefix(f, "templates/"), ".html")
		if _, known := p.screens[name]; !known && !strings.HasPrefix(name, "layout/") {
			return fmt.Errorf("template %s belongs to no screen", f)
		}
	}
	return nil
}

// in is a screen in a language, in English where nothing speaks that.
func (p *Pages) in(screen, lang string) (*template.Template, error) {
	x := p.screens[screen]
	w := words.In(lang)
	p.mu.Lock()
	defer p.mu.Unlock()
	key := screen + " " + w.Name
	if set := p.sets[key]; set != nil {
		return set, nil
	}
	set, err := p.layouts[x.layout].Clone()
	if err != nil {
		return nil, fmt.Errorf("screen %s: %w", screen, err)
	}
	if _, err = set.New(screen).Parse(x.text); err != nil {
		return nil, fmt.Errorf("screen %s: %w", screen, err)
	}
	p.sets[key] = set.Funcs(template.FuncMap{
		"say":      func() words.Words { return w },
		"t":        w.Translate,
		"scripted": func() map[string]string { return scriptWords(w) },
		"wrong":    func(a panel.Ask) string { return ProblemWords(w, a) },
	})
	return set, nil
}

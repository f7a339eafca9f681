package builder

import (
	"cmp"
	"fmt"
	"regexp"
	"slices"
	"strings"

	"cloche/internal/server/site"
	"cloche/internal/server/summary"
	"cloche/internal/study"
)

// part is a group of fields of a step under one heading.
type part struct {
	ID, Heading string
	Typed       bool     // the heading is the lead’s own words
	Lead        []string // why it is asked, and what is usual
	Fields      []buildField
	Acts        []buildAct // what can be done with the item that the part is
	Notes       []summary.Caution
	Kind        string // a class of the part, for its look; mostly ""
	langOf      func(string) string
}

// LangOf is [site.LangOf] on the page.
func (p part) LangOf(text string) string {
	if p.langOf == nil {
		return ""
	}
	return p.langOf(text)
}

// buildAct is a button of an item of a list.
type buildAct struct{ Do, Label, About string }

// Kinds of fields.
const (
	oneLine   = "line"
	paragraph = "paragraph" // a text of several lines
	choice    = "choice"    // radio buttons
	pick      = "pick"      // a list to choose from
	tick      = "tick"      // one box
	ticks     = "ticks"     // several boxes
	lines     = "lines"     // a list of short texts, one a line
)

// buildField is a value of the study file as a page shows it. Its path is also
// its name in the form, unless it stands for something that no single path holds.
type buildField struct {
	Path, Name, ID string
	Label, Hint    string
	Typed          bool   // the label is the lead’s own words
	LabelLang      string // of such a label, where it is another than the page's
	Beside         string // the same words in the study's own language
	Kind           string
	Value          string   // what stands in the file, or what was typed
	Values         []string // of a list
	Unit           string
	Options        []option
	Rows           int
	Type           string // of the input, where it is no text: "date"
	Unseen         bool   // its label only repeats the heading: for screen readers
	Many           bool   // so many short options that they stand beside one another
	Decimal, Lang  string // input mode; language of the text
	Wrong          []string
	Remarks        []string                              // what to look at again; nothing is wrong
	Open           bool                                  // not filled in yet
	For            string                                // the class of a field that belongs to one kind of scale
	Elsewhere      string                                // what another page wrote here meanwhile
	Differs        bool                                  // from what another page wrote here meanwhile
	writeTo        func(b *builder, sent []string) error // instead of setting the path
}

// option is one of the values of a choice.
type option struct {
	Value, Label, Hint, ID string
	Chosen                 bool
	Typed                  bool      // the label is the lead’s own words
	Lang                   string    // of the label, where it is another than the page's
	Bar                    *scaleBar // what it comes to, drawn on the scale
}

// fieldID turns a path into an id of the page.
func fieldID(path string) string {
	var b strings.Builder
	for _, r := range path {
		switch {
		case r >= 'a' && r <= 'z', r >= 'A' && r <= 'Z', r >= '0' && r <= '9', r == '-', r == '_':
			b.WriteRune(r)
		case r == '[' || r == '.':
			b.WriteByte('-')
		case r == ' ':
			b.WriteByte('_')
		case r == ']':
		default:
			fmt.Fprintf(&b, "x%x", r)
		}
	}
	return b.String()
}

// line is a field of one line. A value that holds several, which is a mistake,
// is shown in an area that keeps them.
func (b *builder) line(path, label, hint string) buildField {
	f := buildField{Path: path, Name: path, ID: fieldID(path), Label: label, Hint: hint, Kind: oneLine,
		Value: b.text.Value(path), Lang: b.langOf(path)}
	if strings.Contains(strings.TrimSpace(f.Value), "\n") {
		f.Kind, f.Rows = paragraph, 3
	}
	return f
}

// ownWords are the paths of what a study says in its own language.
var ownWords = regexp.MustCompile(`^(title|hypothesis|texts\..+|names\[\d+\]\.text|` +
	`attributes\[\d+\]\.(ask|scale\..+)|` +
	`dishes\[\d+\]\.(title|portion|also contains)|panel\.screening\[\d+\]\.ask|serving\.strata\[\d+\]\.ask)$`)

// langOf is the language of what stands at a path where it is another than the page's.
func (b *builder) langOf(path string) string {
	if !ownWords.MatchString(path) {
		return ""
	}
	return site.OtherThan(b.tongue.Tag(), b.own())
}

// paragraph is a text of several lines.
func (b *builder) paragraph(path, label, hint string, rows int) buildField {
	f := b.line(path, label, hint)
	f.Kind, f.Rows = paragraph, max(rows, len(f.Value)/60+strings.Count(f.Value, "\n")+1)
	return f
}

// number is a field of a number; usual stands in it when the file has none.
func (b *builder) number(path, label, hint, usual string) buildField {
	f := b.line(path, label, hint)
	f.Decimal = "decimal"
	if f.Value == "" {
		f.Value = usual
	}
	return f
}

var (
	bareNumber = regexp.MustCompile(`^[-+−]?\d+([.,]\d+)?$`)
	// The ways in which people write degrees Celsius behind a number.
	typedCelsius = regexp.MustCompile(`(?i)^([-+−]?\d+(?:[.,]\d+)?)\s*(?:°|º|deg(?:rees)?\.?)?\s*C(?:elsius)?$`)
	// A comma before three digits may stand for thousands: that one is asked about.
	commaNumber = regexp.MustCompile(`^([-+−]?\d+),(\d{1,2})$`)
)

// pointed is a number with the decimal point of the study file, where half of Europe
// writes a comma.
func pointed(typed string) string { return commaNumber.ReplaceAllString(typed, "$1.$2") }

// measure is a number whose unit stands beside the field and behind the number in
// the file.
func (b *builder) measure(path, label, hint, unit, usual string) buildField {
	f := b.number(path, label, hint, usual)
	f.Unit = unit
	if number, ok := strings.CutSuffix(f.Value, unit); ok && bareNumber.MatchString(strings.TrimSpace(number)) {
		f.Value = strings.TrimSpace(number)
	}
	f.writeTo = func(b *builder, sent []string) error {
		typed := sent[0]
		if m := typedCelsius.FindStringSubmatch(typed); m != nil && unit == "°C" {
			typed = m[1]
		}
		typed = pointed(typed)
		if bareNumber.MatchString(typed) {
			typed += " " + unit
		}
		return b.text.Set(path, typed)
	}
	return f
}

// choose is a field of one value of several. A value of the file that is none of
// them is offered too, so that it stays until another is chosen.
func (b *builder) choose(kind, path, label, hint, usual string, options ...option) buildField {
	f := b.line(path, label, hint)
	f.Kind = kind
	if f.Value == "" {
		f.Value = usual
	}
	f.Options = options
	if f.Value != "" && !slices.ContainsFunc(options, func(o option) bool { return o.Value == f.Value }) {
		f.Options = append(slices.Clone(options), option{Value: f.Value, Label: f.Value, Typed: true})
	}
	return f
}

// tick is a box for true or false.
func (b *builder) tick(path, label, hint string) buildField {
	f := b.line(path, label, hint)
	f.Kind = tick
	return f
}

// list is a list of short texts, one a line.
func (b *builder) list(path, label, hint string) buildField {
	f := buildField{Path: path, Name: path, ID: fieldID(path), Label: label, Hint: hint, Kind: lines,
		Values: b.text.List(path), Lang: b.langOf(path)}
	f.Rows = max(3, len(f.Values)+1)
	f.Value = strings.Join(f.Values, "\n")
	return f
}

// boxes is a list of words of a known set, each with a box. Words of the file
// that are not in the set stay, as boxes of their own.
func (b *builder) boxes(path, label, hint string, options ...option) buildField {
	f := b.list(path, label, hint)
	f.Kind, f.Options = ticks, slices.Clone(options)
	for _, v := range f.Values {
		if !slices.ContainsFunc(options, func(o option) bool { return o.Value == v }) {
			f.Options = append(f.Options, option{Value: v, Label: v, Typed: true})
		}
	}
	return f
}

// cleaned are the values as they were sent, with the line ends of the file and
// without space around them. A box sends an empty value before its own.
func (f buildField) cleaned(sent []string) []string {
	list := make([]string, 0, len(sent))
	for _, v := range sent {
		list = append(list, strings.TrimSpace(strings.ReplaceAll(v, "\r\n", "\n")))
	}
	switch f.Kind {
	case tick:
		return list[len(list)-1:]
	case ticks:
		return slices.DeleteFunc(list, func(v string) bool { return v == "" })
	case lines:
		list = strings.Split(list[0], "\n")
		for i, v := range list {
			list[i] = strings.TrimSpace(v)
		}
		return slices.DeleteFunc(list, func(v string) bool { return v == "" })
	}
	return list[:1]
}

// changed reports whether what was sent differs from what the page showed.
func (f buildField) changed(sent []string) bool {
	switch f.Kind {
	case ticks, lines:
		return !slices.Equal(sent, f.shownList())
	case tick:
		return (sent[0] == "true") != (f.Value == "true")
	}
	return sent[0] != strings.TrimSpace(f.Value)
}

// shownList is the list as its field sends it when nobody touches it: boxes in
// the order of the options.
func (f buildField) shownList() []string {
	if f.Kind == lines {
		return f.cleaned([]string{f.Value})
	}
	var list []string
	for _, o := range f.Options {
		if slices.Contains(f.Values, o.Value) {
			list = append(list, o.Value)
		}
	}
	return list
}

// write sets the field's value in the text, unless it is what stands there.
func (f buildField) write(b *builder, sent []string) error {
	if !f.changed(sent) {
		return nil
	}
	return f.set(b, sent)
}

func (f buildField) set(b *builder, sent []string) error {
	switch {
	case f.writeTo != nil:
		return f.writeTo(b, sent)
	case f.Kind == ticks || f.Kind == lines:
		return b.text.SetList(f.Path, sent)
	case f.Decimal != "":
		return b.text.Set(f.Path, pointed(sent[0]))
	}
	return b.text.Set(f.Path, sent[0])
}

// back puts what was sent into a field of a page that comes back. contested: it may
// have been changed on another page meanwhile.
func (f *buildField) back(sent []string, contested bool) {
	f.Differs = contested && f.changed(sent)
	f.Elsewhere = strings.Join(f.Values, ", ")
	if f.Values == nil {
		f.Elsewhere = f.Value
	}
	f.Values, f.Value = sent, strings.Join(sent, "\n")
}

// withChosen marks the options that are chosen and gives each its id.
func (f buildField) withChosen() buildField {
	f.Options = slices.Clone(f.Options)
	for i := range f.Options {
		o := &f.Options[i]
		o.ID = f.ID
		if i > 0 {
			o.ID = fmt.Sprintf("%s-%d", f.ID, i+1)
		}
		o.Chosen = o.Value == f.Value
		if f.Kind == ticks {
			o.Chosen = slices.Contains(f.Values, o.Value)
		}
	}
	return f
}

// DescribedBy are the ids of what belongs to the control.
func (f buildField) DescribedBy() string {
	var ids []string
	if f.Hint != "" {
		ids = append(ids, f.ID+"-hint")
	}
	if f.Beside != "" {
		ids = append(ids, f.ID+"-beside")
	}
	if len(f.Wrong) > 0 {
		ids = append(ids, f.ID+"-wrong")
	}
	if len(f.Remarks) > 0 {
		ids = append(ids, f.ID+"-remarks")
	}
	return strings.Join(ids, " ")
}

// says is a problem of the file in words.
func (b *builder) says(p study.Problem) string {
	return strings.TrimSpace(site.Sentence(b.tongue.Tell(p.What)) + " " + site.Sentence(b.tongue.Tell(p.Instead)))
}

// say puts a text, which stands in English where it is used, into the language of the page.
func (b *builder) say(english string, values ...any) string {
	return b.tell(study.Say(english, values...))
}

// tell puts what another package says into the language of the page.
func (b *builder) tell(said study.Said) string { return b.tongue.Tell(said) }

// langOfText is [site.LangOf] on the page.
func (b *builder) langOfText(text string) string { return site.LangOf(b.tongue.Tag(), b.asked, text) }

// worded puts what the program says on the parts of a page into the language of the page, and
// leaves what somebody typed as it is.
func (b *builder) worded(parts []part) []part {
	put := func(texts ...*string) {
		for _, t := range texts {
			*t = b.say(*t)
		}
	}
	for i := range parts {
		p := &parts[i]
		p.langOf = b.langOfText
		if !p.Typed {
			put(&p.Heading)
		}
		p.Lead, p.Acts, p.Notes = slices.Clone(p.Lead), slices.Clone(p.Acts), slices.Clone(p.Notes)
		for j := range p.Lead {
			put(&p.Lead[j])
		}
		for j := range p.Acts {
			put(&p.Acts[j].Label)
		}
		for j := range p.Notes {
			put(&p.Notes[j].Heading)
			for k := range p.Notes[j].Text {
				put(&p.Notes[j].Text[k])
			}
		}
		for j := range p.Fields {
			f := &p.Fields[j]
			put(&f.Hint, &f.Unit)
			if f.Typed {
				f.LabelLang = b.langOfText(f.Label)
			} else {
				put(&f.Label)
			}
			f.Options = slices.Clone(f.Options)
			for k := range f.Options {
				o := &f.Options[k]
				put(&o.Hint)
				if o.Typed {
					o.Lang = cmp.Or(o.Lang, b.langOfText(o.Label))
				} else {
					put(&o.Label)
				}
			}
		}
	}
	return parts
}

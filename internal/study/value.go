package study

import (
	"fmt"
	"math"
	"regexp"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"

	"github.com/goccy/go-yaml/ast"
	"github.com/goccy/go-yaml/token"
)

// Lengths in characters.
const (
	maxID        = 40
	maxWord      = 60   // end words, labels, portions
	maxLine      = 200  // titles, names, questions
	maxParagraph = 5000 // texts
)

var (
	decimal     = regexp.MustCompile(`^[+-]?(\d+\.?\d*|\.\d+)([eE][+-]?\d+)?$`)
	wholeNumber = regexp.MustCompile(`^\d+$`)
	identifier  = regexp.MustCompile(`^[A-Za-z][A-Za-z0-9_-]*$`)
	celsius     = regexp.MustCompile(`^([+-]?\d+(?:\.\d+)?) ?°C$`)
	fahrenheit  = regexp.MustCompile(`^([+-]?\d+(?:\.\d+)?) ?°? ?F$`)
	bareDegrees = regexp.MustCompile(`^([+-]?\d+(?:\.\d+)?) ?(?:°|C|degrees C|deg C)?$`)
	seconds     = regexp.MustCompile(`^(\d{1,6}) ?s$`)
	dayForm     = regexp.MustCompile(`^(\d{4})-(\d{2})-(\d{2})$`)
	minutes     = regexp.MustCompile(`^(\d{1,4}) ?min$`)
)

// text reads one line of text, or paragraphs if most is maxParagraph.
func (o object) text(name string, most int) string {
	node, ok := o.value(name)
	if !ok {
		return ""
	}
	return o.reader.text(o.sub(name), fmt.Sprintf("%q", name), node, most)
}

func (r *reader) text(path, called string, node ast.Node, most int) string {
	raw, isText := textOf(node)
	if !isText {
		instead := Say("write text")
		if typed, ok := scalarOf(node); ok {
			instead = Say("write it in quotes: %q", typed)
		}
		r.reject(path, Say("%s is %s, not text", Say(called), kindOf(node)), instead)
		return ""
	}
	s := strings.TrimSpace(raw)
	n := utf8.RuneCountInString(s)
	switch c, found := strange(s, most == maxParagraph); {
	case n == 0:
		r.reject(path, Say("%s is empty", Say(called)), Say("write some text"))
	case n > most:
		r.reject(path, Say("%s is %d characters long", Say(called), n), Say("write at most %d", most))
	case found && c == '\n':
		r.reject(path, Say("%s has several lines", Say(called)), Say("write one line"))
	case found:
		r.reject(path, Say("%s holds a character that cannot be seen (%U)", Say(called), c), Say("write it without"))
	}
	return s
}

// strange finds a character that has no place in a text: control characters,
// and those that reorder or hide the text around them, by which two names could
// differ without looking different.
func strange(s string, lines bool) (rune, bool) {
	for _, c := range s {
		switch {
		case c == '\n' && lines:
		case unicode.IsControl(c), c == '\u2028', c == '\u2029', c == '\ufeff', c == '\u200b',
			c >= '\u202a' && c <= '\u202e', c >= '\u2066' && c <= '\u2069', c == utf8.RuneError:
			return c, true
		}
	}
	return 0, false
}

// id reads an identifier and returns what was typed even when it is not one, so
// that references to it are not reported as well.
func (o object) id(name string) string {
	node, ok := o.value(name)
	if !ok {
		return ""
	}
	typed, ok := scalarOf(node)
	path := o.sub(name)
	if !ok {
		o.reject(path, Say("%q is written as %s", name, kindOf(node)), Say("write one word"))
		return ""
	}
	if textIn(node) && identifier.MatchString(typed) && len(typed) <= maxID {
		return typed
	}
	instead := Say("write a letter, then letters, digits, - or _")
	if len(typed) > maxID {
		instead = Say("write at most %d characters", maxID)
	} else if s := slug(typed); s != "" {
		instead = Say("write %s", s)
	}
	o.reject(path, Say("%s cannot be an id", quoted(typed)), instead)
	return typed
}

// word reads one of a set of words.
func word[T ~string](o object, name string, fallback T, known []T) T {
	node, ok := o.value(name)
	if !ok {
		return fallback
	}
	w, ok := oneOf(o.reader, o.sub(name), fmt.Sprintf("%q", name), node, known)
	if !ok {
		return fallback
	}
	return w
}

func oneOf[T ~string](r *reader, path, called string, node ast.Node, known []T) (T, bool) {
	typed, ok := scalarOf(node)
	if !ok {
		r.reject(path, Say("%s is written as %s", Say(called), kindOf(node)), write("", known))
		return "", false
	}
	for _, w := range known {
		if typed == string(w) {
			return w, true
		}
	}
	r.reject(path, Say("%s cannot be %s", Say(called), quoted(typed)), write(typed, known))
	return "", false
}

func (o object) boolean(name string) bool { return o.booleanOr(name, false) }

// booleanOr reads true or false; usual holds where nothing is written.
func (o object) booleanOr(name string, usual bool) bool {
	node, ok := o.value(name)
	if !ok {
		return usual
	}
	if b, ok := node.(*ast.BoolNode); ok {
		return b.Value
	}
	typed, _ := scalarOf(node)
	instead := Say("write true or false")
	switch strings.ToLower(typed) {
	case "yes", "y", "on", "1":
		instead = Say("write true")
	case "no", "n", "off", "0":
		instead = Say("write false")
	}
	o.reject(o.sub(name), Say("%q is %s, not true or false", name, shown(node)), instead)
	return usual
}

// integer reads a whole number from lo to hi.
func (o object) integer(name string, fallback, lo, hi int) int {
	node, ok := o.value(name)
	if !ok {
		return fallback
	}
	typed, _ := scalarOf(node)
	n, err := strconv.Atoi(typed)
	if isNumber(node) && wholeNumber.MatchString(typed) && err == nil && n >= lo && n <= hi {
		return n
	}
	o.reject(o.sub(name), Say("%q is %s", name, shown(node)),
		Say("write a whole number from %d to %d", lo, hi))
	return fallback
}

// number reads a number for which holds is true; allowed says in words which.
func (o object) number(name string, fallback float64, allowed Said, holds func(float64) bool) float64 {
	node, ok := o.value(name)
	if !ok {
		return fallback
	}
	typed, _ := scalarOf(node)
	if isNumber(node) && decimal.MatchString(typed) {
		v, err := strconv.ParseFloat(typed, 64)
		if err == nil && !math.IsInf(v, 0) && holds(v) {
			return v
		}
	}
	instead := Say("write %s", allowed)
	if dotted := strings.Replace(typed, ",", ".", 1); dotted != typed && decimal.MatchString(dotted) {
		instead = Say("write %s", dotted)
	}
	o.reject(o.sub(name), Say("%q is %s", name, shown(node)), instead)
	return fallback
}

// seed reads a whole number of up to 64 bits.
func (o object) seed(name string) uint64 {
	node, ok := o.value(name)
	if !ok {
		return 0
	}
	typed, _ := scalarOf(node)
	if isNumber(node) && wholeNumber.MatchString(typed) {
		if n, err := strconv.ParseUint(typed, 10, 64); err == nil {
			return n
		}
	}
	o.reject(o.sub(name), Say("%q is %s", name, shown(node)),
		Say("write a whole number from 0 to 18446744073709551615"))
	return 0
}

// temperature reads degrees Celsius.
func (o object) temperature(name string) float64 {
	node, ok := o.value(name)
	if !ok {
		return 0
	}
	const lo, hi = -40, 100
	typed, _ := scalarOf(node)
	typed = strings.ReplaceAll(typed, "−", "-")
	if m := celsius.FindStringSubmatch(typed); m != nil {
		if v, err := strconv.ParseFloat(m[1], 64); err == nil && v >= lo && v <= hi {
			return v
		}
	}
	instead := Say("write a number from %d to %d and °C, as in 55 °C", lo, hi)
	if m := fahrenheit.FindStringSubmatch(typed); m != nil {
		if f, err := strconv.ParseFloat(m[1], 64); err == nil {
			instead = Say("write %.0f °C", (f-32)/1.8)
		}
	} else if m := bareDegrees.FindStringSubmatch(typed); m != nil && !celsius.MatchString(typed) {
		instead = Say("write %s °C", m[1])
	}
	o.reject(o.sub(name), Say("%q is %s", name, shown(node)), instead)
	return 0
}

// pause reads a time in seconds or minutes and gives seconds.
func (o object) pause(name string, fallback int) int {
	node, ok := o.value(name)
	if !ok {
		return fallback
	}
	const most = 3600
	typed, _ := scalarOf(node)
	for _, form := range []struct {
		re   *regexp.Regexp
		unit int
	}{{seconds, 1}, {minutes, 60}} {
		if m := form.re.FindStringSubmatch(typed); m != nil {
			if n, err := strconv.Atoi(m[1]); err == nil && n*form.unit <= most {
				return n * form.unit
			}
		}
	}
	instead := Say("write a time of at most 60 min, as in 45 s or 2 min")
	if wholeNumber.MatchString(typed) && len(typed) < 5 {
		instead = Say("write %s s", typed)
	}
	o.reject(o.sub(name), Say("%q is %s", name, shown(node)), instead)
	return fallback
}

// textOf returns the value of a node that YAML reads as text.
func textOf(node ast.Node) (string, bool) {
	switch n := node.(type) {
	case *ast.StringNode:
		return n.Value, true
	case *ast.LiteralNode:
		return n.Value.Value, true
	}
	return "", false
}

func textIn(node ast.Node) bool {
	_, ok := textOf(node)
	return ok
}

// scalarOf returns what was typed for a single value of any kind.
func scalarOf(node ast.Node) (string, bool) {
	if s, ok := textOf(node); ok {
		return s, true
	}
	switch node.(type) {
	case *ast.IntegerNode, *ast.FloatNode, *ast.InfinityNode, *ast.NanNode, *ast.BoolNode:
		return strings.TrimSpace(node.GetToken().Value), true
	}
	return "", false
}

// isNumber reports whether a value is written without quotes, as a number is.
// YAML takes some numbers (1e3) for text.
func isNumber(node ast.Node) bool {
	switch n := node.(type) {
	case *ast.IntegerNode, *ast.FloatNode:
		return true
	case *ast.StringNode:
		return n.Token.Type == token.StringType
	}
	return false
}

// shown says what was typed, or how it is written when that is no single value.
func shown(node ast.Node) any {
	typed, ok := scalarOf(node)
	switch {
	case !ok:
		return Say("written as %s", kindOf(node))
	case textIn(node) && !isNumber(node):
		return quoted(typed)
	}
	return strings.Trim(quoted(typed), `"`)
}

// day reads a day of the calendar, as in 2026-12-05.
func (o object) day(name string) string {
	node, ok := o.value(name)
	if !ok {
		return ""
	}
	typed, _ := scalarOf(node)
	if !isDay(typed) {
		o.reject(o.sub(name), Say("%q is %s, not a day", name, shown(node)),
			Say("write year, month and day, as in 2026-12-05"))
	}
	return typed
}

// isDay reports whether the Gregorian calendar has a day.
func isDay(text string) bool {
	m := dayForm.FindStringSubmatch(text)
	if m == nil {
		return false
	}
	year, _ := strconv.Atoi(m[1])
	month, _ := strconv.Atoi(m[2])
	day, _ := strconv.Atoi(m[3])
	if month < 1 || month > 12 || year < 1 {
		return false
	}
	days := [...]int{31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31}[month-1]
	if month == 2 && (year%4 == 0 && year%100 != 0 || year%400 == 0) {
		days++
	}
	return day >= 1 && day <= days
}

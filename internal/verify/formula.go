package verify

import (
	"fmt"
	"slices"
	"strings"
	"unicode"
)

// A formula names a model as general statistics software writes it. The
// reader knows the subset used in reference files: response ~ terms, where a
// term is 1, a name, a:b, a*b, or (1 + slopes | group); anything else is an
// error that says where.
type formula struct {
	response string
	fixed    [][]string // main effects first, then interactions by order
	random   []randomPart
}

// randomPart is a random effect: (intercept + slopes | group).
type randomPart struct {
	group     []string
	slopes    [][]string
	intercept bool
}

// maxCrossed bounds the terms of a*b*c…, which double with every name.
const maxCrossed = 31

type formulaReader struct {
	text   string
	tokens []string
	at     int
}

func parseFormula(text string) (formula, error) {
	r := &formulaReader{text: text}
	if err := r.split(); err != nil {
		return formula{}, err
	}
	response, err := r.name()
	if err != nil {
		return formula{}, err
	}
	if err := r.expect("~"); err != nil {
		return formula{}, err
	}
	f := formula{response: response}
	for {
		if err := r.term(&f); err != nil {
			return formula{}, err
		}
		if r.peek() == "" {
			f.fixed = byOrder(f.fixed)
			return f, nil
		}
		if err := r.expect("+"); err != nil {
			return formula{}, err
		}
	}
}

// split cuts the text into names, numbers and signs.
func (r *formulaReader) split() error {
	runes := []rune(r.text)
	for i := 0; i < len(runes); {
		c := runes[i]
		switch {
		case unicode.IsSpace(c):
			i++
		case isNameRune(c):
			j := i
			for j < len(runes) && isNameRune(runes[j]) {
				j++
			}
			r.tokens = append(r.tokens, string(runes[i:j]))
			i = j
		case strings.ContainsRune("~+*:()|", c):
			r.tokens = append(r.tokens, string(c))
			i++
		default:
			return fmt.Errorf("formula %q: %q at character %d is not known here", r.text, c, i+1)
		}
	}
	return nil
}

func isNameRune(c rune) bool {
	return unicode.IsLetter(c) || unicode.IsDigit(c) || c == '.' || c == '_'
}

func (r *formulaReader) peek() string {
	if r.at < len(r.tokens) {
		return r.tokens[r.at]
	}
	return ""
}

func (r *formulaReader) expect(sign string) error {
	if r.peek() != sign {
		return r.fail("%q belongs here", sign)
	}
	r.at++
	return nil
}

func (r *formulaReader) fail(format string, args ...any) error {
	found := "the end"
	if t := r.peek(); t != "" {
		found = fmt.Sprintf("%q", t)
	}
	return fmt.Errorf("formula %q: at %s: %s", r.text, found, fmt.Sprintf(format, args...))
}

func (r *formulaReader) name() (string, error) {
	t := r.peek()
	first := []rune(t + "0")[0]
	if !unicode.IsLetter(first) && first != '.' {
		return "", r.fail("a name belongs here")
	}
	r.at++
	return t, nil
}

// term reads one term of the right-hand side.
func (r *formulaReader) term(f *formula) error {
	switch r.peek() {
	case "1":
		r.at++
		return nil
	case "(":
		r.at++
		return r.random(f)
	}
	terms, err := r.product()
	if err != nil {
		return err
	}
	f.fixed = addTerms(f.fixed, terms)
	return nil
}

// product reads a:b and a*b; a*b stands for a, b and a:b.
func (r *formulaReader) product() ([][]string, error) {
	first, err := r.interaction()
	if err != nil {
		return nil, err
	}
	terms := [][]string{first}
	for r.peek() == "*" {
		if len(terms) >= maxCrossed {
			return nil, r.fail("at most %d terms from one crossing", maxCrossed)
		}
		r.at++
		next, err := r.interaction()
		if err != nil {
			return nil, err
		}
		crossed := [][]string{next}
		for _, t := range terms {
			crossed = append(crossed, append(slices.Clone(t), next...))
		}
		terms = append(terms, crossed...)
	}
	return terms, nil
}

func (r *formulaReader) interaction() ([]string, error) {
	name, err := r.name()
	if err != nil {
		return nil, err
	}
	names := []string{name}
	for r.peek() == ":" {
		r.at++
		if name, err = r.name(); err != nil {
			return nil, err
		}
		names = append(names, name)
	}
	return names, nil
}

// random reads "terms | group)" after the opening bracket.
func (r *formulaReader) random(f *formula) error {
	part := randomPart{intercept: true}
	for {
		switch r.peek() {
		case "1":
			r.at++
		case "0":
			part.intercept = false
			r.at++
		default:
			terms, err := r.product()
			if err != nil {
				return err
			}
			part.slopes = addTerms(part.slopes, terms)
		}
		if r.peek() != "+" {
			break
		}
		r.at++
	}
	if err := r.expect("|"); err != nil {
		return err
	}
	var err error
	if part.group, err = r.interaction(); err != nil {
		return err
	}
	if !part.intercept && len(part.slopes) == 0 {
		return r.fail("a random effect needs an intercept or a slope")
	}
	f.random = append(f.random, part)
	return r.expect(")")
}

// addTerms adds the terms that are not there yet.
func addTerms(to, terms [][]string) [][]string {
	for _, t := range terms {
		if !slices.ContainsFunc(to, func(o []string) bool { return slices.Equal(o, t) }) {
			to = append(to, t)
		}
	}
	return to
}

// byOrder puts main effects before interactions, keeping their order.
func byOrder(terms [][]string) [][]string {
	slices.SortStableFunc(terms, func(a, b []string) int { return len(a) - len(b) })
	return terms
}

package verify

import (
	"fmt"
	"regexp"
	"slices"
	"strings"

	"cloche/internal/stats/mixed"
	"cloche/internal/stats/model"
)

// modelSpec is what an entry says of a regression model: which columns it uses and
// in which role.
type modelSpec struct {
	response string
	fixed    []model.Term // main effects first, then interactions by order
	random   []mixed.RandomTerm
}

// maxCrossed bounds the terms of a*b*c…, which double with every name.
const maxCrossed = 31

var (
	variableName = regexp.MustCompile(`^[\pL.][\pL\pN._]*$`)
	randomEffect = regexp.MustCompile(`^\(([^|()]*)\|([^|()]*)\)$`)
	outermost    = regexp.MustCompile(`\([^()]*\)|[^+()]+|[+()]`)
)

// formula reads a model as general statistics software writes it. It knows the
// subset used in reference files: response ~ terms, where a term is 1, a name,
// a:b, a*b, or (1 + slopes | group); anything else is an error that says where.
type formula struct {
	text string
	err  error
}

func parseFormula(text string) (modelSpec, error) {
	f := &formula{text: text}
	response, right, _ := strings.Cut(text, "~")
	m := modelSpec{response: f.name(response)}
	for _, term := range f.terms(right) {
		if parts := randomEffect.FindStringSubmatch(term); parts != nil {
			m.random = append(m.random, f.random(parts[1], parts[2]))
		} else if term != "1" {
			m.fixed = f.add(m.fixed, term)
		}
	}
	slices.SortStableFunc(m.fixed, func(a, b model.Term) int { return len(a) - len(b) })
	return m, f.err
}

func (f *formula) fail(format string, args ...any) {
	if f.err == nil {
		f.err = fmt.Errorf("formula %q: %s", f.text, fmt.Sprintf(format, args...))
	}
}

// terms are the parts between the plus signs outside brackets.
func (f *formula) terms(text string) []string {
	terms := []string{""}
	for _, part := range outermost.FindAllString(text, -1) {
		if part == "+" {
			terms = append(terms, "")
			continue
		}
		terms[len(terms)-1] += part
	}
	for i := range terms {
		terms[i] = strings.TrimSpace(terms[i])
	}
	return terms
}

func (f *formula) name(text string) string {
	text = strings.TrimSpace(text)
	if !variableName.MatchString(text) {
		f.fail("%q is not a name", text)
	}
	return text
}

// interaction reads a:b.
func (f *formula) interaction(text string) (t model.Term) {
	for name := range strings.SplitSeq(text, ":") {
		t = append(t, f.name(name))
	}
	return t
}

// add adds the terms of a product that are not there yet; a*b stands for a, b
// and a:b.
func (f *formula) add(to []model.Term, product string) []model.Term {
	var terms []model.Term
	for factor := range strings.SplitSeq(product, "*") {
		if len(terms) >= maxCrossed {
			f.fail("at most %d terms from one crossing", maxCrossed)
			return to
		}
		next := f.interaction(factor)
		crossed := []model.Term{next}
		for _, t := range terms {
			crossed = append(crossed, slices.Concat(t, next))
		}
		terms = append(terms, crossed...)
	}
	for _, t := range terms {
		if !slices.ContainsFunc(to, func(o model.Term) bool { return slices.Equal(o, t) }) {
			to = append(to, t)
		}
	}
	return to
}

// random reads a random effect, such as 1 + x | group.
func (f *formula) random(terms, group string) mixed.RandomTerm {
	r := mixed.RandomTerm{Group: f.interaction(group)}
	var slopes []model.Term
	for _, term := range f.terms(terms) {
		switch term {
		case "0":
			r.NoIntercept = true
		case "1":
		default:
			slopes = f.add(slopes, term)
		}
	}
	for _, s := range slopes {
		if len(s) > 1 {
			f.fail("a random slope must be one variable")
		}
		r.Slopes = append(r.Slopes, s[0])
	}
	if r.NoIntercept && len(slopes) == 0 {
		f.fail("a random effect needs an intercept or a slope")
	}
	return r
}

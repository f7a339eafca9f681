package verify

import (
	"fmt"
	"regexp"
	"slices"
	"strings"

	"cloche/internal/stats/mixed"
	"cloche/internal/stats/model"
)

// modelSpec is a regression model: which columns it uses and in which role.
type modelSpec struct {
	response string
	fixed    []model.Term // main effects first, then interactions by order
	random   []mixed.RandomTerm
}

// Formulas are those of R, as far as reference files use them: response ~ terms,
// where a term is 1, a product such as a:b or a * b, or (1 + slopes | group).
var (
	variable = regexp.MustCompile(`[\pL.][\pL\pN._]*`)
	response = formulaPart(`^\s*(NAME)\s*$`)
	nextTerm = formulaPart(`^\+\s*(?:1|(NAME(?:\s*[*:]\s*NAME){0,4})|` +
		`\(\s*([01])((?:\s*\+\s*NAME)*)\s*\|\s*(NAME(?:\s*:\s*NAME)*)\s*\))\s*`)
)

func formulaPart(shape string) *regexp.Regexp {
	return regexp.MustCompile(strings.ReplaceAll(shape, "NAME", variable.String()))
}

func parseFormula(text string) (m modelSpec, err error) {
	left, right, _ := strings.Cut(text, "~")
	if !response.MatchString(left) {
		return m, fmt.Errorf("formula %q: %q is not a name", text, left)
	}
	m.response = strings.TrimSpace(left)
	for rest := "+" + right; rest != ""; {
		parts := nextTerm.FindStringSubmatch(rest)
		if parts == nil {
			return m, fmt.Errorf("formula %q: %q does not begin with a term", text, strings.TrimPrefix(rest, "+"))
		}
		rest = rest[len(parts[0]):]
		product, intercept, slopes, group := parts[1], parts[2], parts[3], parts[4]
		for _, t := range crossed(product) {
			if !slices.ContainsFunc(m.fixed, func(o model.Term) bool { return slices.Equal(o, t) }) {
				m.fixed = append(m.fixed, t)
			}
		}
		if intercept+slopes == "0" {
			return m, fmt.Errorf("formula %q: a random effect needs an intercept or a slope", text)
		}
		if group != "" {
			m.random = append(m.random, mixed.RandomTerm{Group: variable.FindAllString(group, -1),
				Slopes: variable.FindAllString(slopes, -1), NoIntercept: intercept == "0"})
		}
	}
	slices.SortStableFunc(m.fixed, func(a, b model.Term) int { return len(a) - len(b) })
	return m, nil
}

// crossed are the terms of a product: a * b stands for a, b and a:b.
func crossed(product string) (terms []model.Term) {
	for _, factor := range strings.FieldsFunc(product, func(r rune) bool { return r == '*' }) {
		names := variable.FindAllString(factor, -1)
		for _, t := range append([]model.Term{nil}, terms...) {
			terms = append(terms, slices.Concat(t, names))
		}
	}
	return terms
}

package verify

import (
	"reflect"
	"testing"
)

func TestParseFormula(t *testing.T) {
	t.Parallel()
	one := func(group ...string) randomPart { return randomPart{group: group, intercept: true} }
	for text, want := range map[string]formula{
		"rating ~ temp * contact": {"rating", [][]string{{"temp"}, {"contact"}, {"temp", "contact"}}, nil},
		"Informed.liking ~ Product * Information + (1 | Consumer) + (1 | CP)": {"Informed.liking",
			[][]string{{"Product"}, {"Information"}, {"Product", "Information"}},
			[]randomPart{one("Consumer"), one("CP")}},
		"Preference ~ 1 + (1 | Consumer)": {"Preference", nil, []randomPart{one("Consumer")}},
		"y ~ a + (1 + x | g:h)": {"y", [][]string{{"a"}},
			[]randomPart{{group: []string{"g", "h"}, slopes: [][]string{{"x"}}, intercept: true}}},
		"y ~ (0 + x | g)":   {"y", nil, []randomPart{{group: []string{"g"}, slopes: [][]string{{"x"}}}}},
		"y ~ a:b + a*b + c": {"y", [][]string{{"a"}, {"b"}, {"c"}, {"a", "b"}}, nil},
		"y ~ a * b * c + a + b": {"y", [][]string{{"a"}, {"b"}, {"c"}, {"a", "b"}, {"a", "c"}, {"b", "c"},
			{"a", "b", "c"}}, nil},
	} {
		got, err := parseFormula(text)
		if err != nil || !reflect.DeepEqual(got, want) {
			t.Errorf("%s: %+v %v, want %+v", text, got, err, want)
		}
	}
}

func TestParseFormulaRefuses(t *testing.T) {
	t.Parallel()
	for _, text := range []string{"", "y", "y ~", "~ a", "y ~ a +", "y ~ a b", "y ~ log(a)", "y ~ a - 1", "y ~ (1 | )",
		"y ~ (1 | g", "y ~ (0 | g)", "y ~ a^2", "y ~ I(a)", "2 ~ a", "y ~ 3", "y ~ poly(a, 2)", "y ~ a ~ b"} {
		if f, err := parseFormula(text); err == nil {
			t.Errorf("%q read as %+v", text, f)
		}
	}
}

func FuzzParseFormula(f *testing.F) {
	for _, s := range []string{"y ~ a * b + (1 + x | g:h)", "y~1", "y ~ (", "~~", "y ~ a:b:c"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, text string) {
		got, err := parseFormula(text)
		if err == nil && got.response == "" {
			t.Errorf("%q has no response", text)
		}
	})
}

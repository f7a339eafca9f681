package verify

import (
	"reflect"
	"testing"

	"cloche/internal/stats/mixed"
	"cloche/internal/stats/model"
)

func TestParseFormula(t *testing.T) {
	t.Parallel()
	one := func(group ...string) mixed.RandomTerm { return mixed.RandomTerm{Group: group} }
	for text, want := range map[string]modelSpec{
		"rating ~ temp * contact": {"rating", []model.Term{{"temp"}, {"contact"}, {"temp", "contact"}}, nil},
		"Informed.liking ~ Product * Information + (1 | Consumer) + (1 | CP)": {"Informed.liking",
			[]model.Term{{"Product"}, {"Information"}, {"Product", "Information"}},
			[]mixed.RandomTerm{one("Consumer"), one("CP")}},
		"Preference ~ 1 + (1 | Consumer)": {"Preference", nil, []mixed.RandomTerm{one("Consumer")}},
		"y ~ a + (1 + x | g:h)": {"y", []model.Term{{"a"}},
			[]mixed.RandomTerm{{Group: []string{"g", "h"}, Slopes: []string{"x"}}}},
		"y ~ (0 + x | g)": {"y", nil, []mixed.RandomTerm{{Group: []string{"g"}, Slopes: []string{"x"},
			NoIntercept: true}}},
		"y ~ a:b + a*b + c": {"y", []model.Term{{"a"}, {"b"}, {"c"}, {"a", "b"}}, nil},
		"y ~ a * b * c + a + b": {"y", []model.Term{{"a"}, {"b"}, {"c"}, {"a", "b"}, {"a", "c"}, {"b", "c"},
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

package verify

import (
	"slices"
	"testing"
)

func TestContrastForms(t *testing.T) {
	t.Parallel()
	for _, tc := range []struct{ b, a, factor, want string }{
		{"B", "A", "recipe", "B - A"},
		{"185", "175", "temperature", "temperature185 - temperature175"},
		{"half-fat", "full-fat", "milk", "(half-fat) - (full-fat)"},
		{"-5", "5", "change", "(change-5) - change5"},
	} {
		if forms := contrastForms(tc.b, tc.a, tc.factor); !slices.Contains(forms, tc.want) {
			t.Errorf("%v lacks %q", forms, tc.want)
		}
	}
}

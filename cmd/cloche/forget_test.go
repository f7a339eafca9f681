package main

import (
	"strings"
	"testing"

	"github.com/spf13/cobra"
)

func TestDaysUntilGuestsAreForgotten(t *testing.T) {
	for _, tc := range []struct {
		env, flag string
		want      int
		problem   string
	}{
		{"", "", 0, ""},
		{"365", "", 365, ""},
		{"365", "--forget-guests-after=30", 30, ""},
		{"a year", "", 0, `CLOCHE_FORGET_GUESTS_AFTER is "a year"; write a whole number of days`},
		{"", "--forget-guests-after=-1", -1, "write a number of days from 1 to 36500"},
	} {
		f, err := forgettingOf(t, "CLOCHE_FORGET_GUESTS_AFTER", tc.env, tc.flag)
		if f.Guests != tc.want || (err == nil) != (tc.problem == "") ||
			err != nil && !strings.Contains(err.Error(), tc.problem) {
			t.Errorf("%q %q: %d, %v", tc.env, tc.flag, f.Guests, err)
		}
	}
}

func TestWhetherVerdictsAreKept(t *testing.T) {
	for _, tc := range []struct {
		env, flag string
		want, ok  bool
	}{
		{"", "", true, true},
		{"0", "", false, true},
		{"1", "", true, true},
		{"0", "--keep-verdicts", true, true},
		{"no", "--keep-verdicts=false", false, true}, // a flag wins
		{"false", "", true, false},
		{"no", "", true, false},
	} {
		f, err := forgettingOf(t, "CLOCHE_KEEP_VERDICTS", tc.env, tc.flag)
		if f.Verdicts != tc.want || (err == nil) != tc.ok ||
			err != nil && !strings.Contains(err.Error(), `CLOCHE_KEEP_VERDICTS is "`+tc.env+`"; write 1 to keep`) {
			t.Errorf("%q %q: %v, %v", tc.env, tc.flag, f.Verdicts, err)
		}
	}
}

// forgettingOf is what a variable and a flag, "" = none, come to.
func forgettingOf(t *testing.T, variable, value, flag string) (f forgetting, err error) {
	t.Helper()
	t.Setenv(variable, value)
	c := &cobra.Command{}
	f.addFlags(c)
	if flag != "" {
		if err := c.ParseFlags([]string{flag}); err != nil {
			t.Fatal(err)
		}
	}
	err = f.finish(c)
	return f, err
}

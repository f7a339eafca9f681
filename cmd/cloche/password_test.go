package main

import (
	"bytes"
	"errors"
	"path/filepath"
	"strings"
	"testing"

	"golang.org/x/crypto/bcrypt"

	"cloche/internal/panel"
	"cloche/internal/store"
)

// TestPassword sets the lead's password anew on a database that a service has open.
func TestPassword(t *testing.T) {
	database := filepath.Join(t.TempDir(), "kept.db")
	kept, err := store.Open(t.Context(), database)
	if err != nil {
		t.Fatal(err)
	}
	defer kept.Close()
	svc, err := panel.New(t.Context(), kept, panel.Options{HashCost: bcrypt.MinCost})
	if err != nil {
		t.Fatal(err)
	}
	const old, next = "three forks in a drawer", "seven lids on one shelf"
	set := func(stdin string, args ...string) (int, string) {
		var out, errs bytes.Buffer
		code := run(t.Context(), append([]string{"password", "--database", database}, args...),
			strings.NewReader(stdin), &out, &errs)
		return code, out.String() + errs.String()
	}
	if code, said := set(next + "\n"); code != exitInput || !strings.Contains(said, "nobody has a password yet") {
		t.Errorf("before the first password: exit %d, %q", code, said)
	}
	if err := svc.SetPassword(t.Context(), "Ines", old); err != nil {
		t.Fatal(err)
	}
	session, err := svc.SignIn(t.Context(), old, "192.0.2.1")
	if err != nil {
		t.Fatal(err)
	}
	for _, tc := range []struct {
		name, stdin string
		args        []string
		says        string
	}{
		{"too short", "short\n", nil, "at least 10 characters"},
		{"nothing", "", nil, "at least 10 characters"},
		{"of the floor", next + "\n", []string{"--of", "floor"}, "no user has this name"},
	} {
		if code, said := set(tc.stdin, tc.args...); code != exitInput || !strings.Contains(said, tc.says) {
			t.Errorf("%s: exit %d, %q; want that it says %q", tc.name, code, said, tc.says)
		}
	}
	if _, err := svc.Session(t.Context(), session); err != nil {
		t.Errorf("nothing was changed, and the session ended: %v", err)
	}
	code, said := set(next + "\r\n")
	if code != exitDone || strings.Contains(said, next) {
		t.Fatalf("exit %d, %q", code, said)
	}
	if _, err := svc.Session(t.Context(), session); !errors.Is(err, panel.ErrNotFound) {
		t.Errorf("the session goes on: %v", err)
	}
	if _, err := svc.SignIn(t.Context(), next, "192.0.2.2"); err != nil {
		t.Errorf("the new password: %v", err)
	}
	if _, err := svc.SignIn(t.Context(), old, "192.0.2.3"); !errors.Is(err, panel.ErrPassword) {
		t.Errorf("the old password: %v", err)
	}
}

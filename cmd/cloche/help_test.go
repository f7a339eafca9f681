package main

import (
	"context"
	"regexp"
	"strings"
	"testing"

	"cloche/internal/help"
)

// helped runs the command line and returns what it printed.
func helped(t *testing.T, args ...string) (out, errs string, code int) {
	t.Helper()
	var stdout, stderr strings.Builder
	code = run(context.Background(), args, strings.NewReader(""), &stdout, &stderr)
	return stdout.String(), stderr.String(), code
}

// TestHelpPrintsThePages: the same texts as in the browser, a list without a topic, and a
// command's own help for its name.
func TestHelpPrintsThePages(t *testing.T) {
	all, err := help.Topics("en")
	if err != nil {
		t.Fatal(err)
	}
	list, _, code := helped(t, "help")
	if code != exitDone {
		t.Errorf("exit %d", code)
	}
	for _, x := range all {
		if !strings.Contains(list, "cloche help "+x.ID) {
			t.Errorf("the list has no %s: %s", x.ID, list)
		}
		if out, errs, code := helped(t, "help", x.ID); code != exitDone || out != strings.TrimSpace(x.Text)+"\n" {
			t.Errorf("help %s: exit %d, %s%.80s", x.ID, code, errs, out)
		}
	}
	if out, _, code := helped(t, "help", "backup"); code != exitDone || !strings.Contains(out, "cloche backup FILE") {
		t.Errorf("help backup: exit %d, %s", code, out)
	}
	german, _, err := help.Find("de", "floor")
	fatal(t, err)
	if out, _, code := helped(t, "help", "floor", "--language", "de"); code != exitDone ||
		out != strings.TrimSpace(german.Text)+"\n" {
		t.Errorf("in German: exit %d, %.80s", code, out)
	}
	if _, errs, code := helped(t, "help", "floor", "--language", "nl"); code != exitInput ||
		!strings.Contains(errs, "--language") {
		t.Errorf("in Dutch: exit %d, %s", code, errs)
	}
	if _, errs, code := helped(t, "help", "soup"); code != exitInput || !strings.Contains(errs, "cloche help") {
		t.Errorf("help soup: exit %d, %s", code, errs)
	}
}

var inHelp = regexp.MustCompile("`([^`]+)`")

// TestHelpNamesCommandsThatAreThere: every command and flag on a help page is one.
func TestHelpNamesCommandsThatAreThere(t *testing.T) {
	all, err := help.Topics("en")
	if err != nil {
		t.Fatal(err)
	}
	begun := false
	root := newRoot(&begun)
	flags := map[string]bool{}
	for _, c := range root.Commands() {
		for _, name := range regexp.MustCompile(`--[a-z-]+`).FindAllString(c.UsageString(), -1) {
			flags[name] = true
		}
	}
	commands := 0
	for _, x := range all {
		for _, m := range inHelp.FindAllStringSubmatch(x.Text, -1) {
			words := strings.Fields(m[1])
			if words[0] == "cloche" && len(words) > 1 && words[1] != "help" {
				commands++
				if c, _, err := root.Find(words[1:2]); err != nil || c == root {
					t.Errorf("%s: %q is no command", x.ID, m[1])
				}
			}
			for _, w := range words {
				if strings.HasPrefix(w, "--") && !flags[w] {
					t.Errorf("%s: %s is no flag", x.ID, w)
				}
			}
		}
	}
	if commands < 8 {
		t.Errorf("%d commands are named", commands)
	}
}

// TestHelpSaysTheDefaults: the numbers on the operator's page are the program's.
func TestHelpSaysTheDefaults(t *testing.T) {
	page, _, err := help.Find("en", "operator")
	if err != nil {
		t.Fatal(err)
	}
	usage, _, _ := helped(t, "serve", "--help")
	keep := regexp.MustCompile(`--backup-keep.*\(default (\d+)\)`).FindStringSubmatch(usage)
	if keep == nil || !strings.Contains(page.Text, "the newest "+keep[1]+" are kept") {
		t.Errorf("backups: %v in %s", keep, usage)
	}
}

package study

import (
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
)

// listIn is a list of a study file, from its key to the next key at the margin.
func listIn(text, key string) (start, end int) {
	start = strings.Index(text, "\n"+key+":\n")
	if start < 0 {
		return -1, -1
	}
	start += len(key) + 3
	end = len(text)
	if at := regexp.MustCompile(`(?m)^[a-z#]`).FindStringIndex(text[start:]); at != nil {
		end = start + at[0]
	}
	return start, end
}

// listed are those of a list in a study file.
func listed(text, key string) []string {
	start, end := listIn(text, key)
	if start < 0 {
		return nil
	}
	var all []string
	for _, x := range strings.Split("\n"+strings.TrimRight(text[start:end], "\n"), "\n  - ")[1:] {
		all = append(all, "  - "+x+"\n")
	}
	return all
}

// withItems puts other items in the place of a list.
func withItems(text, key string, items ...string) string {
	start, end := listIn(text, key)
	return text[:start] + strings.Join(items, "") + "\n" + text[end:]
}

// spoilt are mistakes that a study of any kind can hold; "" leaves the kind out.
var spoilt = map[string]func(text string) string{
	"a question that there is not": func(text string) string {
		return regexp.MustCompile(`(?m)^question: .*$`).ReplaceAllString(text, "question: no-such-question")
	},
	"one sample twice": func(text string) string {
		all := listed(text, "samples")
		return withItems(text, "samples", append(all, all[0])...)
	},
	"one sample alone, or none": func(text string) string {
		all := listed(text, "samples")
		return withItems(text, "samples", all[:min(1, len(all)-1)]...)
	},
	"a sample of no dish": func(text string) string {
		return strings.Replace(text, "\n    dish: ", "\n    dish: no-such-", 1)
	},
	"one dish twice": func(text string) string {
		all := listed(text, "dishes")
		return withItems(text, "dishes", append(all, all[0])...)
	},
	"a dish without allergens": func(text string) string {
		return regexp.MustCompile(`(?m)^    allergens: .*\n`).ReplaceAllString(text, "")
	},
	"one attribute twice": func(text string) string {
		all := listed(text, "attributes")
		if len(all) == 0 {
			return ""
		}
		return withItems(text, "attributes", append(all, all[0])...)
	},
	"nobody": func(text string) string {
		return regexp.MustCompile(`(?m)^  assessors: .*$`).ReplaceAllString(text, "  assessors: 0")
	},
	"a key that there is not": func(text string) string { return text + "no such key: 1\n" },
	"nothing to agree to": func(text string) string {
		return strings.Replace(text, "\n  consent: >", "\n  no consent: >", 1)
	},
}

// TestMistakesInEveryExample: a study file of any kind with a mistake is refused whole, with the
// line, what is wrong, and what to write instead.
func TestMistakesInEveryExample(t *testing.T) {
	files, err := filepath.Glob("../../studies/*.yaml")
	if err != nil || len(files) == 0 {
		t.Fatal("no examples", err)
	}
	tried := map[string]int{}
	for _, file := range files {
		src, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		if _, problems := Parse(file, src); len(problems) > 0 {
			t.Fatalf("%s: %v", file, problems)
		}
		for name, spoil := range spoilt {
			text := spoil(string(src))
			if text == "" {
				continue
			}
			tried[name]++
			where := fmt.Sprintf("%s, %s", filepath.Base(file), name)
			if text == string(src) {
				t.Errorf("%s: the file is as it was", where)
				continue
			}
			s, problems := Parse("study.yaml", []byte(text))
			if len(problems) == 0 || s != nil {
				t.Errorf("%s: taken, with %d problems", where, len(problems))
			}
			for _, p := range problems {
				if p.File != "study.yaml" || p.Line < 1 || p.Line > strings.Count(text,
					"\n")+1 || p.What.String() == "" ||
					p.Instead.String() == "" {
					t.Errorf("%s: says %q, and not where, or not what to write", where, p.Error())
				}
			}
		}
	}
	for name := range spoilt { // kinds are left out that cannot hold a mistake, not the mistake
		if tried[name] < len(files)/3 {
			t.Errorf("%s is tried on %d of %d examples", name, tried[name], len(files))
		}
	}
}

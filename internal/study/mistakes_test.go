package study

import (
	"flag"
	"fmt"
	"os"
	"regexp"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

var update = flag.Bool("update", false, "rewrite the golden files")

const mistakesFile = "../../testdata/study/mistakes.txt"

// mistake is a case of mistakes.txt.
type mistake struct {
	head     string // "file: name", or the name alone
	out, in  []string
	reported []string
}

// source is the spoilt study file.
func (m mistake) source(t testing.TB) string {
	t.Helper()
	file, _, ok := strings.Cut(m.head, ".yaml: ")
	in := strings.Join(m.in, "\n") + "\n"
	if !ok {
		return in
	}
	sound := read(t, "../../testdata/study/"+file+".yaml")
	out := strings.Join(m.out, "\n") + "\n"
	if n := strings.Count("\n"+sound, "\n"+out); n != 1 {
		t.Fatalf("the lines to take out stand %d times in %s.yaml, want 1:\n%s", n, file, out)
	}
	if len(m.in) == 0 {
		in = ""
	}
	return strings.TrimPrefix(strings.Replace("\n"+sound, "\n"+out, "\n"+in, 1), "\n")
}

func read(t testing.TB, file string) string {
	t.Helper()
	b, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	return string(b)
}

// readMistakes reads mistakes.txt, and what stands above its first case.
func readMistakes(t testing.TB) (preface string, cases []mistake) {
	t.Helper()
	preface, rest, _ := strings.Cut(read(t, mistakesFile), "== ")
	for _, block := range strings.Split(rest, "\n== ") {
		lines := strings.Split(strings.TrimSpace(block), "\n")
		m := mistake{head: lines[0]}
		for _, line := range lines[1:] {
			switch {
			case strings.HasPrefix(line, "-"):
				m.out = append(m.out, line[1:])
			case strings.HasPrefix(line, "+"):
				m.in = append(m.in, line[1:])
			case line != "":
				m.reported = append(m.reported, line)
			}
		}
		cases = append(cases, m)
	}
	return preface, cases
}

func TestMistakes(t *testing.T) {
	preface, cases := readMistakes(t)
	if len(cases) < 100 {
		t.Fatalf("%d cases in %s, want at least 100", len(cases), mistakesFile)
	}
	var golden strings.Builder
	golden.WriteString(preface)
	for _, m := range cases {
		t.Run(m.head, func(t *testing.T) {
			s, problems := Parse("", []byte(m.source(t)))
			if s != nil || len(problems) == 0 {
				t.Fatalf("Parse = %v, %d problems; want no study and a problem", s, len(problems))
			}
			got := messages(problems)
			fmt.Fprintf(&golden, "== %s\n", m.head)
			for _, line := range m.out {
				fmt.Fprintf(&golden, "-%s\n", line)
			}
			for _, line := range m.in {
				fmt.Fprintf(&golden, "+%s\n", line)
			}
			fmt.Fprintf(&golden, "%s\n\n", strings.Join(got, "\n"))
			if !*update && !cmp.Equal(got, m.reported) {
				t.Errorf("reported (-want +got):\n%s", cmp.Diff(m.reported, got))
			}
		})
	}
	if *update {
		if err := os.WriteFile(mistakesFile, []byte(golden.String()), 0o644); err != nil {
			t.Fatal(err)
		}
	}
}

// messages are the problems as "line:column: what is wrong; what to write".
func messages(problems []Problem) []string {
	var all []string
	for _, p := range problems {
		all = append(all, strings.TrimPrefix(p.Error(), p.File+":"))
	}
	return all
}

// Cases that a text file cannot hold, or that are too long to read in one.
func TestMistakesOfBytes(t *testing.T) {
	sound := read(t, "../../testdata/study/names.yaml")
	many := func(n int, format string) string {
		var b strings.Builder
		for i := range n {
			fmt.Fprintf(&b, format, i)
		}
		return b.String()
	}
	tests := []struct {
		name, out, in string
		want          []string
	}{
		{"empty file", sound, "", []string{`1:1: the file is empty; write a study, beginning with "cloche: 1"`}},
		{"not UTF-8", "Does", "Do\xffes", []string{"2:10: a byte that is not UTF-8; write the file as UTF-8 text"}},
		{"UTF-16", sound, "c\x00l\x00o\x00", []string{"1:2: a control character (U+0000); write the line without it"}},
		{"a control character", "Does", "Do\x00es", []string{"2:10: a control character (U+0000); write the line " +
			"without it"}},
		{"tabs", "    title: Custard\n    portion: 60 g\n", "\t title: Custard\n  \tportion: 60 g\n",
			[]string{"6:1: a tab in the indentation; write spaces", "7:3: a tab in the indentation; write spaces"}},
		{"a mistake after a byte-order mark", "cloche: 1", "\ufeffcloche: 2",
			[]string{`1:9: this version of the format is not known: 2; write "cloche: 1"`}},
		{"a mistake among carriage returns", "title: Custard\n", "titel: Custard\r\n",
			[]string{`6:5: "titel" is not a key of a dish; write "title"`}},
		{"text that turns round", "text: royale", "text: \"roy\u202eale\"",
			[]string{`12:24: "text" holds a character that cannot be seen (U+202E); write it without`}},
		{"long title", "Custard", strings.Repeat("é", 201),
			[]string{`6:12: "title" is 201 characters long; write at most 200`}},
		{"too many samples", "  - {id: B, dish: custard, name: royale}\n",
			many(26, "  - {id: S%d, dish: custard, name: royale}\n"),
			[]string{`14:3: "samples" holds 27 items; write 2 to 26`}},
		{"lists in lists", "[milk, eggs]", strings.Repeat("[", 9_000) + strings.Repeat("]", 9_000),
			[]string{"9:32: lists inside lists, too deep to read; write a list of plain words"}},
		{"lists in lists, never closed", "[milk, eggs]", strings.Repeat("[", 15_000),
			[]string{"9:32: lists inside lists, too deep to read; write a list of plain words"}},
		{"dashes in dashes", "allergens: [milk, eggs]", "allergens:\n      " + strings.Repeat("- ", 10_000),
			[]string{"10:39: lists inside lists, too deep to read; write a list of plain words"}},
		{"too many keys", sound, "{" + strings.Repeat("a: 1, ", 7_000) + "}",
			[]string{"1:30000: the file holds more than 20000 words and signs; write a smaller study"}},
		{"too many lines", sound, "cloche: 1\ntitle: |\n" + strings.Repeat("   \n", 200_000),
			[]string{"5001:1: the file has more than 5000 lines; write a shorter study"}},
		{"too large", sound, strings.Repeat("#", 1<<20+1),
			[]string{"1:1: the file is 1048577 bytes long; write a study in at most 1 MiB"}},
	}
	for _, tc := range tests {
		t.Run(tc.name, func(t *testing.T) {
			if strings.Count(sound, tc.out) != 1 {
				t.Fatalf("%q does not stand once in the sound file", tc.out)
			}
			s, problems := Parse("", []byte(strings.Replace(sound, tc.out, tc.in, 1)))
			if s != nil {
				t.Error("a study came out")
			}
			if diff := cmp.Diff(tc.want, messages(problems)); diff != "" {
				t.Errorf("reported (-want +got):\n%s", diff)
			}
		})
	}
}

// A report on a file that is all mistakes is cut, and says so.
func TestMistakesAreBounded(t *testing.T) {
	_, problems := Parse("", []byte(strings.Repeat("\tx\n", 2000)))
	if len(problems) != maxProblems+1 {
		t.Errorf("%d problems, want %d", len(problems), maxProblems+1)
	}
	if first := problems[0]; first.What.String() != "more than 1000 mistakes" && problems[1].What.String() != "more "+
		"than 1000 mistakes" {
		t.Errorf("the report does not begin by saying that it is cut: %v", problems[:2])
	}
}

// Every message of the package is made of what is wrong and what to write.
func TestMistakesSayWhatToWrite(t *testing.T) {
	say := regexp.MustCompile(`\b(write|leave|use)\b`)
	_, cases := readMistakes(t)
	for _, m := range cases {
		_, problems := Parse("f.yaml", []byte(m.source(t)))
		for _, p := range problems {
			if p.What.String() == "" || !say.MatchString(p.Instead.String()) {
				t.Errorf("%s: %q; %q: the second part does not say what to write", m.head, p.What.String(),
					p.Instead.String())
			}
			if p.File != "f.yaml" || p.Line < 1 || p.Column < 1 {
				t.Errorf("%s: %v has no place", m.head, p)
			}
			if strings.HasSuffix(p.Instead.String(), ".") || strings.HasSuffix(p.What.String(), ".") {
				t.Errorf("%s: %v ends in a full stop", m.head, p)
			}
		}
	}
}

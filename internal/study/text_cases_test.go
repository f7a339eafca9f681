package study

import (
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

// textCases are edits of small files: what is typed, the file before, the file
// after.
var textCases = []struct{ name, edits, before, after string }{
	{"an empty file", `set title = Salt`, ``, `
cloche: 1
title: Salt
`},
	{"a file of comments", `set dishes[0].serve at = 55 °C`, `
# ours

# later`, `
# ours

# later
cloche: 1

dishes:
  - serve at: 55 °C
`},
	{"the version of an empty file", `set cloche = 1`, ``, `
cloche: 1
`},
	{"keys of another order keep it, and new ones find their " +
		"place", "set question = names\nset panel.seats = 4\nset panel.assessors = 8", `
cloche: 1
# asked by all
title: Salt # once

names:
  - id: a
`, `
cloche: 1
# asked by all
title: Salt # once
question: names

names:
  - id: a

panel:
  assessors: 8
  seats: 4
`},
	{"sections stand apart", "set serving.rinse = 45 s\nset names[0].id = a", `
cloche: 1
texts:
  consent: yes please
`, `
cloche: 1

names:
  - id: a

serving:
  rinse: 45 s

texts:
  consent: yes please
`},
	{"a comment belongs to what is below it", "set panel.sittings = 2", `
panel:
  assessors: 8 # eight
  # chairs
  seats: 4
`, `
panel:
  assessors: 8 # eight
  sittings: 2
  # chairs
  seats: 4
`},
	{"a key before the first, with its comment", "set panel.assessors = 8\nset names[0].id = b\nset cloche = 1", `
# head
panel:
  # chairs
  seats: 4
names:
-   text: B
`, `
# head
cloche: 1
panel:
  assessors: 8
  # chairs
  seats: 4
names:
-   id: b
    text: B
`},
	{"a comment inside a block stays with it", "set panel.assessors = 8\nset names[1].id = b\nmove names[0] to 1", `
names:
  - id: a
    # no more of a

  # no more names
serving:
  rinse: 45 s
`, `
names:
  - id: b
  - id: a
    # no more of a

panel:
  assessors: 8

  # no more names
serving:
  rinse: 45 s
`},
	{"a value beside a comment", "set title = New\nset texts.thanks = \"a\\nb\"\nset panel.seats = 5\nset question " +
		"= names", `
title: 'Old' # the title
question: # open
panel:
  seats:   4   # chairs
texts:
  thanks: Thanks # short
`, `
title: New # the title
question: names # open
panel:
  seats: 5 # chairs
texts:
  thanks: |- # short
    a
    b
`},
	{"a paragraph that is a line now, with a comment", `set texts.thanks = Thanks`, `
texts:
  thanks: > # long
     One
     two.

     Three.

# end
`, `
texts:
  thanks: Thanks # long

# end
`},
	{"a paragraph of short lines", `set texts.thanks = "One two.\nThree\nfour"`, `
texts:
    thanks: >-
        One
        two.

        Three.
    debrief: x
`, `
texts:
    thanks: |-
      One two.
      Three
      four
    debrief: x
`},
	{"a paragraph of one line", `set texts.thanks = One line`, `
texts:
  thanks: |
    One
    two
`, `
texts:
  thanks: One line
`},
	{"long text folds", `set texts.consent = You will taste two small spoonfuls of warm food and answer four short ` +
		`questions about each. It takes about eight minutes.`, `
texts:
  instructions: Taste.
`, `
texts:
  consent: >
    You will taste two small spoonfuls of warm food and answer four short
    questions about each. It takes about eight minutes.
  instructions: Taste.
`},
	{"text that is no text to YAML", "set title = yes\nset dishes[0].title = 1\nset dishes[0].portion = # x\nset " +
		"names[0].text = a: b", `
title: x
dishes: [{id: d, title: e}]
`, `
title: "yes"
dishes: [{id: d, title: "1", portion: "# x"}]

names:
  - text: "a: b"
`},
	{"numbers stay plain, and what is none is kept", "set panel.assessors = 40\nset panel.seats = many\nset " +
		"analysis.alpha = 0,05\nset dishes[0].serve at = 55\nset dishes[0].alcohol = true\nset samples[0].blind = " +
		"yes\nset attributes[0].scale.from = 1e2", `
cloche: 1
`, `
cloche: 1

dishes:
  - serve at: 55
    alcohol: true

samples:
  - blind: "yes"

attributes:
  - scale: {from: 1e2}

panel:
  assessors: 40
  seats: many

analysis:
  alpha: "0,05"
`},
	{"the words of a translation", "set translations.fr.names.b = Deux\nset translations.fr.names.a = Un\nset " +
		"translations.fr.also contains.\"a.b [c]\" = x\nset translations.fr.texts.consent = Oui\nset " +
		"translations.fr.attributes.salt.line[0] = peu", `
languages: [en, fr]
names:
  - id: a
  - id: b
`, `
languages: [en, fr]
names:
  - id: a
  - id: b

translations:
  fr:
    names:
      a: Un
      b: Deux
    attributes:
      salt:
        line: [peu]
    also contains:
      "a.b [c]": x
    texts:
      consent: Oui
`},
	{"brackets", "set a.b = x\nset a.c[1] = two, three\nset a.e.f = \"g\\nh\"\nremove a.d", `
a: {b: 'old', c: [one], # note
    d: 1}
`, `
a: {b: x, c: [one, "two, three"], e: {f: "g\nh"}} # note
`},
	{"items in brackets", "list a = z | v, w\nset b[0].c = \"\"\nset b[1].c = 2\nset d = x", `
a: [x, y]
b: [{c: 1}, {c:}]
d:
`, `
a: [z, "v, w"]
b: [{}, {c: "2"}]
d: x
`},
	{"the first in brackets", "remove a[0]\nremove b.c", `
a: [x, y]
b: {c: 1, d: 2}
`, `
a: [y]
b: {d: 2}
`},
	{"empty brackets become a block", "set dishes[0].id = a\nset panel.seats = 2\nset dishes[0].allergens[0] = milk", `
dishes: [] # none yet
panel: {} # later
`, `
dishes: # none yet
  - id: a
    allergens: [milk]
panel: # later
  seats: 2
`},
	{"a section without a value", "set dishes[0].id = a\nset panel.seats = 2", `
dishes: # none yet
# about the panel
panel:

texts:
`, `
dishes: # none yet
  - id: a
# about the panel
panel:
  seats: 2

texts:
`},
	{"a scale takes another form", "set attributes[0].scale.categories[0] = low\nset attributes[1].scale = " +
		"hedonic-9\nset attributes[2].scale = hedonic-9", `
attributes:
  - scale: hedonic-9 # liking
  - scale: {line: [a, b]} # line
  - scale: # block
      line:
        - a
        - b # end
  - id: x
`, `
attributes:
  - scale: {categories: [low]} # liking
  - scale: hedonic-9 # line
  - # end
    scale: hedonic-9 # block
  - id: x
`},
	{"a list that stands apart", "set names[2].id = c", `
names:
  - id: a

  # the second
  - id: b
`, `
names:
  - id: a

  # the second
  - id: b

  - id: c
`},
	{"an item with the comment on it", "remove names[1]", `
names:
  # all of them
  - id: a

  # far away

  # the second
  # of them
  - id: b # b
    text: B
    # below
  # the third
  - id: c
`, `
names:
  # all of them
  - id: a

  # far away

  # the third
  - id: c
`},
	{"the first item, where only it has a comment", "remove names[0]", `
names:
  # as on the menu
  - id: a
  - id: b
`, `
names:
  # as on the menu
  - id: b
`},
	{"the first item, where each has a comment", "remove names[0]", `
names:
  # the first
  - id: a
  # the second
  - id: b
`, `
names:
  # the second
  - id: b
`},
	{"the first key beside a dash", "remove names[0].id\nremove names[1].id", `
names:
  - id: a # gone
    text: A
  - id: b # gone
    # stays
    text: B
`, `
names:
  - text: A
  - # stays
    text: B
`},
	{"the last key of an item keeps its place", "remove names[0].id\nset names[1].id = \"\"\nset names[1].text = B", `
names:
  - id: a # a
  - id: b # b
`, `
names:
  - {} # a
  # b
  - text: B
`},
	{"all of a section", "remove panel.seats\nremove dishes[0]\nset translations.fr.names.a = \"\"", `
# head
title: x

# what is cooked
dishes:
  - id: a # first
    title: A

panel:
  # chairs
  seats: 4
translations:
  fr:
    names:
      a: A
`, `
# head
title: x
`},
	{"a list word by word", "list a = x | z | w\nlist b = d | e", `
a:
  # the first
  - x # ex
  # the second
  - y
  - z # zed
b: [c, d] # two
`, `
a:
  # the first
  - x # ex
  - z # zed
  - w
b: [d, e] # two
`},
	{"another order", "move names[0] to 2\nmove a[2] to 0", `
names:
  # the first
  - id: a
    text: A # A

  # the second
  - id: b
  - id: c
a: [x, 'y', "z"]
`, `
names:
  # the second
  - id: b

  - id: c
  # the first
  - id: a
    text: A # A
a: ["z", x, 'y']
`},
	{"lines that end otherwise", "set a = z\nset panel.seats = 2\nset texts.thanks = \"a\\nb\"\nremove c",
		"a: x # a\r\nb: |\r\n  y\r\n\r\nc: 1", "a: z # a\r\nb: |\r\n  y\r\n\r\npanel:\r\n  seats: " +
			"2\r\n\r\ntexts:\r\n  thanks: |-\r\n    a\r\n    b"},
}

func TestTextCases(t *testing.T) {
	for _, tc := range textCases {
		t.Run(tc.name, func(t *testing.T) {
			text := open(t, strings.TrimPrefix(tc.before, "\n"))
			if err := edit(t, text, tc.edits); err != nil {
				t.Fatal(err)
			}
			if diff := cmp.Diff(strings.TrimPrefix(tc.after, "\n"), string(text.Bytes())); diff != "" {
				t.Errorf("(-want +got):\n%s", diff)
			}
		})
	}
}

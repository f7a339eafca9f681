package study

import (
	"bytes"
	"errors"
	"strings"
	"unicode"
	"unicode/utf8"

	"github.com/goccy/go-yaml"
	"github.com/goccy/go-yaml/ast"
	"github.com/goccy/go-yaml/lexer"
	"github.com/goccy/go-yaml/parser"
	"github.com/goccy/go-yaml/token"
)

// Bounds of a file. They stand far above any study and far below what would
// keep the program busy: the parser's time grows with the square of the tokens
// (20 000 take about 0.1 s) and with that of the lines of a paragraph, its stack
// with the depth.
const (
	maxBytes  = 1 << 20
	maxLines  = 5_000
	maxTokens = 20_000
	maxDepth  = 16
)

// place is where something stands in the file, from 1; columns count characters.
type place struct{ line, column int }

// start is the place of what is missing from the whole file.
var start = place{1, 1}

// document turns the bytes of a file into the tree of its one YAML document. It
// takes the part of YAML that a study needs: no anchors and aliases (whose
// expansion can be exponential), tags, directives or second documents.
func (r *reader) document(src []byte) (ast.Node, bool) {
	text, ok := r.clean(src)
	if !ok {
		return nil, false
	}
	tree, ok := r.parse(text)
	if !ok {
		return nil, false
	}
	body := bodyOf(tree)
	if body == nil {
		r.problem("", start, Say("the file is empty"), Say("write a study, beginning with \"cloche: 1\""))
		return nil, false
	}
	return body, true
}

// bodyOf is what a file holds beside comments, or nil.
func bodyOf(tree *ast.File) (body ast.Node) {
	for _, doc := range tree.Docs {
		if doc.Body != nil && doc.Body.Type() != ast.CommentType {
			body = doc.Body
		}
	}
	return body
}

// parse runs the YAML parser. A panic of that library on some odd text is this
// file's mistake to its author, not the end of the service.
func (r *reader) parse(text string) (tree *ast.File, ok bool) {
	defer func() {
		if recover() != nil {
			r.problem("", start, Say("this is not YAML that can be read"),
				Say("write \"key: value\" lines, indented by spaces"))
			tree, ok = nil, false
		}
	}()
	tokens := lexer.Tokenize(text)
	if !r.checkTokens(tokens) {
		return nil, false
	}
	r.comments = map[int]string{}
	for _, c := range tokens {
		if c.Type == token.CommentType {
			r.comments[c.Position.Line-1] = "#" + strings.TrimRight(c.Value, " ")
		}
	}
	tree, err := parser.Parse(tokens, 0, parser.AllowDuplicateMapKey())
	if err != nil {
		r.syntax(err)
		return nil, false
	}
	return tree, true
}

// oneLineEnd gives every line the same end.
var oneLineEnd = strings.NewReplacer("\r\n", "\n", "\r", "\n")

// clean checks the bytes before any parser sees them and gives every line the
// same end.
func (r *reader) clean(src []byte) (string, bool) {
	if len(src) > maxBytes {
		r.problem("", start, Say("the file is %d bytes long", len(src)), Say("write a study in at most 1 MiB"))
		return "", false
	}
	src = bytes.TrimPrefix(src, []byte("\ufeff"))
	text := oneLineEnd.Replace(string(src))
	r.lines = strings.Split(text, "\n")
	if len(r.lines) > maxLines {
		r.problem("", place{maxLines + 1, 1}, Say("the file has more than %d lines", maxLines),
			Say("write a shorter study"))
		return "", false
	}
	for i, line := range r.lines {
		r.cleanLine(i+1, line)
	}
	return text, len(r.problems) == 0
}

// cleanLine reports the first thing in a line that no study file holds.
func (r *reader) cleanLine(n int, line string) {
	column, indent := 0, true
	for i, c := range line {
		column++
		_, size := utf8.DecodeRuneInString(line[i:])
		switch {
		case c == utf8.RuneError && size == 1:
			r.problem("", place{n, column}, Say("a byte that is not UTF-8"), Say("write the file as UTF-8 text"))
			return
		case c == '\t' && indent:
			r.problem("", place{n, column}, Say("a tab in the indentation"), Say("write spaces"))
			return
		case c != '\t' && unicode.IsControl(c):
			r.problem("", place{n, column}, Say("a control character (%U)", c), Say("write the line without it"))
			return
		}
		indent = indent && (c == ' ' || c == '\t')
	}
}

// foreign are the tokens of YAML that a study file does without.
var foreign = map[token.Type]string{
	token.AnchorType:     "an anchor (&)",
	token.AliasType:      "an alias (*)",
	token.TagType:        "a tag (!)",
	token.DirectiveType:  "a directive (%)",
	token.MappingKeyType: "a key marked with ?",
	token.MergeKeyType:   "a merge key (<<)",
}

// checkTokens refuses what is too much or too deep for the parser, and the
// parts of YAML that a study file does without.
func (r *reader) checkTokens(tokens token.Tokens) bool {
	if len(tokens) > maxTokens {
		r.problem("", placeOf(tokens[maxTokens]), Say("the file holds more than %d words and signs", maxTokens),
			Say("write a smaller study"))
		return false
	}
	for i, t := range tokens {
		what, ok := foreign[t.Type]
		switch {
		case ok:
			r.problem("", placeOf(t), Say("%s is not part of a study file", Say(what)),
				Say("write the value itself, in quotes if it begins with such a sign"))
		case t.Type == token.DocumentHeaderType && hasContent(tokens[:i]):
			r.problem("", placeOf(t), Say("a second document (---)"), Say("write one study in a file"))
		}
	}
	return r.checkNesting(tokens) && len(r.problems) == 0
}

// checkNesting refuses brackets and dashes inside each other without end, and
// brackets that are never closed: the parser would put these where it gave up,
// not where they begin.
func (r *reader) checkNesting(tokens token.Tokens) bool {
	var open []*token.Token
	dashes, line := 0, 0
	for _, t := range tokens {
		if t.Position.Line != line {
			line, dashes = t.Position.Line, 0
		}
		switch t.Type {
		case token.SequenceStartType, token.MappingStartType:
			open = append(open, t)
		case token.SequenceEndType, token.MappingEndType:
			open = open[:max(0, len(open)-1)]
		case token.SequenceEntryType:
			dashes++
		}
		if len(open) > maxDepth || dashes > maxDepth {
			r.problem("", placeOf(t), Say("lists inside lists, too deep to read"), Say("write a list of plain words"))
			return false
		}
	}
	if len(open) == 0 {
		return true
	}
	what, instead := Say("a list that is never closed"), Say("write the closing ]")
	if open[0].Type == token.MappingStartType {
		what, instead = Say("a block that is never closed"), Say("write the closing }")
	}
	r.problem("", placeOf(open[0]), what, instead)
	return false
}

func hasContent(tokens token.Tokens) bool {
	for _, t := range tokens {
		if t.Type != token.CommentType && t.Type != token.DocumentHeaderType {
			return true
		}
	}
	return false
}

// inPlainWords says what the parser's messages mean to someone who does not
// speak YAML; each message is matched by a part of it.
var inPlainWords = []struct{ message, what, instead string }{
	{"double-quoted text", "a double quote that is never closed", `write the closing "`},
	{"single-quoted text", "a single quote that is never closed", "write the closing '"},
	{"mapping value is not allowed", "a second key where a value should stand",
		"write one \"key: value\" a line, and quotes around a value that holds a colon"},
	{"sequence entries are not allowed", "a list that begins on the line of its key",
		"write each \"- item\" on a line of its own"},
	{"reserved character", "a value that begins with a sign YAML keeps for itself", "write the value in quotes"},
	{"cannot start any token", "a sign that cannot stand here",
		"write spaces for indentation, and quotes around the value"},
	{"unexpected directive", "a value that begins with %", "write the value in quotes"},
	{"or ']' must be specified", "a list without a comma before this place", "write a comma between the items"},
	{"or '}' must be specified", "a block without a comma before this place", "write a comma between its keys"},
	{"is not allowed in this context", "a line that does not fit the lines around it",
		"write the same indentation as the lines beside it, and a colon and a space after each key"},
	{"non-map value", "a line that is not \"key: value\"", "write a colon and a space after the key"},
	{"invalid key", "a key that is not a word", "write a word, a colon and a space"},
}

// syntax reports a file that is not YAML. The parser stops at the first such
// mistake, so that it is the only one reported.
func (r *reader) syntax(err error) {
	at, message := start, err.Error()
	var syntax *yaml.SyntaxError
	if errors.As(err, &syntax) {
		message = syntax.Message
		if syntax.Token != nil {
			at = placeOf(syntax.Token)
		}
	}
	for _, m := range inPlainWords {
		if strings.Contains(message, m.message) {
			r.problem("", at, Say(m.what), Say(m.instead))
			return
		}
	}
	message, _, _ = strings.Cut(message, "\n")
	r.problem("", at, Say("this is not YAML (%s)", message), Say("write \"key: value\" lines, indented by spaces"))
}

func placeOf(t *token.Token) place {
	if t == nil || t.Position == nil {
		return start
	}
	return place{t.Position.Line, t.Position.Column}
}

// placeOfNode is where a node begins. The parser puts a mapping at its first
// colon; a person looks for its first key.
func placeOfNode(n ast.Node) place {
	if m, ok := n.(*ast.MappingNode); ok && !m.IsFlowStyle && len(m.Values) > 0 {
		return placeOf(m.Values[0].Key.GetToken())
	}
	return placeOf(n.GetToken())
}

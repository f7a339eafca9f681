package study

import (
	"regexp"
	"strings"
	"unicode"
)

// plainWord is text that means itself in YAML, in a list too: it begins with a
// letter or digit and holds no sign with a meaning.
var plainWord = regexp.MustCompile(`^[\pL\pN][\pL\pN .?!()/°%_-]*$`)

// notText are the words that YAML, of one version or another, does not read as
// text.
var notText = map[string]bool{
	"true": true, "false": true, "null": true, "yes": true, "no": true, "on": true, "off": true, "y": true, "n": true,
}

// scalar writes text on one line, in quotes unless it is a plain word.
func scalar(s string) string {
	plain := plainWord.MatchString(s) && !notText[strings.ToLower(s)] && strings.TrimSpace(s) == s
	if plain && (s[0] > '9' || strings.ContainsFunc(s, unicode.IsSpace)) {
		return s
	}
	return string(appendString(nil, s))
}

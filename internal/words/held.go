package words

import (
	"reflect"
	"regexp"
	"strings"
)

// held are the languages whose numbers stand apart from their unit, with what else holds on to its
// neighbour. French parts its high punctuation by a space that no line may end at (Imprimerie nationale,
// Lexique des règles typographiques, from memory); the same no-break space stands before all of it.
var held = map[string]*strings.Replacer{
	"fr": strings.NewReplacer(" :", "\u00a0:", " ;", "\u00a0;", " ?", "\u00a0?", " !", "\u00a0!", " »", "\u00a0»",
		"« ", "«\u00a0", " %%", "\u00a0%%"),
	"de": strings.NewReplacer(" %%", "\u00a0%%"),
	"es": strings.NewReplacer(" %%", "\u00a0%%"),
	"it": strings.NewReplacer(" %%", "\u00a0%%"),
}

// beforeUnit is a number, or a verb or brace for one, and the unit after it.
var beforeUnit = regexp.MustCompile(`(\d|%[.0-9]*[a-z]|\{[a-z]+\}) (%%|°C|(?:kg|g|mg|l|ml|dl|cl|cm|mm|px|MB|kB|` +
	`min|Min\.|h|s|Std\.)(?:[ .,;:)]|$))`)

// beforeSign is a number and its sign in a text that takes no values.
var beforeSign = regexp.MustCompile(`(\d) %`)

// hold keeps together, in a text of a language, what no line may part: a number and its unit, French signs
// and their word. Of verbs and braces it touches none.
func hold(tag, text string) string {
	r, ok := held[tag]
	if !ok {
		return text
	}
	text = beforeUnit.ReplaceAllString(r.Replace(text), "$1\u00a0$2")
	return beforeSign.ReplaceAllString(text, "$1\u00a0%")
}

// holding is the words of a language with each of their texts held together.
func holding(w Words) Words {
	v := reflect.ValueOf(&w).Elem()
	for i := range v.NumField() {
		if f := v.Field(i); f.CanSet() && f.Kind() == reflect.String {
			f.SetString(hold(w.tag, f.String()))
		}
	}
	return w
}

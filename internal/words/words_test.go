package words

import (
	"reflect"
	"regexp"
	"slices"
	"strings"
	"testing"

	"cloche/internal/study"
)

var verbs = regexp.MustCompile(`%[a-z]`)

// same are words that are alike in some languages.
var same = []string{"Code", "Day", "Decimal", "No"}

// Every language has every word, of its own and with the same verbs.
func TestEveryLanguageHasEveryWord(t *testing.T) {
	for tag, w := range catalogue {
		own, en := reflect.ValueOf(w), reflect.ValueOf(english)
		for i := range own.NumField() {
			name, text, original := own.Type().Field(i).Name, own.Field(i).String(), en.Field(i).String()
			switch {
			case strings.TrimSpace(text) == "":
				t.Errorf("%s has no %s", tag, name)
			case tag != "en" && text == original && !slices.Contains(same, name):
				t.Errorf("%s in %s is English: %q", name, tag, text)
			case !slices.Equal(verbs.FindAllString(text, -1), verbs.FindAllString(original, -1)):
				t.Errorf("%s in %s has other verbs than %q: %q", name, tag, original, text)
			}
		}
	}
}

// The languages are those in which package study has the words of allergens.
func TestLanguagesAreThoseOfStudies(t *testing.T) {
	if len(catalogue) != len(study.Spoken) {
		t.Errorf("%d languages, want %d", len(catalogue), len(study.Spoken))
	}
	for _, tag := range study.Spoken {
		if _, ok := catalogue[tag]; !ok {
			t.Errorf("no words in %s", tag)
		}
	}
}

func TestIn(t *testing.T) {
	for _, tc := range []struct{ tag, want, name string }{
		{"en", "Start", "English"}, {"fr", "Commencer", "Français"}, {"fr-CA", "Commencer", "Français (CA)"},
		{"nl", "Start", "English"}, {"", "Start", "English"},
	} {
		if got := In(tc.tag).Begin; got != tc.want {
			t.Errorf("In(%q).Begin = %q, want %q", tc.tag, got, tc.want)
		}
		if got := Name(tc.tag); got != tc.name {
			t.Errorf("Name(%q) = %q, want %q", tc.tag, got, tc.name)
		}
	}
}

func TestNumbersAndCounts(t *testing.T) {
	fr := In("fr")
	for _, tc := range []struct{ got, want string }{
		{fr.Number(-1.5), "-1,5"}, {fr.Number(100), "100"}, {In("en").Number(-1.5), "-1.5"},
		{fr.Servings(1, 1), "Il y a une portion."}, {fr.Servings(4, 1), "Il y a 4 portions, l’une après l’autre."},
		{fr.Servings(1, 3), "Vous recevez 3 assiettes à la fois, et une question à leur " +
			"sujet."}, {fr.Servings(4, 2), "Il y a 4 séries. À chacune, vous recevez 2 assiettes à la fois, et une " +
			"question à leur sujet."},
		{fr.Until(2, 3, 1), "secondes avant la portion 2 sur 3. La page continue " +
			"d’elle-même."}, {fr.Until(2, 3, 2), "secondes avant la série 2 sur 3. La page continue d’elle-même."},
		{fr.Send(0), "J’ai goûté"}, {fr.In(3, 2), "Vos réponses sont arrivées."},
		{fr.Send(1), "Envoyer cette réponse"}, {fr.Send(4), "Envoyer ces 4 réponses"},
		{fr.Wrong(1), "Une réponse manque ou n’est pas " +
			"claire"}, {fr.Wrong(2), "2 réponses manquent ou ne sont pas claires"},
		{fr.In(1, 1), "Vos réponses sont arrivées."}, {fr.In(2, 1), "Les réponses aux 2 portions sont arrivées."},
	} {
		if tc.got != tc.want {
			t.Errorf("got %q, want %q", tc.got, tc.want)
		}
	}
}

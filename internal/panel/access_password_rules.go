package panel

import (
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"

	"cloche/internal/study"
)

// MinPassword is the shortest password, in characters (NIST SP 800-63B asks for at
// least 8, and for a list of those that are commonly used; a service that guests'
// phones reach deserves more).
const MinPassword = 10

// maxPassword is the most that bcrypt reads, in bytes.
const maxPassword = 72

// fewSigns is the fewest different characters of a password.
const fewSigns = 5

// commonWords are what passwords that are tried first are made of. From memory; the
// list is short on purpose: length does most of the work.
var commonWords = []string{
	"abc", "abcd", "admin", "administrator", "baseball", "bonjour", "changeme", "charlie", "chef", "chocolate", "ciao",
	"cloche",
	"computer", "default", "dragon", "football", "freedom", "guest", "hallo", "hello", "hola", "iloveyou", "jesus",
	"kitchen",
	"lead", "letmein", "login", "master", "michael", "monkey", "mustang", "pass", "passw", "password", "passwort",
	"princess", "qwerty",
	"qwertyuiop", "qwertz", "qwertzuiop", "azerty", "azertyuiop", "asdf", "asdfgh", "asdfghjkl", "restaurant", "root",
	"secret", "shadow",
	"starwars", "sunshine", "superman", "tasting", "test", "the", "trustno", "welcome", "whatever", "zxcvbn", "zxcvbnm",
	"my", "is", "a", "please",
}

// PasswordProblems says, in sentences, everything that is wrong with a new password;
// nil when nothing is.
func PasswordProblems(password string) []study.Said {
	var problems []study.Said
	if utf8.RuneCountInString(password) < MinPassword {
		problems = append(problems, study.Say("Use at least %d characters.", MinPassword))
	}
	if len(password) > maxPassword {
		problems = append(problems, study.Say("Use at most %d bytes: plain letters and digits take one each, "+
			"others up to four.", maxPassword))
	}
	if password != "" && isCommon(password) {
		problems = append(problems, study.Say("This one is easy to guess: it is made of a few common words, runs or "+
			"repeats. Use a few words that only you would put together."))
	}
	return problems
}

// isCommon reports whether a password is made of few signs, of common words or of
// runs such as 1234 and their repeats, in whatever case and whatever stands between.
func isCommon(password string) bool {
	text := plainLetters(password)
	signs := []rune(strings.ToLower(password))
	slices.Sort(signs)
	return len(slices.Compact(signs)) < fewSigns || eaten(text) == ""
}

// plainLetters is a password in lower case, with the usual stand-ins for letters read
// as these, and nothing but letters and digits.
func plainLetters(password string) string {
	var b strings.Builder
	for _, r := range strings.ToLower(password) {
		if unicode.IsLetter(r) || unicode.IsDigit(r) {
			b.WriteRune(r)
		}
	}
	return b.String()
}

// standIns are digits that people write for letters.
var standIns = strings.NewReplacer("0", "o", "1", "i", "3", "e", "4", "a", "5", "s", "7", "t")

// eaten is what is left of a text without common words, digits, and runs of letters.
func eaten(text string) string {
	for _, spelt := range []string{text, standIns.Replace(text)} {
		left := withoutRuns(withoutWords(spelt))
		left = strings.Map(func(r rune) rune {
			if unicode.IsDigit(r) {
				return -1
			}
			return r
		}, left)
		if left == "" {
			return ""
		}
	}
	return text
}

// withoutWords takes common words out, long ones first.
func withoutWords(text string) string {
	words := slices.Clone(commonWords)
	slices.SortStableFunc(words, func(x, y string) int { return len(y) - len(x) })
	for _, w := range words {
		text = strings.ReplaceAll(text, w, "0")
	}
	return text
}

// withoutRuns takes out three or more letters that rise or fall one by one, or are
// the same.
func withoutRuns(text string) string {
	r := []rune(text)
	var left []rune
	for at := 0; at < len(r); {
		end := at + 1
		for end < len(r) && end-at >= 1 && (end == at+1 && within(r[end]-r[at]) || end > at+1 &&
			r[end]-r[end-1] == r[at+1]-r[at]) {
			end++
		}
		if end-at < 3 {
			left = append(left, r[at])
			end = at + 1
		}
		at = end
	}
	return string(left)
}

func within(step rune) bool { return step >= -1 && step <= 1 }

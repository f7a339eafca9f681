package panel

import (
	"strings"
	"testing"
)

func TestPasswordsThatAreRefused(t *testing.T) {
	for _, bad := range []string{
		"short", "1234567890", "0987654321", "aaaaaaaaaaaa", "abcdefghij", "password123", "Password2026!",
		"passwordpassword", "P4ssw0rd!!!!",
		"qwertyuiop", "qwertzuiop12", "letmein12345", "iloveyou2000", "Welcome2026!", "administrator", "admin12345",
		"chefchefchef", "abababababab",
		"restaurant1", "kitchen-kitchen", "this is too long for what is kept of it, which reads only seventy-two bytes",
	} {
		if len(PasswordProblems(bad)) == 0 {
			t.Errorf("%q is taken", bad)
		}
	}
}

func TestPasswordsThatAreTaken(t *testing.T) {
	for _, good := range []string{
		"three forks in a drawer", "a lamp beside the ledger", "four spoons in a jar", "k7#vQm2!xPzt",
		"celeriac under a bell", "mon petit chou-fleur", "a long pass phrase",
	} {
		if p := PasswordProblems(good); len(p) > 0 {
			t.Errorf("%q: %v", good, p)
		}
	}
}

// TestEveryProblemOfAPasswordIsSaid: what is short and easy to guess is both.
func TestEveryProblemOfAPasswordIsSaid(t *testing.T) {
	p := PasswordProblems("12345")
	if len(p) != 2 || !strings.Contains(p[0].String(), "at least 10 characters") ||
		!strings.Contains(p[1].String(), "easy to guess") {
		t.Errorf("%q", p)
	}
}

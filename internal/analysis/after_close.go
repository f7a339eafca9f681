package analysis

import (
	"fmt"
	"strings"
)

// AfterClose is what happened to the answers of a study after it was closed.
type AfterClose struct {
	Assessors int      // with answers that arrived then; these are kept aside and not analysed
	Servings  int      // that those answers are of
	Withdrawn []string // when an assessor took the answers out then, RFC 3339, oldest first
}

// FindingsVersion counts the findings of a closed study, from 1: each withdrawal
// after the close changes the ratings that they rest on.
func (a AfterClose) FindingsVersion() int { return len(a.Withdrawn) + 1 }

// remarkAfterClose says what the findings leave out, and that they have changed.
func remarkAfterClose(a AfterClose) []Warning {
	var all []Warning
	if a.Servings > 0 {
		all = append(all, Warning{WarnAfterClose, fmt.Sprintf("answers to %s of %s arrived after the study was "+
			"closed: they are kept aside and not analysed",
			counted(a.Servings, "serving"), counted(a.Assessors, "assessor"))})
	}
	if n := len(a.Withdrawn); n > 0 {
		all = append(all, Warning{WarnRevised, fmt.Sprintf("this is version %d of the findings: %s deleted "+
			"their answers after the study was closed (%s), "+
			"so earlier copies of the findings hold answers that may no longer be used", a.FindingsVersion(), counted(n,
			"assessor"), strings.Join(a.Withdrawn, ", "))})
	}
	return all
}

// counted writes a number with its noun, "one" as a word.
func counted(n int, noun string) string {
	if n == 1 {
		return "one " + noun
	}
	return fmt.Sprintf("%d %ss", n, noun)
}

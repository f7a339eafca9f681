package analysis

import (
	"fmt"
	"strings"
)

// Version is one version of a study's plan, as it was locked.
type Version struct {
	Number    int    // from 1
	This      bool   // the ratings analysed are of this version
	Reason    string // why the version before was changed; "" for the first
	Before    int    // servings of the version before that had their ratings when it was changed
	LockedAt  string // RFC 3339
	StudyHash string
	PlanHash  string
}

// Signature is a name that was put to a locked plan before the first rating.
type Signature struct {
	Name string
	At   string // RFC 3339
}

// TimeStamp is that of an outside authority on what was locked.
type TimeStamp struct {
	At          string // RFC 3339, by the authority's clock
	Authority   string // whom its certificate names
	Issuer      string // who issued that
	Fingerprint string // of the certificate: SHA-256, in hexadecimal
	// BeforeOpening says that it is from before the first sitting was opened, by this service's clock.
	BeforeOpening bool
}

// remarkVersions says that a plan is not the only one, or not the first.
func remarkVersions(versions []Version) []Warning {
	var all []Warning
	this := 0
	for _, v := range versions {
		if v.This {
			this = v.Number
		}
	}
	for _, v := range versions {
		if v.Number > 1 {
			all = append(all, warnPlanChanged(v, this))
		}
	}
	return all
}

func warnPlanChanged(v Version, this int) Warning {
	when := "before any serving had been rated"
	switch v.Before {
	case 0:
	case 1:
		when = "after one serving had been rated"
	default:
		when = fmt.Sprintf("after %d servings had been rated", v.Before)
	}
	text := fmt.Sprintf("the plan was changed %s: version %d took the place of version %d, because: %s",
		when, v.Number, v.Number-1, strings.TrimRight(v.Reason, ". "))
	if v.Number > this {
		text += fmt.Sprintf(" (these findings are of version %d)", this)
	}
	return Warning{WarnPlanChanged, text}
}

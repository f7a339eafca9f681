package desk

import (
	"fmt"
	"math"
	"strings"

	"github.com/gin-gonic/gin"

	"cloche/internal/analysis"
	"cloche/internal/panel"
	"cloche/internal/report"
	"cloche/internal/server/site"
)

// takeLook takes the planned look that is due.
func (s *handlers) takeLook(c *gin.Context) error {
	id := site.StudyIn(c)
	if _, err := s.Panel.TakeLook(c.Request.Context(), site.SessionOf(c), id); err != nil {
		return err
	}
	return site.SeeOther(c, "/studies/"+string(id))
}

// lookSeen is a look as the partner sees it, in words.
type lookSeen struct{ Name, People, Difference, T, Needs, Spent, Answer string }

// looksSeen are the looks taken so far in numbers; none for whoever may not know them yet.
func (s *handlers) looksSeen(c *gin.Context, stored panel.Study) (rows []lookSeen, err error) {
	by := site.SessionOf(c)
	if len(stored.Spec.Plan.Looks) == 0 || panel.May(by.Role, panel.KnowLooks, stored.State) != panel.Whole {
		return nil, nil // nothing to show, and no error
	}
	part, err := s.Panel.LooksSoFar(c.Request.Context(), by, stored.ID)
	if err != nil || part == nil {
		return nil, err
	}
	for k, x := range part.Taken {
		rows = append(rows, newLookSeen(site.TongueOf(c), k+1, part.Planned, x))
	}
	return rows, nil
}

func newLookSeen(w site.Tongue, number, planned int, x analysis.LookNow) lookSeen {
	r := lookSeen{Name: w.Translate("Look %d", number), People: w.Translate("%d of %d", x.People, planned),
		Difference: withSign("%+.2f", x.Difference), T: withSign("%.2f", x.T),
		Needs: fmt.Sprintf("%.2f", x.Critical), Spent: report.AlphaSpent(x.Bound.Spent), Answer: w.Translate("go on")}
	if math.IsInf(x.Critical, 1) {
		r.Needs = w.Translate("none: nothing is left to spend")
	}
	if math.IsNaN(x.T) {
		r.T = "–"
	}
	if x.Reached {
		r.Answer = w.Translate("enough")
	}
	return r
}

// withSign writes a number with a minus that is as long as a plus.
func withSign(format string, v float64) string {
	return strings.Replace(fmt.Sprintf(format, v), "-", "−", 1)
}

// evidenceSeen is running evidence as the partner sees it, in words.
type evidenceSeen struct{ Stands, Enough, People, Between, Mean, Beside string }

// evidenceNow is running evidence in numbers; nil for whoever may not know them yet, and where none is counted.
func (s *handlers) evidenceNow(c *gin.Context, stored panel.Study) (*evidenceSeen, error) {
	by := site.SessionOf(c)
	if stored.Spec.Plan.Evidence == "" || panel.May(by.Role, panel.KnowLooks, stored.State) != panel.Whole {
		return nil, nil // nothing to show, and no error
	}
	e, err := s.Panel.EvidenceSoFar(c.Request.Context(), by, stored.ID)
	if err != nil || e == nil {
		return nil, err
	}
	w := site.TongueOf(c)
	return &evidenceSeen{Stands: w.Tell(analysis.OddsSaid(e.LogE())), Enough: w.Tell(analysis.OddsSaid(e.Enough())),
		People:  w.Translate("%d of %d", len(e.Steps), e.Planned),
		Between: w.Translate("%s and %s", withSign("%+.2f", e.Plain.CI.Lo), withSign("%+.2f", e.Plain.CI.Hi)),
		Mean:    withSign("%+.2f", e.Plain.Value),
		Beside:  w.Tell(analysis.OddsSaid(e.Beside))}, nil
}

// LookWords say on the lead's page when the next look is, or what it waits for.
func (b board) LookWords() string {
	w := b.tongue
	l := b.Looks
	switch {
	case l.Next == 0 && b.Decision == panel.Enough:
		return w.Translate("The look that was taken is the last.")
	case l.Next == 0:
		return w.Translate("No look is left before the end, at %d people.", l.Of)
	case l.Due():
		return w.Translate("A look is due: %d people have rated both, and the plan looks from %d on. Take it when the "+
			"sitting is over: the service computes it, and you learn whether to go on, nothing else.", l.Rated, l.Next)
	case l.Rated >= l.Next && l.Looked:
		return w.Translate("The next look is at the end of the next sitting: the plan looks from %d people on.", l.Next)
	case l.Rated >= l.Next:
		return w.Translate("The next look is due when the last plate on the table is answered. Guests still "+
			"tasting: %d.",
			l.Tasting)
	}
	return w.Translate("The next look is at the end of the sitting by which %d people have rated both; so far %d have.",
		l.Next, l.Rated)
}

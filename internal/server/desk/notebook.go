package desk

import (
	"context"
	"encoding/json"
	"log/slog"

	"github.com/gin-gonic/gin"

	"cloche/internal/analysis"
	"cloche/internal/panel"
	"cloche/internal/report"
	"cloche/internal/server/site"
	"cloche/internal/server/summary"
	"cloche/internal/study"
)

// KeepVerdicts finds what the list of studies says of closed ones, until ctx ends, and works out
// beside requests what their reports take long for.
func KeepVerdicts(ctx context.Context, svc *panel.Service, log *slog.Logger) {
	svc.KeepVerdictLines(ctx, summary.Software(), sayVerdict, func(id panel.StudyID, err error) {
		log.Error("the list says no verdict of a study", slog.String("study", string(id)), slog.Any("error", err))
	})
}

// sayVerdict is what was found in each language, by its tag, as lineIn reads it.
func sayVerdict(stored panel.Study, found *analysis.Result) (said string, people int) {
	report.Prepare(stored.Spec, found)
	all := map[string]string{}
	for _, lang := range study.Spoken {
		w := site.TongueIn(lang)
		all[w.Tag()], people = report.VerdictLine(stored.Spec, found, tellsIn(w))
	}
	kept, err := json.Marshal(all)
	if err != nil { // of texts there is none
		return "", people
	}
	return string(kept), people
}

// lineIn is the line that was kept, in a language.
func lineIn(w site.Tongue, kept string) string {
	var all map[string]string
	if json.Unmarshal([]byte(kept), &all) != nil { // of a text that no build of this kind wrote
		return ""
	}
	return all[w.Tag()]
}

// verdicts puts the verdict of each closed study into its line.
func (s *handlers) verdicts(c *gin.Context, page *studyList) error {
	ctx := c.Request.Context()
	kept, err := s.Panel.VerdictLines(ctx, summary.Software())
	if err != nil {
		return err
	}
	missing, w := false, site.TongueOf(c)
	for line := range page.links() {
		if !line.closed {
			continue
		}
		verdict, known := kept[line.ID]
		switch {
		case !known:
			missing = true
			line.Verdict = "Open it to see what was found."
		case verdict.People == 0:
			line.Verdict = "Nobody had rated anything."
		default:
			line.Verdict, line.Told = lineIn(site.TongueOf(c), verdict.Said), true
			line.People = guestsWords(w, verdict.People)
		}
	}
	if missing {
		s.Panel.WantVerdictLines()
	}
	return nil
}

// guestsWords counts guests.
func guestsWords(w site.Tongue, n int) string {
	if n == 1 {
		return w.Translate("1 guest")
	}
	return w.Translate("%d guests", n)
}

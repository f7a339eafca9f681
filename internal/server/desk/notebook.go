package desk

import (
	"context"
	"fmt"
	"log/slog"
	"strings"

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

// sayVerdict is the verdict in a line, in each language, by its tag, as lineIn reads it.
func sayVerdict(stored panel.Study, found *analysis.Result) (said string, people int) {
	report.Prepare(stored.Spec, found)
	return inEachLanguage(stored, found, report.VerdictLine)
}

// SayWholeVerdict is all of the verdict, likewise: it stays in the record of a study that is deleted.
func SayWholeVerdict(stored panel.Study, found *analysis.Result) (said string, people int) {
	return inEachLanguage(stored, found, report.WholeVerdict)
}

func inEachLanguage(stored panel.Study, found *analysis.Result,
	say func(*study.Study, *analysis.Result, func(study.Said) string) (string, int)) (said string, people int) {
	var kept strings.Builder
	for _, lang := range study.Spoken {
		w := site.TongueIn(lang)
		line, n := say(stored.Spec, found, tellsIn(w))
		people = n
		fmt.Fprintf(&kept, "%s\t%s\n", w.Tag(), strings.ReplaceAll(line, "\n", " "))
	}
	return kept.String(), people
}

// lineIn is the line that was kept, in a language: each stands behind its tag.
func lineIn(w site.Tongue, kept string) string {
	for line := range strings.Lines(kept) {
		if text, ok := strings.CutPrefix(line, w.Tag()+"\t"); ok {
			return strings.TrimSuffix(text, "\n")
		}
	}
	return ""
}

// verdicts puts the verdict of each closed study into its line.
func (s *handlers) verdicts(c *gin.Context, page *studyList) error {
	ctx := c.Request.Context()
	var closed []panel.StudyID
	for line := range page.links() {
		if line.closed {
			closed = append(closed, line.ID)
		}
	}
	kept, err := s.Panel.VerdictLines(ctx, summary.Software(), closed)
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
			line.Verdict, line.Told = lineIn(w, verdict.Said), true
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

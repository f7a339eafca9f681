package desk

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"log/slog"
	"net/http"
	"strings"
	"time"

	"github.com/gin-gonic/gin"

	"cloche/internal/analysis"
	"cloche/internal/datapackage"
	"cloche/internal/panel"
	"cloche/internal/report"
	"cloche/internal/server/site"
	"cloche/internal/server/summary"
	"cloche/internal/study"
	"cloche/internal/words"
)

// download gives a file to keep, named after its study.
func download(c *gin.Context, stored panel.Study, kind, name string, b *bytes.Buffer) error {
	attach(c, stored, name)
	site.WritePage(c, http.StatusOK, kind, b.Bytes())
	return nil
}

// noteDownload logs that a file of a study is taken away.
func (s *handlers) noteDownload(c *gin.Context, stored panel.Study, name string) error {
	if c.Request.Method != http.MethodGet { // HEAD takes nothing
		return nil
	}
	return s.Panel.NoteDownload(c.Request.Context(), site.SessionOf(c), stored.ID, name)
}

// attach has the browser keep what is sent under a name of its study.
func attach(c *gin.Context, stored panel.Study, name string) {
	c.Header("Content-Disposition", `attachment; filename="`+datapackage.FileName(stored, name, time.Now())+`"`)
}

// exportZip gives all that there is of a study, without its key before close, and
// notes that it was exported as it stands.
func (s *handlers) exportZip(c *gin.Context) error {
	stored, err := s.Panel.Study(c.Request.Context(), site.StudyIn(c))
	if err != nil {
		return err
	}
	write, err := s.exported(c, stored)
	if err != nil {
		return err
	}
	attach(c, stored, "data.zip")
	c.Header("Content-Type", "application/zip")
	noted := false
	err = datapackage.Zip(c.Writer, time.Now(), func(put func(datapackage.File) error) error {
		return write(func(f datapackage.File) error {
			if !noted { // before anything is taken away
				if err := s.Panel.NoteExport(c.Request.Context(), site.SessionOf(c), stored); err != nil {
					return err
				}
				noted = true
			}
			return put(f)
		})
	})
	if err != nil {
		return s.cutShort(c, err)
	}
	return nil
}

// cutShort answers an error in the middle of a download: once a part is out, no page can tell,
// and the browser is to see that the file is not whole.
func (s *handlers) cutShort(c *gin.Context, err error) error {
	if !c.Writer.Written() {
		c.Writer.Header().Del("Content-Disposition")
		c.Writer.Header().Del("Content-Type")
		return err
	}
	if c.Request.Context().Err() == nil { // otherwise the browser went away
		s.Log.Error("download cut short", slog.String("route", c.FullPath()), slog.Any("error", err))
	}
	panic(http.ErrAbortHandler)
}

// writing makes the files of a download, one by one.
type writing func(put func(datapackage.File) error) error

// written are files that are made already.
func written(files []datapackage.File) writing {
	return func(put func(datapackage.File) error) error {
		for _, f := range files {
			if err := put(f); err != nil {
				return err
			}
		}
		return nil
	}
}

func (s *handlers) exported(c *gin.Context, stored panel.Study) (writing, error) {
	ctx := c.Request.Context()
	switch stored.State {
	case panel.Open: // the key stays shut, and more is coming
		return nil, panel.ErrWrongState
	case panel.Closed:
		d, err := Collect(ctx, s.Panel, stored.ID, time.Now())
		if err != nil {
			return nil, err
		}
		said := datapackage.Publication{Authors: strings.Split(c.Query("authors"), ";"), Licence: c.Query("licence"),
			Ethics: c.Query("ethics"), Registered: c.Query("registered")}
		if d.Publication, err = said.Tidied(); err != nil {
			return nil, panel.ErrNotFound // the form offers no other licence
		}
		return func(put func(datapackage.File) error) error { return datapackage.Write(d, put) }, nil
	}
	lines, err := s.Panel.Versions(ctx, stored.ID)
	if err != nil {
		return nil, err
	}
	photos, err := s.Panel.Photos(ctx, stored.ID)
	if err != nil || stored.State == panel.Draft {
		return written(datapackage.StudyFiles(stored, nil, photos, panel.TimeStamp{})), err
	}
	stamped, err := s.Panel.Stamped(ctx, stored.ID)
	if err != nil {
		return nil, err
	}
	stamp, err := s.Panel.TimeStamp(ctx, stored.ID)
	return written(datapackage.StudyFiles(stored, summary.PlanText(stored, lines, stamped), photos, stamp)), err
}

// Collect reads what the data package of a closed study is made of, with the plan in
// the words of its page and the notes of its report: all of it as it stood at one moment.
func Collect(ctx context.Context, svc *panel.Service, id panel.StudyID, at time.Time) (d datapackage.Data, err error) {
	whole, err := svc.ReadWhole(ctx, id, func() (err error) {
		d, err = collect(ctx, svc, id, at)
		return err
	})
	d.Whole = whole
	return d, err
}

// collect reads the same, each part as it stands when it is read.
func collect(ctx context.Context, svc *panel.Service, id panel.StudyID, at time.Time) (datapackage.Data, error) {
	stored, err := svc.Study(ctx, id)
	if err != nil {
		return datapackage.Data{}, err
	}
	d, err := datapackage.Collect(ctx, svc, stored, at)
	if err != nil {
		return d, err
	}
	stamped, err := svc.Stamped(ctx, id)
	if err != nil {
		return d, err
	}
	d.Sheet = summary.PlanText(stored, d.Versions, stamped)
	if d.Findings != nil {
		d.Report, err = reportOptions(ctx, svc, stored, d.Findings)
	}
	return d, err
}

// reportOptions are what the report of a closed study says beside its findings.
func reportOptions(ctx context.Context, svc *panel.Service, stored panel.Study,
	found *analysis.Result) (report.Options, error) {
	notes, err := reportNotes(ctx, svc, stored)
	if err != nil {
		return report.Options{}, err
	}
	live, err := svc.Live(ctx, panel.Session{Role: panel.RoleLead}, stored.ID)
	if err != nil {
		return report.Options{}, err
	}
	all := live.All
	_, collected, err := svc.Collected(ctx, stored.ID)
	if err != nil {
		return report.Options{}, err
	}
	flow := report.Flow{Places: all.Places, SaidNo: live.Declined, WhyNot: collected.WhyNot,
		GaveUp: collected.GaveUp(), Seated: all.Joined(),
		Finished: all.Finished, Left: all.Left, Withdrawn: all.Withdrawn, Stopped: all.Stopped}
	_, rated, err := svc.Ratings(ctx, stored.ID)
	return report.Options{Notes: notes, Flow: &flow, Methods: summary.MethodsTexts(stored, flow, found),
		Deviations: report.Deviations(flow, found, collected), Rated: rated,
		BlindTo:  report.BlindTo(stored.Spec, found, collected),
		Answered: report.AnsweredOf(collected)}, err
}

// reportNotes are what the report of a closed study says of who took part.
func reportNotes(ctx context.Context, svc *panel.Service, stored panel.Study) ([]string, error) {
	begun, err := svc.Begun(ctx, stored.ID)
	if err != nil {
		return nil, err
	}
	arrived, err := svc.Arrived(ctx, stored.ID)
	return append(begunWords(begun), arrivedWords(stored.Spec, arrived)...), err
}

// arrivedWords say how many of each stratum arrived, what was dealt to them, and how many
// of them finished.
func arrivedWords(a *study.Study, arrived []panel.Arrived) []string {
	var notes []string
	for _, x := range arrived {
		people, samples := 0, make([]string, len(x.Dealt))
		for i, n := range x.Dealt {
			people += n
			samples[i] = fmt.Sprintf("%s %d", a.Samples[i].ID, n)
		}
		text := fmt.Sprintf("Of “%s”, %d took a place and %s dealt %s; %d finished", x.Stratum, people,
			wasOrWere(people), strings.Join(samples, ", "), x.Finished)
		if x.Withdrawn > 0 {
			text += fmt.Sprintf(", and %d deleted their answers", x.Withdrawn)
		}
		notes = append(notes, text+".")
	}
	return notes
}

func wasOrWere(n int) string {
	if n == 1 {
		return "was"
	}
	return "were"
}

// errFound ends the making of files once the one that is wanted is there.
var errFound = errors.New("found")

// tableOf gives one table of a closed study's package: the same name, the same bytes.
func (s *handlers) tableOf(name string) func(*gin.Context) error {
	return func(c *gin.Context) error {
		stored, err := s.Panel.Study(c.Request.Context(), site.StudyIn(c))
		if err != nil {
			return err
		}
		if stored.State != panel.Closed {
			return panel.ErrWrongState
		}
		write, err := s.exported(c, stored)
		if err != nil {
			return err
		}
		var file *datapackage.File
		err = write(func(f datapackage.File) error {
			if f.Name == name {
				file = &f
				return errFound
			}
			return nil
		})
		switch {
		case file != nil:
			if err := s.noteDownload(c, stored, name); err != nil {
				return err
			}
			return download(c, stored, "text/csv; charset=utf-8", name, bytes.NewBuffer(file.Bytes))
		case err != nil:
			return err
		}
		return panel.ErrNotFound
	}
}

// begunWords says for the report in which languages assessors began, when not all
// began in the same.
func begunWords(begun []panel.Begun) []string {
	var in []string
	for _, b := range begun {
		if b.Assessors > 0 {
			in = append(in, fmt.Sprintf("%d in %s", b.Assessors, words.Name(b.Language)))
		}
	}
	if len(in) < 2 {
		return nil
	}
	return []string{"Assessors began in these languages: " + strings.Join(in, ", ") +
		". Names and scales have other words in each, so that a name is not quite the same treatment; the findings " +
		"take all languages together."}
}

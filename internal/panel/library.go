package panel

import (
	"context"
	"fmt"
	"strings"
	"time"
	"unicode/utf8"

	"cloche/internal/study"
)

// MaxSigner is the longest name under a plan, in characters.
const MaxSigner = 100

// Copy makes a new draft of a study in any state, with its photos. See
// [unseeded] for what is not copied.
func (s *Service) Copy(ctx context.Context, by Session, id StudyID) (Study, error) {
	if err := by.may(ActBegin); err != nil {
		return Study{}, err
	}
	from, err := s.store.Study(ctx, id)
	if err != nil {
		return Study{}, err
	}
	file := from.File
	if from.State != Draft {
		file = unseeded(file)
	}
	stored, err := s.blankDraft(file)
	if err != nil {
		return Study{}, err
	}
	begun := s.event(stored.ID, by.Who(), "begun", "copy of study "+string(id))
	if err := s.store.CreateStudy(ctx, stored, id, begun); err != nil {
		return Study{}, fmt.Errorf("copy a study: %w", err)
	}
	return s.asked(stored)
}

// unseeded is a study file without a seed, so that a study made of one that was
// locked draws lots of its own: the key of that one is known, or will be. A file
// that would not be sound without it stays as it is.
func unseeded(file string) string {
	text, _ := study.OpenText("study.yaml", []byte(file))
	if text == nil || !text.Has("serving.seed") || text.Remove("serving.seed") != nil {
		return file
	}
	if _, problems := study.Read("study.yaml", text.Bytes()); len(problems) > 0 {
		return file
	}
	return string(text.Bytes())
}

// Amend makes a draft of the next version of a study whose plan is fixed, with
// its photos. The version before stays as it is, and reports of both say why
// there are two. [ErrReason] without a reason of at most [MaxReason] characters,
// [ErrWrongState] while the study is a draft itself, [ErrAmended] when it has a
// later version already.
func (s *Service) Amend(ctx context.Context, by Session, id StudyID, reason string) (Study, error) {
	if err := by.may(ActAmend); err != nil {
		return Study{}, err
	}
	reason = strings.TrimSpace(reason)
	if reason == "" || utf8.RuneCountInString(reason) > MaxReason {
		return Study{}, ErrReason
	}
	from, err := s.store.Study(ctx, id)
	if err != nil {
		return Study{}, err
	}
	stored, err := s.blankDraft(unseeded(from.File))
	if err != nil {
		return Study{}, err
	}
	stored.Amends, stored.Reason = id, reason
	next := fmt.Sprintf("version %d: %s", from.Version+1, reason)
	stored, err = s.store.AmendStudy(ctx, stored, s.event(id, by.Who(), "amended", next),
		s.event(stored.ID, by.Who(), "begun", next))
	if err != nil {
		return Study{}, fmt.Errorf("amend a study: %w", err)
	}
	return s.asked(stored)
}

// VersionLine is one version of a study among all of them.
type VersionLine struct {
	ID            StudyID
	Number        int // from 1
	State         State
	Reason        string    // why the version before was amended; "" for the first
	RatingsBefore int       // servings of the version before that had their answers then
	LockedAt      time.Time // in the study’s time zone; zero until locked
	StudyHash     string
	PlanHash      string
}

// Versions returns every version of the study that id is one of, the first one
// first.
func (s *Service) Versions(ctx context.Context, id StudyID) ([]VersionLine, error) {
	stored, err := s.Study(ctx, id)
	if err != nil {
		return nil, err
	}
	all, err := s.store.Versions(ctx, stored.Series)
	if err != nil {
		return nil, err
	}
	lines := make([]VersionLine, len(all))
	for i, v := range all {
		lines[i] = VersionLine{ID: v.ID, Number: v.Version, State: v.State, Reason: v.Reason,
			RatingsBefore: v.RatingsBefore,
			LockedAt:      in(v.Lock.At, stored.Zone()), StudyHash: v.Lock.StudyHash, PlanHash: v.Lock.PlanHash}
	}
	return lines, nil
}

// Countersign puts the partner's name to what was locked, before the first rating
// and once. [ErrBadValue] when the name is empty or too long, [ErrWrongState] when
// the study is no more, or not yet, in a state that can be signed.
func (s *Service) Countersign(ctx context.Context, by Session, id StudyID, name string) error {
	stored, err := s.store.Study(ctx, id)
	if err != nil {
		return err
	}
	if err := by.mayNow(ActCountersign, stored.State); err != nil {
		return err
	}
	name = strings.Join(strings.Fields(name), " ")
	if name == "" || utf8.RuneCountInString(name) > MaxSigner {
		return fmt.Errorf("%w: write the name to sign with, at most %d characters", ErrBadValue, MaxSigner)
	}
	c := Countersign{At: s.now(), Name: name, StudyHash: stored.Lock.StudyHash, PlanHash: stored.Lock.PlanHash}
	e := s.event(id, by.Who(), "countersigned", fmt.Sprintf("%s: study %s, plan %s", name, c.StudyHash, c.PlanHash))
	if err := s.store.CountersignStudy(ctx, id, c, e); err != nil {
		return fmt.Errorf("countersign a plan: %w", err)
	}
	return nil
}

// Archive puts a study away, or takes it out again. It changes nothing of the study.
func (s *Service) Archive(ctx context.Context, by Session, id StudyID, archived bool) error {
	if err := by.may(ActArchive); err != nil {
		return err
	}
	at, what := time.Time{}, "taken out of the archive"
	if archived {
		at, what = s.now(), "archived"
	}
	if err := s.store.ArchiveStudy(ctx, id, at, s.event(id, by.Who(), what, "")); err != nil {
		return fmt.Errorf("archive a study: %w", err)
	}
	return nil
}

// NoteExport notes that a study was exported as it was read. [ErrStale] when it
// has changed since.
func (s *Service) NoteExport(ctx context.Context, by Session, exported Study) error {
	if err := by.mayNow(ActExport, exported.State); err != nil {
		return err
	}
	if err := s.store.NoteExport(ctx, exported, s.now(), s.event(exported.ID, by.Who(), "exported", "")); err != nil {
		return fmt.Errorf("note an export: %w", err)
	}
	return nil
}

// NoteDownload logs that somebody took a file of a study away.
func (s *Service) NoteDownload(ctx context.Context, by Session, id StudyID, file string) error {
	if err := by.may(ActExport); err != nil {
		return err
	}
	return s.log(ctx, id, by.Who(), "downloaded", file)
}

// Delete deletes a study with all that belongs to it. The service's log keeps its
// title, hashes and times, and the house's record what it found, in the words of say; with say = nil
// nothing. [ErrWrongState] while it is open, [ErrNotExported] when something has changed
// since it was last exported, [ErrAmended] when a later version rests on it, [ErrMayLeave] when
// what it found is to stay and guests may still take their answers out.
func (s *Service) Delete(ctx context.Context, by Session, id StudyID, say Sayer) error {
	if err := by.may(ActDelete); err != nil {
		return err
	}
	stored, err := s.Study(ctx, id)
	if err != nil {
		return err
	}
	var how Deletion
	if say != nil && stored.State == Closed {
		if stored.mayWithdraw(s.now()) {
			return ErrMayLeave
		}
		if how.Keep, err = s.verdictOf(ctx, id, say); err != nil {
			return fmt.Errorf("keep the verdict of study %s: %w", id, err)
		}
	}
	return s.delete(ctx, stored, how, "", by.Who())
}

// tombstone says what a study was that is deleted.
func tombstone(title string, gone Study, p Progress) string {
	var b strings.Builder
	fmt.Fprintf(&b, "“%s”, study %s, version %d, %s, started %s", title, gone.ID, gone.Version, gone.State,
		timeText(gone.Created))
	if !gone.Lock.At.IsZero() {
		fmt.Fprintf(&b, ", locked %s, study %s, plan %s", timeText(gone.Lock.At), gone.Lock.StudyHash,
			gone.Lock.PlanHash)
	}
	if !gone.ClosedAt.IsZero() {
		fmt.Fprintf(&b, ", closed %s, %d assessors, %d servings rated", timeText(gone.ClosedAt), p.Joined, p.Servings)
	}
	fmt.Fprintf(&b, ", exported %s", timeText(gone.ExportedAt))
	return b.String()
}

func timeText(t time.Time) string { return t.UTC().Format(time.RFC3339) }

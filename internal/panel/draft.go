package panel

import (
	"context"
	"fmt"
	"slices"
	"strings"
	"unicode/utf8"

	"cloche/internal/study"
)

const (
	// MaxFile is the longest study file, in bytes.
	MaxFile = 256 << 10
	// keptTexts is how many earlier texts of a draft are kept for undo.
	keptTexts = 100
)

// Begin makes a draft of any text, sound or not. detail says in the log where it
// came from. [ErrBadValue] when it is no text or too long.
func (s *Service) Begin(ctx context.Context, by Session, file []byte, detail string) (Study, error) {
	if err := by.may(ActBegin); err != nil {
		return Study{}, err
	}
	if err := soundText(file); err != nil {
		return Study{}, err
	}
	stored, err := s.blankDraft(string(file))
	if err != nil {
		return Study{}, err
	}
	if err := s.store.CreateStudy(ctx, stored, "", s.event(stored.ID, by.Who(), "begun", detail)); err != nil {
		return Study{}, fmt.Errorf("keep a draft: %w", err)
	}
	return s.asked(stored)
}

// blankDraft is a new draft as it will be kept.
func (s *Service) blankDraft(file string) (Study, error) {
	id, err := s.token(12)
	if err != nil {
		return Study{}, err
	}
	return Study{ID: StudyID(id), File: file, Created: s.now(), Revision: 1, Series: StudyID(id), Version: 1}, nil
}

// soundText checks that a text can be kept.
func soundText(file []byte) error {
	switch {
	case len(file) > MaxFile:
		return fmt.Errorf("%w: a study file may hold at most %d KiB", ErrBadValue, MaxFile>>10)
	case !utf8.Valid(file):
		return fmt.Errorf("%w: the text holds what is not plain text in UTF-8; save it as such and send it again",
			ErrBadValue)
	case strings.ContainsRune(string(file), 0):
		return fmt.Errorf("%w: the text holds the character U+0000, which no text has", ErrBadValue)
	}
	return nil
}

// SaveDraft puts a text, sound or not, in the place of a draft's. revision is that
// of the draft as it was read: [ErrStale] when it has moved on since. The same
// text makes no new revision. [ErrWrongState] once the study is locked,
// [ErrBadValue] when it is no text or too long.
func (s *Service) SaveDraft(ctx context.Context, by Session, id StudyID, revision int, file []byte) (Study, error) {
	if err := by.may(ActEdit); err != nil {
		return Study{}, err
	}
	if err := soundText(file); err != nil {
		return Study{}, err
	}
	stored, err := s.store.SaveDraft(ctx, id, revision, string(file), keptTexts)
	if err != nil {
		return Study{}, fmt.Errorf("save a draft: %w", err)
	}
	return s.asked(stored)
}

// Undo puts back the text of a draft before the last change; a further call, the
// one before that. [ErrNotFound] when there is none; otherwise as [Service.SaveDraft].
func (s *Service) Undo(ctx context.Context, by Session, id StudyID, revision int) (Study, error) {
	return s.step(ctx, by, id, revision, -1)
}

// Redo takes back an [Service.Undo].
func (s *Service) Redo(ctx context.Context, by Session, id StudyID, revision int) (Study, error) {
	return s.step(ctx, by, id, revision, 1)
}

func (s *Service) step(ctx context.Context, by Session, id StudyID, revision, steps int) (Study, error) {
	if err := by.may(ActEdit); err != nil {
		return Study{}, err
	}
	stored, err := s.store.StepDraft(ctx, id, revision, steps)
	if err != nil {
		return Study{}, fmt.Errorf("undo or redo a change of a draft: %w", err)
	}
	return s.asked(stored)
}

// wasRead is a study file as it was read; never changed.
type wasRead struct {
	file     string
	revision int  // of the draft
	fixed    bool // the study was locked then: the file never changes again
	asked    *study.Study
	problems []study.Problem
}

// asked fills in the study that the file asks for, as it is written: the seed that
// was drawn at the lock is not in it. It is shared: nobody may change it. What a
// draft's mistakes leave of it is there all the same.
func (s *Service) asked(stored Study) (Study, error) {
	r, ok := s.wasRead(stored)
	if !ok {
		r.file = stored.File
		r.asked, r.problems = study.Read("study.yaml", []byte(stored.File))
	}
	if fixed := stored.State != Draft; !ok || fixed != r.fixed || stored.Revision != r.revision {
		r.fixed, r.revision = fixed, stored.Revision
		s.read.Store(stored.ID, r)
	}
	stored.Spec, stored.Problems = r.asked, r.problems
	if stored.State == Draft {
		return stored, nil
	}
	stored.Problems = slices.DeleteFunc(slices.Clone(r.problems), sinceLocked)
	if len(stored.Problems) > 0 {
		return Study{}, fmt.Errorf("read study %s as it was kept: %w", stored.ID, stored.Problems[0])
	}
	return stored, nil
}

// wasRead returns what was read of a study's file when that is the file still.
func (s *Service) wasRead(stored Study) (wasRead, bool) {
	known, ok := s.read.Load(stored.ID)
	if !ok {
		return wasRead{}, false
	}
	r := known.(wasRead)
	if r.file != stored.File {
		return wasRead{}, false
	}
	return r, true
}

// askedOnce is [Service.asked] for a locked study that was read without its file:
// phones ask all the time, and need it the first time only.
func (s *Service) askedOnce(ctx context.Context, stored Study) (Study, error) {
	if known, ok := s.read.Load(stored.ID); ok && known.(wasRead).fixed {
		stored.File = known.(wasRead).file
		return s.asked(stored)
	}
	full, err := s.store.Study(ctx, stored.ID)
	if err != nil {
		return Study{}, err
	}
	stored.File = full.File
	return s.asked(stored)
}

// listed is [Service.asked] for a study that was read without its file, in a list: the file is
// read once for each of its revisions.
func (s *Service) listed(ctx context.Context, stored Study) (Study, error) {
	known, ok := s.read.Load(stored.ID)
	if !ok || known.(wasRead).revision != stored.Revision || known.(wasRead).fixed != (stored.State != Draft) {
		full, err := s.Study(ctx, stored.ID)
		return full.Listed(), err
	}
	stored.File = known.(wasRead).file
	full, err := s.asked(stored)
	return full.Listed(), err
}

// Listed is what lists read of a study, which may be many: which it is, its state, when it came into it,
// and what was read of its file.
func (s Study) Listed() Study {
	return Study{ID: s.ID, State: s.State, Created: s.Created, Lock: Lock{At: s.Lock.At}, ClosedAt: s.ClosedAt,
		Revision: s.Revision, Series: s.Series, Version: s.Version, ArchivedAt: s.ArchivedAt,
		ForgottenAt: s.ForgottenAt, Spec: s.Spec, Problems: s.Problems}
}

// sinceLocked is a mistake that was none when older studies were locked: they are
// shown all the same, and ask for the age that the law sets.
func sinceLocked(p study.Problem) bool { return p.Path == "panel.minimum age" }

// Sound is nil, or [ErrMistakes] with the first of the mistakes that stand between
// a draft and its lock.
func (s Study) Sound() error {
	if len(s.Problems) == 0 {
		return nil
	}
	return fmt.Errorf("%w: %w", ErrMistakes, s.Problems[0])
}

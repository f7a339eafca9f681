package panel

import (
	"context"
	"fmt"

	"cloche/internal/analysis"
)

// PanelCheck judges each assessor of a closed study that describes its samples. It is for the
// lead alone: [ErrRefused] for anybody else. [ErrWrongState] before the close, [ErrNotFound]
// where the study describes nothing.
func (s *Service) PanelCheck(ctx context.Context, by Session, studyID StudyID) (Study, *analysis.PanelCheck, error) {
	if May(by.Role, KnowAssessors, Closed) != Whole {
		return Study{}, nil, ErrRefused
	}
	stored, in, err := s.analysed(ctx, studyID)
	if err != nil {
		return Study{}, nil, err
	}
	if !stored.Spec.Question.Kind().Describes {
		return Study{}, nil, ErrNotFound
	}
	found, err := s.findings.of(stored.ID, stored.Spec, in.ratings, in.options)
	if err != nil {
		return Study{}, nil, fmt.Errorf("analyse study: %w", err)
	}
	check, err := analysis.CheckPanel(stored.Spec, in.ratings, in.options, found)
	if err != nil {
		return Study{}, nil, fmt.Errorf("judge the assessors: %w", err)
	}
	return stored, check, nil
}

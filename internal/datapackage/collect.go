package datapackage

import (
	"context"
	"errors"
	"time"

	"cloche/internal/analysis"
	"cloche/internal/panel"
)

// Collect reads what belongs to a closed study; the caller adds what is worded
// for people. at is when the package is made.
func Collect(ctx context.Context, svc *panel.Service, kept panel.Study, at time.Time) (Data, error) {
	d := Data{Study: kept, At: at}
	if kept.State != panel.Closed {
		return d, ErrNotClosed
	}
	var err error
	if d.Plan, err = kept.FixedPlan(); err != nil {
		return d, err
	}
	if d.Sittings, err = svc.Sittings(ctx, kept.ID); err != nil {
		return d, err
	}
	if _, d.Collected, err = svc.Collected(ctx, kept.ID); err != nil {
		return d, err
	}
	if d.Versions, err = svc.Versions(ctx, kept.ID); err != nil {
		return d, err
	}
	if d.Photos, err = svc.Photos(ctx, kept.ID); err != nil {
		return d, err
	}
	_, d.Findings, err = svc.Findings(ctx, kept.ID)
	if errors.Is(err, analysis.ErrNoRatings) || errors.Is(err, analysis.ErrNoAnalysis) {
		return d, nil
	}
	return d, err
}

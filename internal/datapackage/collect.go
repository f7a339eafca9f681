package datapackage

import (
	"context"
	"errors"
	"time"

	"cloche/internal/analysis"
	"cloche/internal/panel"
)

// Collect reads what belongs to a closed study; the caller adds what is worded
// for people, and the whole study. at is when the package is made.
func Collect(ctx context.Context, svc *panel.Service, stored panel.Study, at time.Time) (Data, error) {
	d := Data{Study: stored, At: at}
	if stored.State != panel.Closed {
		return d, ErrNotClosed
	}
	var err error
	if d.Plan, err = stored.FixedPlan(); err != nil {
		return d, err
	}
	if _, err = svc.DealtPlan(ctx, stored); err != nil { // what was dealt is what the seed deals
		return d, err
	}
	if d.Sittings, err = svc.Sittings(ctx, stored.ID); err != nil {
		return d, err
	}
	if _, d.Collected, err = svc.Collected(ctx, stored.ID); err != nil {
		return d, err
	}
	if d.Versions, err = svc.Versions(ctx, stored.ID); err != nil {
		return d, err
	}
	if d.Stamp, err = svc.TimeStamp(ctx, stored.ID); err != nil {
		return d, err
	}
	if d.Photos, err = svc.Photos(ctx, stored.ID); err != nil {
		return d, err
	}
	_, d.Findings, err = svc.Findings(ctx, stored.ID)
	if errors.Is(err, analysis.ErrNoRatings) || errors.Is(err, analysis.ErrNoAnalysis) {
		return d, nil
	}
	return d, err
}

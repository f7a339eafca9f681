package analysis

import (
	"errors"

	"cloche/internal/study"
)

// Options are what [Analyse] needs to know beside the study and its ratings.
type Options struct {
	PlanHash string      // SHA-256 of the locked plan, "" when it was not locked
	Excluded []Exclusion // assessors left out before the ratings came here, e.g. consent withdrawn
}

var errNotYet = errors.New("analyse: the methods are not in this build")

// Analyse compares the samples of a study on every attribute.
func Analyse(s *study.Study, ratings []Rating, o Options) (*Result, error) {
	return nil, errNotYet
}

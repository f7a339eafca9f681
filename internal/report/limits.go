package report

import (
	"fmt"

	"cloche/internal/analysis"
	"cloche/internal/study"
)

// limits say what a study cannot: whom and what it did not try. Nothing where nobody
// tasted.
func limits(s *study.Study, r *analysis.Result) study.Said {
	if r.Assessors == 0 {
		return study.Said{}
	}
	tried := []study.Said{study.Say("one house")}
	if h := r.Stopping; h != nil && h.Sittings == 1 {
		tried = append(tried, study.Say("%s", worded{study.Say("tried at one sitting"), "one sitting"}))
	} else if h != nil && h.Sittings > 1 {
		tried = append(tried, study.Say("%s", worded{study.Say("tried at %d sittings", h.Sittings),
			fmt.Sprintf("%d sittings", h.Sittings)}))
	}
	if s.Question.Kind().NamesMatter && oneDish(s) {
		tried = append(tried, study.Say("one dish"))
	}
	return study.Say("whether it holds for other guests, on another day or from another hand in the kitchen. "+
		"Tried here: %s.%s", inOrder(tried, ", "), oncePerGuest(s, r))
}

// oncePerGuest says that one pair of ratings from each guest cannot tell who is moved from
// what is noise, however the differences scatter; nothing where each gave several.
func oncePerGuest(s *study.Study, r *analysis.Result) study.Said {
	if len(r.Findings) == 0 || r.Findings[0].Kind != analysis.KindPair || s.Serving.Replicates > 1 {
		return study.Said{}
	}
	return study.Say(" Nor whether all guests shift alike or only some of them: one pair of ratings from each " +
		"cannot be told " +
		"from the noise of an answer; each sample would have to be served to everybody twice or more.")
}

// oneDish reports whether all samples are of the same dish.
func oneDish(s *study.Study) bool {
	for _, x := range s.Samples {
		if x.Dish != s.Samples[0].Dish {
			return false
		}
	}
	return true
}

package analysis

import (
	"fmt"

	"cloche/internal/study"
)

// FewPlanned says where a plan has too few people, and how many would do.
type FewPlanned struct{ Path, What, Instead string }

// TooFewPlanned says that so few people taste that no answers of theirs, however clear,
// can reach the plan's alpha or get a verdict, see [Fewest]; nil where enough do, or where
// that cannot be told.
func TooFewPlanned(s *study.Study) *FewPlanned {
	q, err := SizingOf(s)
	if err != nil {
		return nil
	}
	q.Difference, q.Share, q.Distance, q.Assessors = 0, 0, 0, 0 // nothing is looked for, only what can be found
	q = q.filled()
	m, err := q.method()
	if err != nil {
		return nil
	}
	fewest := m.fewest()
	if q.Test.betweenGroups() {
		fewest = max(fewest, FewestInGroup(s.Plan.Alpha))
	} else {
		fewest = max(fewest, Fewest(s.Plan.Alpha))
	}
	few := &FewPlanned{Path: "panel.assessors"}
	people, do := s.Panel.Assessors, "write"
	if stop := s.Plan.StopAfter; stop > 0 && stop < people {
		few.Path, people, do = "analysis.stop after", stop, "let tasting end after"
	}
	if q.Each.comparisons(people) >= fewest {
		return nil
	}
	who := fmt.Sprintf("%d assessors", people)
	if people == 1 {
		who = "one assessor"
	}
	few.What = fmt.Sprintf("with %s no result, however clear, gets a verdict at alpha %s", who, Points(s.Plan.Alpha))
	few.Instead = fmt.Sprintf("%s %d or more; cloche power says how many find what", do, q.Each.assessors(fewest))
	return few
}

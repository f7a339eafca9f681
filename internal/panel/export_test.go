package panel

import "context"

// DrySeed is for tests.
var DrySeed = drySeed

// CodesToType are the codes that belong in the rows of [Service.PaperSheet].
func (s *Service) CodesToType(ctx context.Context, id StudyID) ([]string, error) {
	stored, err := s.Study(ctx, id)
	if err != nil {
		return nil, err
	}
	e, err := s.evening(ctx, stored)
	var codes []string
	for _, x := range e.toType() {
		codes = append(codes, string(x.code))
	}
	return codes, err
}

package design

import (
	"encoding/csv"
	"fmt"
	"io"
	"strconv"

	"cloche/internal/study"
)

// KeyHeader is the first row of the key as CSV.
var KeyHeader = []string{"assessor", "position", "code", "dish", "name"}

// WriteKey writes the key, code to sample, as CSV: one row for each plate in
// serving order, assessors from 1, the position 0 for a warm-up or a reference,
// dish and name as ids, the name empty for a blind serving. Names that are read
// and not tasted have no plate and no row.
func (p *Plan) WriteKey(w io.Writer, s *study.Study) error {
	out := csv.NewWriter(w)
	if err := out.Write(KeyHeader); err != nil {
		return fmt.Errorf("write key: %w", err)
	}
	samples, err := p.resolve(s)
	if err != nil {
		return err
	}
	row := make([]string, len(KeyHeader))
	for _, v := range p.Servings {
		if v.Role == Expected || v.Sample == Undealt {
			continue
		}
		x := samples[v.Sample]
		row[0] = strconv.Itoa(int(v.Assessor) + 1)
		row[1] = strconv.Itoa(int(v.Position))
		row[2], row[3], row[4] = string(v.Code), string(x.Dish), string(x.Name)
		if err := out.Write(row); err != nil {
			return fmt.Errorf("write key: %w", err)
		}
	}
	out.Flush()
	if err := out.Error(); err != nil {
		return fmt.Errorf("write key: %w", err)
	}
	return nil
}

// resolve looks the plan's samples up in the study.
func (p *Plan) resolve(s *study.Study) ([]study.Sample, error) {
	samples := make([]study.Sample, len(p.Samples))
	for i, id := range p.Samples {
		x, ok := s.Sample(id)
		if !ok {
			return nil, fmt.Errorf("plan has sample %q, which the study lacks; use the study that the plan was "+
				"drawn from", id)
		}
		samples[i] = x
	}
	return samples, nil
}

package panel

import (
	"context"
	"fmt"
	"strconv"
	"strings"
)

// MaxTable is the highest number of a table.
const MaxTable = 999

// TableOf reads the number of a table, 0 for none; [ErrBadValue] when it is no number
// from 1 to [MaxTable].
func TableOf(text string) (int, error) {
	text = strings.TrimSpace(text)
	if text == "" {
		return 0, nil
	}
	n, err := strconv.Atoi(text)
	if err != nil || n < 1 || n > MaxTable {
		return 0, fmt.Errorf("%w: a table has a number from 1 to %d", ErrBadValue, MaxTable)
	}
	return n, nil
}

// MoveSeat notes at which table an assessor sits from now on, 0 for none; the seat there
// is the lowest that is free. What they are served stays theirs.
func (s *Service) MoveSeat(ctx context.Context, by Session, seatID AssessorID, table int, o PhoneAct) error {
	what := "table noted" // which one is not for the log: it keeps nothing that tells who a guest was
	if table == 0 {
		what = "at no table"
	}
	return s.noteSeat(ctx, by, seatID, what, AssessorNote{Table: &table}, o)
}

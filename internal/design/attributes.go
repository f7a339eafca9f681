package design

import (
	"strconv"

	"cloche/internal/study"
)

// AttributeOrder returns in which order an assessor, counted from 0, is asked the
// attributes of each serving: their indexes in the study. It is that of the file
// unless the study rotates them. Then every block of as many assessors as there are
// attributes is a cyclic Latin square, so that each attribute is asked at each place
// once; its first row and the order of its rows are drawn for each block, from the
// sub-stream "attributes/1" and so on.
//
// It is fixed by seed and study and is no part of a plan: what is served does not
// depend on it. That questions asked early pull those after them, and that turning
// the order spreads this evenly, is common practice, no source.
func AttributeOrder(s *study.Study, seed uint64, assessor int) []int {
	n := len(s.Attributes)
	order := make([]int, n)
	for i := range order {
		order[i] = i
	}
	if s.Serving.Attributes != study.RotatedOrder || n < 2 {
		return order
	}
	r := newStream(seed, "attributes/"+strconv.Itoa(assessor/n+1))
	first, rows := make([]int, n), order
	copy(first, order)
	shuffle(r, first)
	shuffle(r, rows)
	turn := rows[assessor%n]
	return append(first[turn:n:n], first[:turn]...)
}

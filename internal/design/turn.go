package design

import (
	"iter"

	"cloche/internal/study"
)

// Turn is what an assessor is given at once and answers at once: one serving, or
// several side by side under their codes, or a name to read.
type Turn struct {
	Number   int32     // from 1 for each assessor, in the order in which turns come
	Sitting  int32     // from 1
	Role     Role      // Rated, though one of its servings may be the reference of the others
	Servings []Serving // in the order in which they are served; part of the plan
}

// Response is what a turn of a study with question q is answered with. Names are
// rated. A warm-up or a fixed reference is rated too where all is; where servings are
// chosen from or sorted, there is nothing to say of one by itself.
func (t Turn) Response(q study.Question) study.Response {
	own := q.Response()
	switch {
	case t.Role == Expected:
		return study.Rate
	case t.Role == Rated || own == study.Rate:
		return own
	}
	return study.TasteOnly
}

// Turns are the turns of one assessor, from 0, in the order in which they come;
// none when there is no such assessor.
func (p *Plan) Turns(assessor int) iter.Seq[Turn] {
	return func(yield func(Turn) bool) {
		for left := p.Assessor(assessor); len(left) > 0; {
			t := nextTurn(left)
			if left = left[len(t.Servings):]; !yield(t) {
				return
			}
		}
	}
}

// nextTurn is the turn that servings of one assessor begin with.
func nextTurn(v []Serving) Turn {
	t := Turn{Number: v[0].Turn, Sitting: v[0].Sitting, Role: v[0].Role}
	n := 0
	for ; n < len(v) && v[n].Turn == t.Number; n++ {
		if v[n].Role == Rated {
			t.Role = Rated
		}
	}
	t.Servings = v[:n:n]
	return t
}

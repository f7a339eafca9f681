package panel

import (
	"reflect"
	"slices"
	"sync"

	"cloche/internal/analysis"
	"cloche/internal/study"
)

// mostKept is how many closed studies have their findings kept at a time.
const mostKept = 8

// keptFindings are the findings of the studies looked at last, so that a report opens at
// once: a planned lottery takes a second to draw. Each goes with all that it was found
// from and is found anew when any of that is another, whoever changed it. Nothing is kept
// of a study that this service changes: answers that were taken out are gone.
type keptFindings struct {
	mu  sync.Mutex
	all []*keptResult // looked at last first
}

type keptResult struct {
	id      StudyID
	mu      sync.Mutex // held while it is found, so that those who wait for it do not find it too
	ratings []analysis.Rating
	options analysis.Options
	found   *analysis.Result
}

// of are the findings of a study, kept or anew. They are shared: whoever gets them only
// reads.
func (k *keptFindings) of(id StudyID, spec *study.Study, ratings []analysis.Rating, o analysis.Options) (
	*analysis.Result, error) {
	x := k.place(id)
	x.mu.Lock()
	defer x.mu.Unlock()
	if x.found != nil && slices.Equal(x.ratings, ratings) && reflect.DeepEqual(x.options, o) {
		return x.found, nil
	}
	found, err := analysis.Analyse(spec, ratings, o)
	if err != nil {
		return nil, err
	}
	x.ratings, x.options, x.found = ratings, o, found
	return found, nil
}

// place is that of a study, in front of the others.
func (k *keptFindings) place(id StudyID) *keptResult {
	k.mu.Lock()
	defer k.mu.Unlock()
	x := &keptResult{id: id}
	if at := k.index(id); at >= 0 {
		x = k.all[at]
		k.all = slices.Delete(k.all, at, at+1)
	}
	k.all = slices.Insert(k.all, 0, x)
	if len(k.all) > mostKept {
		k.all = slices.Delete(k.all, mostKept, len(k.all))
	}
	return x
}

func (k *keptFindings) index(id StudyID) int {
	return slices.IndexFunc(k.all, func(x *keptResult) bool { return x.id == id })
}

// forget keeps nothing of a study any more.
func (k *keptFindings) forget(id StudyID) {
	k.mu.Lock()
	defer k.mu.Unlock()
	if at := k.index(id); at >= 0 {
		k.all = slices.Delete(k.all, at, at+1)
	}
}

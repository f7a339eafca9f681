package numeric

import (
	"runtime"
	"sync"
	"sync/atomic"
)

// InParallel calls work(0) … work(n−1), as many at a time as there are
// processors, and returns when all are done. What a call computes must depend
// on its number alone, so that results do not depend on the machine.
func InParallel(n int, work func(i int)) {
	workers := min(n, runtime.GOMAXPROCS(0))
	if workers <= 1 {
		for i := range n {
			work(i)
		}
		return
	}
	var next atomic.Int64
	var group sync.WaitGroup
	for range workers {
		group.Go(func() {
			for {
				i := int(next.Add(1)) - 1
				if i >= n {
					return
				}
				work(i)
			}
		})
	}
	group.Wait()
}

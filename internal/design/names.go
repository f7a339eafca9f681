package design

import "cloche/internal/study"

// names is the expectation block: the names that are read and rated before any
// tasting, in Williams orders of their own. A name stands for the first sample
// of the study that carries it.
type names struct {
	lottery
	of []int32 // sample → the sample that stands for its name; none for a blind one
}

// newNames returns nil when every sample is blind.
func newNames(s *study.Study) *names {
	first := map[study.NameID]int32{}
	var stands []int32
	of := make([]int32, len(s.Samples))
	for i, x := range s.Samples {
		if x.Name == "" {
			of[i] = none
			continue
		}
		if _, ok := first[x.Name]; !ok {
			first[x.Name] = int32(i)
			stands = append(stands, int32(i))
		}
		of[i] = first[x.Name]
	}
	if len(stands) == 0 {
		return nil
	}
	return &names{lottery: newWilliams(stands, 1), of: of}
}

// asked draws who reads names: everybody, or of every four assessors in turn two at random,
// and of what is left of four half, rounded at random. Each is as likely to be asked.
func asked(s *study.Study, n int, r *stream) []bool {
	all := make([]bool, n)
	for from := 0; from < n; from += 4 {
		block := all[from:min(n, from+4)]
		ask := len(block)
		if s.Serving.AskHalf {
			ask = len(block) / 2
			if len(block)%2 == 1 {
				ask += r.below(2)
			}
		}
		who := make([]int32, len(block))
		for i := range who {
			who[i] = int32(i)
		}
		shuffle(r, who)
		for _, i := range who[:ask] {
			block[i] = true
		}
	}
	return all
}

// read appends to dst the names of order that go with a sample in row: nobody
// reads a name that they will not meet.
func (n *names) read(dst, order, row []int32) []int32 {
	for _, x := range order {
		for _, sample := range row {
			if sample != none && n.of[sample] == x {
				dst = append(dst, x)
				break
			}
		}
	}
	return dst
}

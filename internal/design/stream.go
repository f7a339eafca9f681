package design

import (
	"crypto/sha256"
	"encoding/binary"
	"math/bits"
	"math/rand/v2"
)

// stream is one named sub-stream of a seed. Everything drawn goes through
// [stream.below], whose arithmetic is fixed here rather than left to a library,
// so that a plan does not change with the release of the compiler.
type stream struct {
	src   *rand.ChaCha8
	every *choices // instead of src: everything that can be drawn, in turn
}

// newStream derives the sub-stream called name from seed. The ChaCha8 key is the
// SHA-256 of the text "cloche/design\n", the name, a line feed and the seed as
// eight bytes, most significant first. Streams of different names are
// independent: adding one never shifts another.
func newStream(seed uint64, name string) *stream {
	return &stream{src: rand.NewChaCha8(streamKey(seed, name))}
}

func streamKey(seed uint64, name string) [sha256.Size]byte {
	b := make([]byte, 0, 64)
	b = append(b, "cloche/design\n"...)
	b = append(b, name...)
	b = append(b, '\n')
	b = binary.BigEndian.AppendUint64(b, seed)
	return sha256.Sum256(b)
}

// below returns a number in [0, n), every one equally likely; n ≥ 1. Method:
// the upper half of a 64 × 64 bit product, with the few low halves that would
// favour some numbers rejected (Lemire 2019, ACM Trans. Model. Comput. Simul.
// 29, 3, algorithm 5).
func (s *stream) below(n int) int {
	if s.every != nil {
		return s.every.below(n)
	}
	u := uint64(n)
	hi, lo := bits.Mul64(s.src.Uint64(), u)
	if lo < u {
		hi = s.again(lo, hi, u)
	}
	return int(hi)
}

// again draws until no number below u is favoured.
func (s *stream) again(lo, hi, u uint64) uint64 {
	for least := -u % u; lo < least; {
		hi, lo = bits.Mul64(s.src.Uint64(), u)
	}
	return hi
}

// shuffle puts x in random order, every order equally likely (Fisher & Yates;
// Knuth, The Art of Computer Programming 2, 3.4.2, algorithm P).
func shuffle[T any](s *stream, x []T) {
	if s.every == nil { // as below does, without a call each: redraws do little else
		for i := len(x) - 1; i > 0; i-- {
			u := uint64(i + 1)
			j, lo := bits.Mul64(s.src.Uint64(), u)
			if lo < u {
				j = s.again(lo, j, u)
			}
			x[i], x[j] = x[j], x[i]
		}
		return
	}
	for i := len(x) - 1; i > 0; i-- {
		j := s.below(i + 1)
		x[i], x[j] = x[j], x[i]
	}
}

// cycle puts x, of pairwise different things, in a random order in which all of
// them form one cycle: none stays in its place (Sattolo 1986, Inf. Process.
// Lett. 22, 315).
func cycle[T any](s *stream, x []T) {
	for i := len(x) - 1; i > 0; i-- {
		j := s.below(i)
		x[i], x[j] = x[j], x[i]
	}
}

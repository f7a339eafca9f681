package design

import (
	"strconv"

	"cloche/internal/study"
)

var drawWhichWords = oneByOne(study.WhichWords)

// WordOrder returns in which order the words of a list stand for an assessor, counted from
// 0, at a position from 1: their indexes in the list. Whoever reads from the top ticks more
// there (common practice, no source).
//
// Every block of as many assessors as a square of Williams (1949) has rows, w for an even
// number of words w and 2w for an odd one, uses each row once at every position, so that
// over people each word has stood at each place of the list, and right after each other
// word, equally often at every position. From one position to the next an assessor goes on
// to the next row. Words and rows are drawn for each block, from the sub-stream "words/1"
// and so on.
//
// It is fixed by seed and study and is no part of a plan: what is served does not depend
// on it.
func WordOrder(words int, seed uint64, assessor, position int) []int {
	order := make([]int, words)
	if words < 2 {
		return order
	}
	square := williamsSquare(words)
	r := newStream(seed, "words/"+strconv.Itoa(assessor/len(square)+1))
	symbols, rows := make([]int, words), make([]int, len(square))
	for _, list := range [][]int{symbols, rows} {
		for i := range list {
			list[i] = i
		}
		shuffle(r, list)
	}
	row := square[rows[(assessor+max(0, position-1))%len(square)]]
	for i, symbol := range row {
		order[i] = symbols[symbol]
	}
	return order
}

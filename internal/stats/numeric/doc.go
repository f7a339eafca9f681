// Package numeric holds the numerical tools under the methods: roots by
// bisection, small dense matrices, orthonormal bases, minimisers, work spread
// over the processors. It knows no statistics.
//
// Minimisers follow Nocedal & Wright (2006), Numerical Optimization, chapters
// 3 and 6; the other sources stand at their functions.
package numeric

// Package summary says in plain words what a study is, what it will do and what was
// fixed of it, for lead and partner. It holds no code and no rating, so that the same
// words serve before and after close.
package summary

// Package builder is the study builder: one page a step, filled from the study file
// and written back into it, so that file and pages are one; and the panel's size,
// worked out while somebody types.
package builder

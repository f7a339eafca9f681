// Package design draws serving plans: which sample each assessor gets at which
// position, under which blinding code.
package design

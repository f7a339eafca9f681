// Package analysis turns ratings and an analysis plan into findings.
package analysis

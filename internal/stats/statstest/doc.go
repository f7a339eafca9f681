// Package statstest is what the tests of the rooms of stats share: simulated
// tables, calibration runs, comparisons.
package statstest

// Package room is what stands in front of kitchen and floor during a sitting: joining
// it with a link and a code, the floor's list and seats, the kitchen's sheet, labels
// and temperatures, and breaking the blind for one serving, which the lead may do too.
//
// The floor's pages are built from [panel.Room] and the kitchen's from
// [panel.KitchenSheet], which have no field for what those may not know.
package room

package analysis

import "fmt"

// checkArrivals reports where a file contradicts itself on the order in which the turns
// were answered: the first mistake.
func (c *choiceRows) checkArrivals(f *csvFile) {
	if !c.s.Plan.StopEarly {
		return
	}
	of, at := map[turnKey]int{}, map[int]turnKey{}
	for i, r := range c.rows {
		k, said := turnOf(c.s, r.Rating), ""
		first, seen := of[k]
		other, taken := at[r.Arrived]
		switch {
		case seen && first != r.Arrived:
			said = "the rows of one turn say that it came as different answers"
		case r.Arrived == 0 != (c.rows[0].Arrived == 0):
			said = "some rows say as which answer their turn came and some do not"
		case r.Arrived > 0 && taken && other != k:
			said = fmt.Sprintf("two turns came as answer %d", r.Arrived)
		}
		if said != "" {
			f.report(c.rows[i].line, c.rows[i].column, said, "number the turns from 1 in the column arrived, in "+
				"the order "+
				"in which they were answered, or write nothing in the whole column")
			return
		}
		of[k], at[r.Arrived] = r.Arrived, k
	}
}

package method

// ID is the stable short word of a method, in study files and in the findings as JSON.
type ID string

// Use is what a method is there for.
type Use string

// The uses.
const (
	Test       Use = "test"
	Measure    Use = "measure" // of an effect
	Check      Use = "check"   // of what a finding rests on
	Adjustment Use = "adjustment"
)

// Method is one row of the table.
type Method struct {
	ID      ID
	Use     Use
	Title   string // as a sentence names it
	Symbol  string // of its statistic or measure; "" where there is none
	Source  string // author, year, where
	Assumes string // "" where nothing is assumed beyond independent people
}

// Of is a method by its id; one that is not in the table is called by its id.
func Of(id ID) Method {
	for _, m := range table {
		if m.ID == id {
			return m
		}
	}
	return Method{ID: id, Title: string(id)}
}

// Title is a method as a sentence names it.
func (id ID) Title() string { return Of(id).Title }

// Assumes is what a method rests on, as a sentence.
func (id ID) Assumes() string { return Of(id).Assumes }

// All are the methods, in the order of the table.
func All() []Method { return append([]Method(nil), table...) }

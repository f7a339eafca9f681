package room

import (
	"cmp"
	"slices"
	"strconv"

	"cloche/internal/panel"
	"cloche/internal/server/site"
)

// seatGroup is the seats of a table in a list.
type seatGroup struct {
	Heading string // "" where seats are not grouped
	Seats   []seatCard
}

// spareTables is how many tables a form offers beyond the highest in use.
const spareTables = 10

// groupedByTable puts seats together that share a table. Who waits stays in the order of
// need.
func groupedByTable(say site.Tongue, seats []seatCard, show string) []seatGroup {
	known := slices.ContainsFunc(seats, func(card seatCard) bool { return card.Table > 0 })
	if show == showOut || !known {
		return []seatGroup{{"", seats}}
	}
	sorted := slices.Clone(seats)
	slices.SortStableFunc(sorted, func(a, b seatCard) int {
		return cmp.Or(cmp.Compare(a.Table, b.Table), cmp.Compare(a.At, b.At))
	})
	var groups []seatGroup
	for _, card := range sorted {
		heading := say.Translate("No table noted")
		if card.Table > 0 {
			heading = say.Translate("Table %d", card.Table)
		}
		if len(groups) == 0 || groups[len(groups)-1].Heading != heading {
			groups = append(groups, seatGroup{Heading: heading})
		}
		card.Guest = card.Here
		last := &groups[len(groups)-1]
		last.Seats = append(last.Seats, card)
	}
	return groups
}

// tablesToChoose are the tables that somebody can be moved to.
func tablesToChoose(r panel.Room) []int { return tablesUpTo(highestTable(r) + spareTables) }

// mostButtons is for how many tables a seat's page has a button each: four rows on a phone.
const mostButtons = 24

// nearTables are the tables in use and two more, for a button each; where they are too many for
// that, none.
func nearTables(r panel.Room) []int {
	if n := highestTable(r) + 2; n <= mostButtons {
		return tablesUpTo(n)
	}
	return nil
}

func highestTable(r panel.Room) (highest int) {
	for _, t := range r.Seats {
		highest = max(highest, t.Table)
	}
	return highest
}

func tablesUpTo(n int) (tables []int) {
	for i := range min(n, panel.MaxTable) {
		tables = append(tables, i+1)
	}
	return tables
}

// tableWords is the table of a seat as a phone without network holds it, "" when none is
// known.
func tableWords(t panel.FloorSeat) string {
	if t.Table == 0 {
		return ""
	}
	return strconv.Itoa(t.Table)
}

package store

import (
	"database/sql"
	"fmt"
	"math"
	"testing"
	"time"
)

// filler fills every table of a SQLite database, whatever the migrations made, so
// that a later table or column takes part in the tests of backups by itself.
type filler struct {
	shapes  []tableShape
	refers  map[string][2]string // "table.column" → table and column it refers to
	notNull map[string]bool      // "table.column"
}

const filledRows = 3

// fillEverything puts rows into every table: texts with all that needs escaping,
// numbers at their ends, NULL wherever one may stand.
func fillEverything(t *testing.T, s *Store) {
	t.Helper()
	pool, err := s.write.DB()
	must(t, err)
	tx, err := pool.BeginTx(t.Context(), nil)
	must(t, err)
	f := readFiller(t, tx)
	for _, shape := range f.shapes {
		for n := range filledRows {
			var values []any
			for _, c := range shape.columns {
				values = append(values, f.value(shape.name, c, n))
			}
			if _, err := tx.Exec(shape.insert("sqlite"), values...); err != nil {
				t.Fatalf("fill %s, row %d: %v", shape.name, n, err)
			}
		}
	}
	must(t, tx.Commit())
}

func readFiller(t *testing.T, tx *sql.Tx) filler {
	t.Helper()
	f := filler{refers: map[string][2]string{}, notNull: map[string]bool{}}
	shapes, err := shapesOf(t.Context(), tx, "sqlite")
	must(t, err)
	f.shapes, err = parentsFirst(shapes)
	must(t, err)
	rows, err := tx.Query(`SELECT t.name, f."from", f."table", f."to" FROM sqlite_master t, ` +
		`pragma_foreign_key_list(t.name) f WHERE t.type = 'table'`)
	must(t, err)
	defer rows.Close()
	for rows.Next() {
		var table, column, other, to string
		must(t, rows.Scan(&table, &column, &other, &to))
		f.refers[table+"."+column] = [2]string{other, to}
	}
	must(t, rows.Err())
	nulls, err := tx.Query(`SELECT t.name || '.' || c.name FROM sqlite_master t, pragma_table_info(t.name) c WHERE ` +
		`t.type = 'table' AND c."notnull"`)
	must(t, err)
	defer nulls.Close()
	for nulls.Next() {
		var name string
		must(t, nulls.Scan(&name))
		f.notNull[name] = true
	}
	must(t, nulls.Err())
	return f
}

// value is what stands in a column of row n.
func (f filler) value(table string, c ArchivedColumn, n int) any {
	name := table + "." + c.Name
	if !f.notNull[name] && n == filledRows-1 {
		return nil
	}
	if other, refers := f.refers[name]; refers {
		return f.value(other[0], ArchivedColumn{Name: other[1], Kind: c.Kind}, n)
	}
	switch {
	case name == "turns.role", name == "servings.role":
		return []string{"rated", "warm-up", "reference"}[n]
	case name == "studies.state":
		return []string{"draft", "open", "closed"}[n]
	case name == "incidents.what":
		return []string{"spilt", "talked", "unwell"}[n]
	case name == "studies.seed":
		return fmt.Sprint(n)
	case c.Kind == "integer":
		return int64(n + 1)
	case c.Kind == "real":
		return []float64{100.0 / 3, math.MaxFloat64, math.SmallestNonzeroFloat64}[n]
	case c.Kind == "boolean":
		return n%2 == 0
	case c.Kind == "bytes":
		return []byte{0, 0xff, '"', byte(n)}
	case c.Kind == "time":
		return time.Date(2026, 3, 1+n, 23, 59, 59, 999999000, time.UTC)
	}
	return fmt.Sprintf("%s %d", name, n) + []string{"", " <&> \"'\\ \u2028\n\t🍮 Ä", " =1+1;"}[n]
}

// cells gives every cell of a SQLite database as SQLite itself writes it.
func cells(t *testing.T, s *Store) []string {
	t.Helper()
	pool, err := s.read.DB()
	must(t, err)
	tx, err := pool.BeginTx(t.Context(), nil)
	must(t, err)
	defer func() { must(t, tx.Rollback()) }()
	var all []string
	for _, shape := range readFiller(t, tx).shapes {
		for _, c := range shape.columns {
			rows, err := tx.Query("SELECT quote(" + quoted(c.Name) + ") || ' ' || typeof(" + quoted(c.Name) +
				") FROM " + quoted(shape.name) + " ORDER BY rowid")
			must(t, err)
			for n := 0; rows.Next(); n++ {
				var cell string
				must(t, rows.Scan(&cell))
				all = append(all, fmt.Sprintf("%s.%s %d: %s", shape.name, c.Name, n, cell))
			}
			must(t, rows.Err())
			must(t, rows.Close())
		}
	}
	return all
}

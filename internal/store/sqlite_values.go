package store

import (
	"database/sql/driver"
	"reflect"
	"slices"

	gormsqlite "gorm.io/driver/sqlite"
	"gorm.io/gorm"
	"gorm.io/gorm/clause"
)

// sqliteDialect writes the values of conditions as CAST(? AS …). SQLite plans a statement
// anew whenever a value is set that a bare “column = ?” compares with, since it plans
// otherwise for 0 and 1 (sqlite3VdbeReprepareOnBind in its source, version 3.54), and the
// driver sets all of them for each run: what a statement that is kept prepared should save
// was lost, half to two thirds of the processor of a small query. A cast to the type that
// the value has anyway leaves the condition and its index as they are.
// Statements that are written by hand say it themselves.
type sqliteDialect struct{ *gormsqlite.Dialector }

// BindVarTo writes the place of a value.
func (sqliteDialect) BindVarTo(w clause.Writer, stmt *gorm.Statement, v any) {
	as := ""
	if _, own := v.(driver.Valuer); v != nil && !own && !slices.Contains(stmt.BuildClauses, "INSERT") {
		as = sqliteType(reflect.TypeOf(v).Kind())
	}
	if as == "" {
		_ = w.WriteByte('?') // to memory
		return
	}
	_, _ = w.WriteString("CAST(? AS " + as + ")")
}

// sqliteType is the type that SQLite gives a value of a kind; "" for kinds that no
// condition compares with.
func sqliteType(k reflect.Kind) string {
	switch {
	case k == reflect.String:
		return "text"
	case k >= reflect.Int && k <= reflect.Int64:
		return "integer"
	case k == reflect.Float64:
		return "real"
	}
	return ""
}

package store

import (
	"context"
	"database/sql"
	"fmt"
	"slices"
	"strings"
)

// tableShape is what copying a table needs to know of it. It is read from the
// database, so that a backup covers tables and columns of later migrations.
type tableShape struct {
	name     string
	columns  []ArchivedColumn
	key      []string // columns of the primary key
	identity string   // the column that the database numbers by itself; "" = none
	refers   []string // tables that its foreign keys refer to
}

// kindsOf gives the kinds of columns by the types that the databases name.
var kindsOf = map[string]string{
	"text":                     "text",
	"integer":                  "integer",
	"bigint":                   "integer",
	"double precision":         "real",
	"boolean":                  "boolean",
	"blob":                     "bytes",
	"bytea":                    "bytes",
	"datetime":                 "time",
	"timestamp with time zone": "time",
}

// versionTable is where goose keeps the version of the tables.
const versionTable = "goose_db_version"

// The queries give, by dialect: table, column, type, place in the primary key
// from 1 (else 0), whether the database numbers it by itself.
var columnQueries = map[string]string{
	"sqlite": `SELECT t.name, c.name, c.type, c.pk, FALSE
		FROM sqlite_master t, pragma_table_info(t.name) c
		WHERE t.type = 'table' AND t.name NOT LIKE 'sqlite\_%' ESCAPE '\' AND t.name <> '` + versionTable + `'
		ORDER BY t.name, c.cid`,
	"postgres": `SELECT c.relname, a.attname, format_type(a.atttypid, NULL),
			COALESCE(array_position(i.indkey::int2[], a.attnum) + 1, 0), a.attidentity <> ''
		FROM pg_class c
		JOIN pg_attribute a ON a.attrelid = c.oid AND a.attnum > 0 AND NOT a.attisdropped
		LEFT JOIN pg_index i ON i.indrelid = c.oid AND i.indisprimary
		WHERE c.relkind = 'r' AND c.relnamespace = current_schema()::regnamespace AND c.relname <> '` + versionTable +
		`'
		ORDER BY c.relname COLLATE "C", a.attnum`,
}

// The queries give table and table referred to.
var referQueries = map[string]string{
	"sqlite": `SELECT DISTINCT t.name, f."table" FROM sqlite_master t, pragma_foreign_key_list(t.name) f
		WHERE t.type = 'table'`,
	"postgres": `SELECT DISTINCT c.relname, f.relname FROM pg_constraint k
		JOIN pg_class c ON c.oid = k.conrelid JOIN pg_class f ON f.oid = k.confrelid
		WHERE k.contype = 'f' AND c.relnamespace = current_schema()::regnamespace`,
}

// shapesOf returns the tables by name, without that of the version.
func shapesOf(ctx context.Context, tx *sql.Tx, kind string) ([]tableShape, error) {
	shapes, err := columnsOf(ctx, tx, kind)
	if err != nil {
		return nil, fmt.Errorf("list tables: %w", err)
	}
	rows, err := tx.QueryContext(ctx, referQueries[kind])
	if err != nil {
		return nil, fmt.Errorf("list foreign keys: %w", err)
	}
	defer rows.Close()
	for rows.Next() {
		var from, to string
		if err := rows.Scan(&from, &to); err != nil {
			return nil, err
		}
		for i := range shapes {
			if shapes[i].name == from {
				shapes[i].refers = append(shapes[i].refers, to)
			}
		}
	}
	return shapes, rows.Err()
}

func columnsOf(ctx context.Context, tx queryer, kind string) ([]tableShape, error) {
	rows, err := tx.QueryContext(ctx, columnQueries[kind])
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	var shapes []tableShape
	for rows.Next() {
		var table, name, sqlType string
		var place int
		var numbered bool
		if err := rows.Scan(&table, &name, &sqlType, &place, &numbered); err != nil {
			return nil, err
		}
		valueKind, known := kindsOf[strings.ToLower(sqlType)]
		if !known {
			return nil, fmt.Errorf("column %s.%s has type %q, which a backup cannot hold", table, name, sqlType)
		}
		if len(shapes) == 0 || shapes[len(shapes)-1].name != table {
			shapes = append(shapes, tableShape{name: table})
		}
		shape := &shapes[len(shapes)-1]
		shape.columns = append(shape.columns, ArchivedColumn{Name: name, Kind: valueKind})
		if place > 0 {
			shape.key = append(shape.key, name)
		}
		if numbered {
			shape.identity = name
		}
	}
	return shapes, rows.Err()
}

// parentsFirst puts tables after those that they refer to.
func parentsFirst(shapes []tableShape) ([]tableShape, error) {
	var ordered []tableShape
	placed := map[string]bool{}
	for len(ordered) < len(shapes) {
		before := len(ordered)
		for _, shape := range shapes {
			waits := slices.ContainsFunc(shape.refers, func(other string) bool { return !placed[other] })
			if !placed[shape.name] && !waits {
				ordered = append(ordered, shape)
				placed[shape.name] = true
			}
		}
		if len(ordered) == before {
			return nil, fmt.Errorf("tables refer to each other in a circle; %d of %d can be filled", before,
				len(shapes))
		}
	}
	return ordered, nil
}

// selectAll reads a table by its primary key, texts by their bytes.
func (t tableShape) selectAll(kind string) string {
	var columns, order []string
	for _, c := range t.columns {
		columns = append(columns, quoted(c.Name))
		if !slices.Contains(t.key, c.Name) {
			continue
		}
		by := quoted(c.Name)
		if kind == "postgres" && c.Kind == "text" {
			by += ` COLLATE "C"`
		}
		order = append(order, by)
	}
	return "SELECT " + strings.Join(columns, ", ") + " FROM " + quoted(t.name) + " ORDER BY " +
		strings.Join(order, ", ")
}

// insert adds one row to a table.
func (t tableShape) insert(kind string) string {
	var columns, marks []string
	for i, c := range t.columns {
		columns = append(columns, quoted(c.Name))
		if kind == "postgres" {
			marks = append(marks, fmt.Sprintf("$%d", i+1))
			continue
		}
		marks = append(marks, "?")
	}
	override := ""
	if t.identity != "" {
		override = " OVERRIDING SYSTEM VALUE"
	}
	return "INSERT INTO " + quoted(t.name) + " (" + strings.Join(columns, ", ") + ")" + override +
		" VALUES (" + strings.Join(marks, ", ") + ")"
}

// quoted is a name as SQL takes it whatever it holds.
func quoted(name string) string { return `"` + strings.ReplaceAll(name, `"`, `""`) + `"` }

// versionOf returns the version of the tables, 0 when there are none.
func versionOf(ctx context.Context, tx queryer, kind string) (int64, error) {
	exists := "SELECT count(*) FROM sqlite_master WHERE name = '" + versionTable + "'"
	if kind == "postgres" {
		exists = "SELECT count(*) FROM pg_class WHERE relnamespace = current_schema()::regnamespace AND relname = '" +
			versionTable + "'"
	}
	var n int
	if err := tx.QueryRowContext(ctx, exists).Scan(&n); err != nil || n == 0 {
		return 0, err
	}
	var version int64
	err := tx.QueryRowContext(ctx, "SELECT COALESCE(max(version_id), 0) "+
		"FROM "+versionTable+" WHERE is_applied").Scan(&version)
	return version, err
}

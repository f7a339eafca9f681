package store

import (
	"database/sql"
	"fmt"
	"reflect"
	"time"

	"gorm.io/gorm"
)

// one reads the one row of a statement without GORM, as [execute] runs one, into places;
// [sql.ErrNoRows] when there is none.
func one(tx *gorm.DB, statement string, values []any, places ...any) error {
	defer logIfSlow(tx, time.Now(), statement)
	return tx.Statement.ConnPool.QueryRowContext(tx.Statement.Context, statement, values...).Scan(places...)
}

// all reads the rows of a statement without GORM, as [execute] runs one. places says where the
// columns of a row go: the same row again and again.
func all[Row any](tx *gorm.DB, statement string, values []any, places func(*Row) []any) ([]Row, error) {
	defer logIfSlow(tx, time.Now(), statement)
	rows, err := tx.Statement.ConnPool.QueryContext(tx.Statement.Context, statement, values...)
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	var found []Row
	var row Row
	into := places(&row)
	for rows.Next() {
		row = *new(Row)
		if err := rows.Scan(into...); err != nil {
			return nil, err
		}
		found = append(found, row)
	}
	return found, rows.Err()
}

// find reads the rows of a query that GORM puts together. It reads them without GORM, which takes
// longer over a row than the database does.
func find[Row any](query *gorm.DB) ([]Row, error) {
	var row Row
	query = query.Model(new(Row))
	if err := query.Statement.Parse(query.Statement.Model); err != nil {
		return nil, err
	}
	rows, err := query.Rows()
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	columns, err := rows.Columns()
	if err != nil {
		return nil, err
	}
	into := make([]any, len(columns))
	for i, name := range columns {
		field := query.Statement.Schema.LookUpField(name)
		if field == nil {
			return nil, fmt.Errorf("%T has no field for the column %s", row, name)
		}
		into[i] = orZero{reflect.ValueOf(&row).Elem().FieldByIndex(field.StructField.Index)}
	}
	var found []Row
	for rows.Next() {
		row = *new(Row)
		if err := rows.Scan(into...); err != nil {
			return nil, err
		}
		found = append(found, row)
	}
	return found, rows.Err()
}

// orZero is the place of a column that leaves a field as it is where it is NULL.
type orZero struct{ field reflect.Value }

// Scan takes a value as a driver gives it.
func (z orZero) Scan(v any) error {
	if place, ok := z.field.Addr().Interface().(sql.Scanner); ok {
		return place.Scan(v)
	}
	switch x := v.(type) {
	case nil:
		return nil
	case string:
		if z.field.Kind() == reflect.String {
			z.field.SetString(x)
			return nil
		}
	case []byte:
		if z.field.Kind() == reflect.String {
			z.field.SetString(string(x))
			return nil
		}
	case int64:
		switch {
		case z.field.CanInt():
			z.field.SetInt(x)
			return nil
		case z.field.Kind() == reflect.Bool: // SQLite has no booleans
			z.field.SetBool(x != 0)
			return nil
		}
	case float64:
		if z.field.CanFloat() {
			z.field.SetFloat(x)
			return nil
		}
	case bool:
		if z.field.Kind() == reflect.Bool {
			z.field.SetBool(x)
			return nil
		}
	case time.Time:
		if place, ok := z.field.Addr().Interface().(*time.Time); ok {
			*place = x
			return nil
		}
	}
	return fmt.Errorf("a column holds a %T where a field is a %s", v, z.field.Type())
}

package main

import (
	"context"
	"database/sql"
	"fmt"
	"maps"
	"slices"
	"strings"

	_ "github.com/jackc/pgx/v5/stdlib" // the drivers that the service uses
	_ "github.com/mattn/go-sqlite3"
)

// openBare opens a database with its driver alone.
func openBare(dsn string) (*sql.DB, error) {
	if strings.HasPrefix(dsn, "postgres") {
		return sql.Open("pgx", dsn)
	}
	return sql.Open("sqlite3", "file:"+dsn+"?_journal_mode=WAL&_synchronous=FULL&_txlock=immediate")
}

// fieldOf gives the field of a form by the attribute of [loadStudy].
var fieldOf = map[string]string{"salt": "a1", "liking": "a2"}

// countKept compares what phones were told with what the database holds.
func (m *measured) countKept(ctx context.Context, dsn string) error {
	db, err := openBare(dsn)
	if err != nil {
		return err
	}
	defer db.Close()
	rows, err := db.QueryContext(ctx, "SELECT turn_id, attribute, value FROM answers")
	if err != nil {
		return err
	}
	defer rows.Close()
	kept := map[string]map[string]string{}
	for rows.Next() {
		var turn, attribute string
		var value float64
		if err := rows.Scan(&turn, &attribute, &value); err != nil {
			return err
		}
		if kept[turn] == nil {
			kept[turn] = map[string]string{}
		}
		if _, twice := kept[turn][fieldOf[attribute]]; twice {
			m.doubled++
		}
		kept[turn][fieldOf[attribute]] = fmt.Sprint(value)
	}
	for turn, told := range m.told {
		among := append([]map[string]string{told}, m.unheard[turn]...)
		if !slices.ContainsFunc(among, func(sent map[string]string) bool { return maps.Equal(sent, kept[turn]) }) {
			m.lost++
		}
	}
	return rows.Err()
}

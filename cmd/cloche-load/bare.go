package main

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"strings"
	"time"

	_ "github.com/mattn/go-sqlite3" // the driver that the service uses
)

// ratingTables are those to which a submission adds rows.
var ratingTables = []string{"submissions", "answered_turns", "answers"}

// measureBare copies what the service kept into a fresh file, the rows of each
// submission in one durable commit, and returns commits a second. The tables stand
// alone there, without what they refer to: nothing is checked and nothing is asked.
func measureBare(ctx context.Context, from, to string) (float64, error) {
	source, err := sql.Open("sqlite3", "file:"+from+"?_query_only=on")
	if err != nil {
		return 0, err
	}
	defer source.Close()
	target, err := sql.Open("sqlite3", "file:"+to+"?_journal_mode=WAL&_synchronous=FULL&_txlock=immediate")
	if err != nil {
		return 0, err
	}
	defer target.Close()
	target.SetMaxOpenConns(1)
	inserts, submissions, err := readSubmissions(ctx, source, target)
	if err != nil {
		return 0, err
	}
	if len(submissions) == 0 {
		return 0, errors.New("the service kept no submission")
	}
	begun := time.Now()
	for _, rows := range submissions {
		if err := commit(ctx, target, inserts, rows); err != nil {
			return 0, err
		}
	}
	return float64(len(submissions)) / time.Since(begun).Seconds(), nil
}

// tableRow is a row of one of [ratingTables], by its number there.
type tableRow struct {
	table  int
	values []any
}

// readSubmissions makes the tables of the source in the target, and returns the
// statement that adds a row to each, and the rows by submission.
func readSubmissions(ctx context.Context, source, target *sql.DB) (inserts []*sql.Stmt, submissions [][]tableRow,
	err error) {
	groups := map[any]int{} // by turn: each was answered once
	for n, table := range ratingTables {
		var made string
		if err := source.QueryRowContext(ctx, "SELECT sql FROM sqlite_master WHERE name = ?",
			table).Scan(&made); err != nil {
			return nil, nil, err
		}
		if _, err := target.ExecContext(ctx, made); err != nil {
			return nil, nil, err
		}
		columns, rows, err := readTable(ctx, source, table)
		if err != nil {
			return nil, nil, err
		}
		insert, err := target.PrepareContext(ctx,
			fmt.Sprintf("INSERT INTO %s VALUES (%s)", table, strings.Repeat("?, ", len(columns)-1)+"?"))
		if err != nil {
			return nil, nil, err
		}
		inserts = append(inserts, insert)
		of := indexOf(columns, "turn_id")
		for _, values := range rows {
			group, known := groups[values[of]]
			if !known {
				group = len(submissions)
				groups[values[of]] = group
				submissions = append(submissions, nil)
			}
			submissions[group] = append(submissions[group], tableRow{n, values})
		}
	}
	return inserts, submissions, nil
}

func indexOf(columns []string, name string) int {
	for i, c := range columns {
		if c == name {
			return i
		}
	}
	panic("no column " + name)
}

func readTable(ctx context.Context, db *sql.DB, table string) (columns []string, all [][]any, err error) {
	rows, err := db.QueryContext(ctx, "SELECT * FROM "+table)
	if err != nil {
		return nil, nil, err
	}
	defer rows.Close()
	if columns, err = rows.Columns(); err != nil {
		return nil, nil, err
	}
	for rows.Next() {
		values, into := make([]any, len(columns)), make([]any, len(columns))
		for i := range into {
			into[i] = &values[i]
		}
		if err := rows.Scan(into...); err != nil {
			return nil, nil, err
		}
		all = append(all, values)
	}
	return columns, all, rows.Err()
}

func commit(ctx context.Context, db *sql.DB, inserts []*sql.Stmt, rows []tableRow) error {
	tx, err := db.BeginTx(ctx, nil)
	if err != nil {
		return err
	}
	for _, r := range rows {
		if _, err := tx.StmtContext(ctx, inserts[r.table]).ExecContext(ctx, r.values...); err != nil {
			return errors.Join(err, tx.Rollback())
		}
	}
	return tx.Commit()
}

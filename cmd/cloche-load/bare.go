package main

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"strings"
	"time"
)

// ratingTables are those to which a submission adds rows.
var ratingTables = []string{"submissions", "answered_turns", "answers"}

// measureBare commits what the service kept once more beside it, the rows of each
// submission in one durable commit, and returns how many that were and how long it took. The
// tables stand alone, without what they refer to: nothing is checked and nothing is asked.
func measureBare(ctx context.Context, dsn string) (commits int, took time.Duration, err error) {
	source, err := openBare(dsn)
	if err != nil {
		return 0, 0, err
	}
	defer source.Close()
	to, made := dsn+".bare", func(table string) string {
		return "SELECT sql FROM sqlite_master WHERE name = '" + table + "'"
	}
	if strings.HasPrefix(dsn, "postgres") {
		// In a schema of its own, with the same keys and indexes.
		to = dsn + "&search_path=bare"
		if !strings.Contains(dsn, "?") {
			to = dsn + "?search_path=bare"
		}
		made = func(table string) string {
			return "SELECT 'CREATE TABLE bare." + table + " (LIKE public." + table + " INCLUDING ALL)'"
		}
		if _, err := source.ExecContext(ctx, "CREATE SCHEMA bare"); err != nil {
			return 0, 0, err
		}
	}
	target, err := openBare(to)
	if err != nil {
		return 0, 0, err
	}
	defer target.Close()
	target.SetMaxOpenConns(1)
	inserts, submissions, err := readSubmissions(ctx, source, target, made)
	if err != nil {
		return 0, 0, err
	}
	if len(submissions) == 0 {
		return 0, 0, errors.New("the service kept no submission")
	}
	begun := time.Now()
	for _, rows := range submissions {
		if err := commit(ctx, target, inserts, rows); err != nil {
			return 0, 0, err
		}
	}
	return len(submissions), time.Since(begun), nil
}

// tableRow is a row of one of [ratingTables], by its number there.
type tableRow struct {
	table  int
	values []any
}

// readSubmissions makes the tables of the source in the target, and returns the
// statement that adds a row to each, and the rows by submission.
func readSubmissions(ctx context.Context, source, target *sql.DB, made func(table string) string) (
	inserts []*sql.Stmt, submissions [][]tableRow, err error) {
	groups := map[any]int{} // by turn: each was answered once
	for n, table := range ratingTables {
		var statement string
		if err := source.QueryRowContext(ctx, made(table)).Scan(&statement); err != nil {
			return nil, nil, err
		}
		if _, err := target.ExecContext(ctx, statement); err != nil {
			return nil, nil, err
		}
		columns, rows, err := readTable(ctx, source, table)
		if err != nil {
			return nil, nil, err
		}
		insert, err := target.PrepareContext(ctx,
			fmt.Sprintf("INSERT INTO %s VALUES (%s)", table, places(len(columns))))
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

// places are those of so many values, in a form that both drivers read.
func places(n int) string {
	all := make([]string, n)
	for i := range all {
		all[i] = fmt.Sprintf("$%d", i+1)
	}
	return strings.Join(all, ", ")
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

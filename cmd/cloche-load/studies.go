package main

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"io"
	"net/http"
	"net/url"
	"slices"
	"strings"
	"time"
)

// assessorsEach is how many each of many studies has.
const assessorsEach = 100

// timesAsked is how often each page is asked for.
const timesAsked = 40

// amongStudies measures how long pages take when a database holds 10, 100, … studies, up
// to most, each with all answers of 100 assessors, and prints a line for each page.
func amongStudies(ctx context.Context, o options, out io.Writer) error {
	fmt.Fprintf(out, "studies of %d assessors in one database, %s; how long the service takes over a page\n",
		assessorsEach, o.words())
	for n := 10; ; n = min(10*n, o.studies) {
		n = min(n, o.studies)
		if err := amongSoMany(ctx, o, n, out); err != nil {
			return fmt.Errorf("among %d studies: %w", n, err)
		}
		if n == o.studies {
			return nil
		}
	}
}

func amongSoMany(ctx context.Context, o options, n int, out io.Writer) (err error) {
	dsn, drop, err := freshDatabase(ctx, o.database)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, drop()) }()
	t, err := openTasting(ctx, dsn, assessorsEach, true)
	if err != nil {
		return err
	}
	profile := ""
	if o.profile != "" {
		profile = fmt.Sprintf("%s-%d", o.profile, n)
	}
	s, err := startService(dsn, profile)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, s.end()) }()
	t.url = s.url
	all := newPhones(t, assessorsEach, 0)
	for phone := range assessorsEach - 1 { // the last has everything before it
		all.sendAll(ctx, phone)
	}
	if err := copyStudies(ctx, dsn, t.study, n-1); err != nil {
		return err
	}
	lead, err := t.signIn(ctx)
	if err != nil {
		return err
	}
	begun := time.Now()
	for page := "Open it to see"; strings.Contains(page, "Open it to see"); { // each closed study's verdict
		if page, err = t.send(ctx, lead, "/studies?all=yes", nil); err != nil {
			return err
		}
		time.Sleep(time.Second)
	}
	found := time.Since(begun)
	guest := &http.Client{Transport: &http.Transport{DisableCompression: true}}
	fmt.Fprintf(out, "\n%d studies, whose verdicts were found beside all else within %.0f s\n", n, found.Seconds())
	for _, page := range []struct {
		name, path string
		by         *http.Client
	}{
		{"library", "/studies", lead},
		{"library, all of it", "/studies?all=yes", lead},
		{"library, searched", "/studies?q=" + url.QueryEscape("mesure fast"), lead},
		{"board", "/studies/" + t.study, lead},
		{"log", "/studies/" + t.study + "/log", lead},
		{"ballot", "/t/" + t.tokens[assessorsEach-1], guest},
	} {
		var took []time.Duration
		before := s.processor()
		for range timesAsked {
			begun := time.Now()
			answer, err := t.send(ctx, page.by, page.path, nil)
			if err != nil {
				return err
			}
			if !strings.Contains(answer, "</html>") {
				return fmt.Errorf("%s is no page", page.path)
			}
			took = append(took, time.Since(begun))
		}
		fmt.Fprintf(out, "%-20s %s, processor %.1f ms\n", page.name, percentiles(took),
			1000*(s.processor()-before).Seconds()/timesAsked)
	}
	return nil
}

// copied are the tables of a study's rows, each after those that it refers to.
var copied = []string{"studies", "sittings", "assessors", "turns", "servings", "answered_turns", "answers",
	"submissions", "events", "log_ends"}

// apart are the columns whose values differ from study to study.
var apart = []string{"id", "study_id", "series", "sitting_id", "join_token", "assessor_id", "token_hash", "turn_id",
	"serving_id"}

// copyStudies puts so many closed copies of a study beside it.
func copyStudies(ctx context.Context, dsn, study string, copies int) error {
	db, err := openBare(dsn)
	if err != nil {
		return err
	}
	defer db.Close()
	for _, table := range copied {
		statement, err := copyStatement(ctx, db, table)
		if err != nil {
			return err
		}
		tx, err := db.BeginTx(ctx, nil)
		if err != nil {
			return err
		}
		for i := range copies {
			if _, err := tx.ExecContext(ctx, statement, fmt.Sprint("-", i)); err != nil {
				return errors.Join(fmt.Errorf("copy %s: %w", table, err), tx.Rollback())
			}
		}
		if err := tx.Commit(); err != nil {
			return err
		}
	}
	_, err = db.ExecContext(ctx, `UPDATE studies SET state = 'closed', closed_at = created_at, differences_kept = TRUE
		WHERE id <> $1`, study)
	return err
}

// copyStatement adds each row of a table that is of no copy once more, with another id. Its
// one value is what is put behind ids.
func copyStatement(ctx context.Context, db *sql.DB, table string) (string, error) {
	rows, err := db.QueryContext(ctx, "SELECT * FROM "+table+" LIMIT 0")
	if err != nil {
		return "", err
	}
	columns, err := rows.Columns()
	if err := errors.Join(err, rows.Close()); err != nil {
		return "", err
	}
	marked := "id"
	switch table {
	case "events", "log_ends":
		marked = "study_id"
	case "answered_turns", "answers", "submissions":
		marked = "turn_id"
	}
	values := make([]string, len(columns))
	for i, c := range columns {
		values[i] = c
		if slices.Contains(apart, c) {
			values[i] = c + " || $1"
		}
	}
	return fmt.Sprintf("INSERT INTO %s (%s) SELECT %s FROM %s WHERE %s NOT LIKE '%%-%%'", table,
		strings.Join(columns, ", "), strings.Join(values, ", "), table, marked), nil
}

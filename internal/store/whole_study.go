package store

import (
	"bufio"
	"bytes"
	"context"
	"database/sql"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"

	"gorm.io/gorm"

	"cloche/internal/panel"
)

// WholeFormat is the form of a whole study.
const WholeFormat = 1

// wholeHead is the first line of a whole study.
type wholeHead struct {
	Cloche string        `json:"cloche"` // "study"
	Format int           `json:"format"`
	Tables int64         `json:"version"` // of the tables
	Study  panel.StudyID `json:"study"`
}

// wholeTable comes before the rows of a table.
type wholeTable struct {
	Table   string           `json:"table"`
	Columns []ArchivedColumn `json:"columns"`
}

// wholeTables are the tables of a whole study, each after those that it refers to, with which of
// their rows are a study's. What is not here stays behind: links and sessions, what phones sent
// word for word, acts of the floor by their ids, and what the service finds out by itself.
var wholeTables = []struct{ name, where string }{
	{"studies", "id = @study"},
	{"photos", "study_id = @study"},
	{"countersignatures", "study_id = @study"},
	{"time_stamps", "study_id = @study"},
	{"turns", "study_id = @study"},
	{"servings", itsTurns},
	{"spare_codes", "study_id = @study"},
	{"dropped_codes", itsServings},
	{"incidents", itsTurns},
	{"sittings", "study_id = @study"},
	{"declines", itsSittings},
	{"assessors", "study_id = @study"},
	{"dealt", "study_id = @study"},
	{"answered_turns", itsTurns},
	{"answers", itsTurns},
	{"replaced_turns", itsTurns},
	{"replaced_answers", itsReplaced},
	{"temperatures", itsSittings},
	{"events", "study_id = @study"},
	{"log_ends", "study_id = @study"},
}

// How a column leaves the service that is not to leave it as it is.
type hidden int

const (
	blank  hidden = iota // as in a row in which nothing is noted
	null                 // likewise, where that is NULL
	byID                 // another text for each row, made of its id
	byTurn               // made of which row it is
)

// withoutSecrets are the columns that leave the service as something else: tokens of links, which
// end there, and where guests sat. What is noted of the study on this service alone starts anew on
// the other.
var withoutSecrets = map[string]hidden{
	"studies.archived_at": null, "studies.exported_at": null, "studies.differences_kept": blank,
	"sittings.join_token": byID, "declines.nonce_hash": byTurn,
	"assessors.token_hash": byID, "assessors.seat": blank, "assessors.table_number": blank,
	"assessors.table_seat": blank,
}

// instead is what stands for a value that is hidden in row n of a table, which has an id.
func (h hidden) instead(kind, id string, n int) any {
	switch h {
	case byID:
		return "moved/" + id
	case byTurn:
		return fmt.Sprintf("moved/%06d", n)
	case blank:
		return map[string]any{"text": "", "integer": int64(0), "boolean": false}[kind]
	case null:
	}
	return nil
}

// numbered are the columns that a database numbers by itself, and those that refer to them.
var numbered = map[string]string{"dropped_codes.id": "dropped_codes", "replaced_turns.id": "replaced_turns",
	"replaced_answers.replaced_id": "replaced_turns", "temperatures.id": "temperatures",
	"temperatures.corrects": "temperatures"}

// owners are the columns that say whose a row is: what they hold has to be in the same study.
var owners = map[string]string{"study_id": "studies", "turn_id": "turns", "serving_id": "servings",
	"sitting_id": "sittings", "assessor_id": "assessors", "amends": "studies", "series": "studies"}

// maybeNobodys are those of them that may hold "": the first version, and what is about a whole turn.
var maybeNobodys = []string{"amends", "serving_id"}

// WriteWhole writes a closed study with the versions before it, row by row: lines of JSON, the
// same ones for the same study on any database. [panel.ErrWrongState] when it is not closed.
func (s *Store) WriteWhole(ctx context.Context, id panel.StudyID, w io.Writer) error {
	err := s.snapshot(ctx, func(tx *sql.Tx) error {
		versions, err := versionsUpTo(ctx, tx, s.kind(), id)
		if err != nil {
			return err
		}
		version, err := versionOf(ctx, tx, s.kind())
		if err != nil {
			return err
		}
		shapes, err := columnsOf(ctx, tx, s.kind())
		if err != nil {
			return err
		}
		if err := writeLine(w, wholeHead{"study", WholeFormat, version, id}); err != nil {
			return err
		}
		numbers := newNumbers()
		for _, version := range versions {
			for _, t := range wholeTables {
				err := writeWholeTable(ctx, tx, s.kind(), shapeOf(shapes, t.name), t.where, version, numbers, w)
				if err != nil {
					return fmt.Errorf("table %s: %w", t.name, err)
				}
			}
		}
		return nil
	})
	if err != nil {
		return fmt.Errorf("write a whole study: %w", translated(err))
	}
	return nil
}

// versionsUpTo are the versions of a closed study up to it, the first one first.
func versionsUpTo(ctx context.Context, tx *sql.Tx, kind string, id panel.StudyID) (ids []string, err error) {
	var state, series string
	var number int
	err = tx.QueryRowContext(ctx, marked(kind, "SELECT state, series, version FROM studies WHERE id = @study"),
		string(id)).Scan(&state, &series, &number)
	switch {
	case errors.Is(err, sql.ErrNoRows):
		return nil, panel.ErrNotFound
	case err != nil:
		return nil, err
	case state != panel.Closed.String():
		return nil, panel.ErrWrongState
	}
	rows, err := tx.QueryContext(ctx, fmt.Sprintf("%s AND version <= %d ORDER BY version",
		marked(kind, "SELECT id FROM studies WHERE series = @study"), number), series)
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	for rows.Next() {
		var one string
		if err := rows.Scan(&one); err != nil {
			return nil, err
		}
		ids = append(ids, one)
	}
	return ids, rows.Err()
}

// marked puts the database's mark for the first argument in the place of @study.
func marked(kind, query string) string {
	if kind == "postgres" {
		return strings.ReplaceAll(query, "@study", "$1")
	}
	return strings.ReplaceAll(query, "@study", "?1")
}

func shapeOf(shapes []tableShape, name string) tableShape {
	i := slices.IndexFunc(shapes, func(t tableShape) bool { return t.name == name })
	return shapes[i]
}

func writeLine(w io.Writer, line any) error {
	b, err := json.Marshal(line)
	if err == nil {
		_, err = w.Write(append(b, '\n'))
	}
	return err
}

// numbers give what a database numbered by itself numbers from 1, by table.
type numbers map[string]map[int64]int64

func newNumbers() numbers { return numbers{} }

// of is the number of a row, the next one when it has none yet; 0 stays 0.
func (n numbers) of(table string, id int64) int64 {
	if id == 0 {
		return 0
	}
	if n[table] == nil {
		n[table] = map[int64]int64{}
	}
	if n[table][id] == 0 {
		n[table][id] = int64(len(n[table]) + 1)
	}
	return n[table][id]
}

// writeWholeTable writes the rows of one table that are a study's; nothing where there are none.
func writeWholeTable(ctx context.Context, tx *sql.Tx, kind string, shape tableShape, where, study string,
	numbers numbers, w io.Writer) error {
	rows, err := tx.QueryContext(ctx, marked(kind, shape.selectStudy(kind, where)), study)
	if err != nil {
		return err
	}
	defer rows.Close()
	values := make([]any, len(shape.columns))
	into := make([]any, len(values))
	for i := range values {
		into[i] = &values[i]
	}
	var line []byte
	for n := 0; rows.Next(); n++ {
		if n == 0 {
			if err := writeLine(w, wholeTable{shape.name, shape.columns}); err != nil {
				return err
			}
		}
		if err := rows.Scan(into...); err != nil {
			return err
		}
		id := fmt.Sprint(values[0]) // where there is one, it is the first column
		for i, c := range shape.columns {
			column := shape.name + "." + c.Name
			if x, number := values[i].(int64); number && numbered[column] != "" {
				values[i] = numbers.of(numbered[column], x)
			}
			if h, yes := withoutSecrets[column]; yes {
				values[i] = h.instead(c.Kind, id, n)
			}
		}
		if line, err = appendRow(line[:0], shape.columns, values); err != nil {
			return err
		}
		if _, err := w.Write(line); err != nil {
			return err
		}
	}
	return rows.Err()
}

// selectStudy reads the rows of a study, by the primary key.
func (t tableShape) selectStudy(kind, where string) string {
	all := t.selectAll(kind)
	order := strings.LastIndex(all, " ORDER BY ")
	return all[:order] + " WHERE " + where + all[order:]
}

// WholeError says that lines are no whole study, and which.
type WholeError struct {
	Line int
	What string
}

func (e *WholeError) Error() string { return fmt.Sprintf("line %d: %s", e.Line, e.What) }

// TakeWhole adds a whole study, all or nothing, and logs e. [panel.ErrThere] when one of its
// versions is on this service already; a [WholeError] when the lines are no whole study, or rows
// in them are another study's.
func (s *Store) TakeWhole(ctx context.Context, id panel.StudyID, lines []byte, e panel.Event) error {
	return s.writing(ctx, "take a whole study", func(tx *gorm.DB) error {
		pool := tx.Statement.ConnPool
		version, err := versionOf(ctx, pool, s.kind())
		if err != nil {
			return err
		}
		shapes, err := columnsOf(ctx, pool, s.kind())
		if err != nil {
			return err
		}
		in := taking{kind: s.kind(), shapes: shapes, ids: map[string]map[string]bool{"studies": {}}, tx: pool, ctx: ctx,
			numbers: numbers{}}
		if err := in.all(lines, wholeHead{"study", WholeFormat, version, id}); err != nil {
			return err
		}
		for taken := range in.ids["studies"] {
			if err := dropVerdict(tx, panel.StudyID(taken)); err != nil {
				return err
			}
			entries, end, err := entriesOf(ctx, pool, panel.StudyID(taken))
			if err != nil {
				return err
			}
			if faults := panel.LogFaults(entries, end); len(faults) > 0 || len(entries) == 0 {
				said := ""
				for _, fault := range faults {
					said += fault.String() + "; "
				}
				return &WholeError{1, fmt.Sprintf("the log of study %s is not whole: %sit has %d entries", taken, said,
					len(entries))}
			}
		}
		return appendEvent(tx, e)
	})
}

// taking is a whole study that is being taken.
type taking struct {
	ctx     context.Context
	tx      gorm.ConnPool
	kind    string
	shapes  []tableShape
	ids     map[string]map[string]bool // of the rows taken so far, by table
	numbers numbers                    // given here, by table and number in the file
	table   tableShape
	insert  *sql.Stmt
	series  string // that its versions are of
}

// all takes every line, or says which cannot be.
func (t *taking) all(lines []byte, want wholeHead) (err error) {
	defer func() {
		if t.insert != nil {
			err = errors.Join(err, t.insert.Close())
		}
	}()
	in := bufio.NewReader(bytes.NewReader(lines))
	for n := 1; ; n++ {
		line, err := in.ReadBytes('\n')
		if errors.Is(err, io.EOF) && len(line) == 0 {
			break
		}
		switch {
		case n == 1:
			err = headIs(line, want)
		case bytes.HasPrefix(line, []byte("{")):
			err = t.begin(line)
		default:
			err = t.row(line)
		}
		if err != nil && !errors.Is(err, panel.ErrThere) {
			return &WholeError{n, err.Error()}
		}
		if err != nil {
			return err
		}
	}
	if !t.ids["studies"][string(want.Study)] {
		return &WholeError{1, "it holds no study " + string(want.Study)}
	}
	return nil
}

func headIs(line []byte, want wholeHead) error {
	var head wholeHead
	if err := json.Unmarshal(line, &head); err != nil || head.Cloche != want.Cloche || head.Study != want.Study {
		return errors.New("this is no whole study of that id")
	}
	if head.Format != want.Format || head.Tables != want.Tables {
		return fmt.Errorf("it has format %d with tables of version %d; this program has %d with %d: use the same "+
			"release on both machines", head.Format, head.Tables, want.Format, want.Tables)
	}
	return nil
}

// begin begins a table.
func (t *taking) begin(line []byte) error {
	var head wholeTable
	if err := json.Unmarshal(line, &head); err != nil {
		return err
	}
	known := slices.ContainsFunc(wholeTables, func(x struct{ name, where string }) bool { return x.name == head.Table })
	if !known {
		return fmt.Errorf("table %q is none of a study", head.Table)
	}
	shape := shapeOf(t.shapes, head.Table)
	if !sameColumns(head.Columns, shape.columns) {
		return fmt.Errorf("table %s has other columns", head.Table)
	}
	shape.columns = head.Columns
	if t.insert != nil {
		if err := t.insert.Close(); err != nil {
			return err
		}
	}
	var err error
	t.table = shape
	t.insert, err = t.tx.PrepareContext(t.ctx, shape.insert(t.kind))
	return err
}

// row takes a row of the table that was begun.
func (t *taking) row(line []byte) error {
	if t.insert == nil {
		return errors.New("a row before any table")
	}
	values, err := readRow(line, t.table.columns)
	if err != nil {
		return err
	}
	for i, c := range t.table.columns {
		if of, yes := numbered[t.table.name+"."+c.Name]; yes {
			if values[i], err = t.number(of, c.Name, values[i]); err != nil {
				return err
			}
		}
		text, isText := values[i].(string)
		if t.table.name == "studies" {
			if err := t.version(c.Name, text); err != nil {
				return err
			}
		}
		if c.Name == "id" && isText {
			if err := t.own(text); err != nil {
				return err
			}
		}
		none := text == "" && slices.Contains(maybeNobodys, c.Name)
		if of, yes := owners[c.Name]; yes && isText && !none && !t.ids[of][text] {
			return fmt.Errorf("a row of %s whose %s is none of this study", t.table.name, c.Name)
		}
	}
	_, err = t.insert.ExecContext(t.ctx, values...)
	return err
}

// version holds a column of a version to what came before: all are of one study, and none is
// still to be tasted.
func (t *taking) version(column, text string) error {
	switch {
	case column == "state" && text != panel.Closed.String() && text != panel.Locked.String():
		return fmt.Errorf("a study that is %q: only what is closed moves", text)
	case column != "series":
		return nil
	case t.series != "" && t.series != text:
		return errors.New("versions of more than one study")
	}
	t.series = text
	return nil
}

// own notes the id of a row as one of this study.
func (t *taking) own(id string) error {
	if t.ids[t.table.name] == nil {
		t.ids[t.table.name] = map[string]bool{}
	}
	t.ids[t.table.name][id] = true
	if t.table.name != "studies" {
		return nil
	}
	var there int
	query := marked(t.kind, "SELECT count(*) FROM studies WHERE id = @study")
	err := t.tx.QueryRowContext(t.ctx, query, id).Scan(&there)
	if err == nil && there > 0 {
		return panel.ErrThere
	}
	return err
}

// number is the number of this database for one in the file.
func (t *taking) number(table, column string, value any) (any, error) {
	given, ok := value.(int64)
	if !ok || given == 0 && column != "id" {
		return value, nil
	}
	if t.numbers[table] == nil {
		t.numbers[table] = map[int64]int64{}
	}
	if column != "id" {
		if t.numbers[table][given] == 0 {
			return nil, fmt.Errorf("%s is no number of a row before", column)
		}
		return t.numbers[table][given], nil
	}
	next := "SELECT COALESCE(max(id), 0) + 1 FROM " + quoted(table)
	if t.kind == "postgres" {
		next = "SELECT nextval(pg_get_serial_sequence('" + table + "', 'id'))"
	}
	var id int64
	err := t.tx.QueryRowContext(t.ctx, next).Scan(&id)
	t.numbers[table][given] = id
	return id, err
}

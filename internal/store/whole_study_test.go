package store

import (
	"bytes"
	"encoding/json"
	"regexp"
	"slices"
	"strings"
	"testing"

	"cloche/internal/panel"
)

// staysBehind are the tables of which nothing moves with a study, with the reason.
var staysBehind = map[string]string{
	"draft_texts":        "none once a study is locked",
	"found_differences":  "the service finds them by itself in what was rated",
	"verdict_lines":      "likewise, and by build",
	"joined_studies":     "what the lead took into this house's record, by itself",
	"joined_differences": "likewise",
	"shared_reports":     "a link that follows from the secret of this service",
	"freed_links":        "links of guests",
	"staff_links":        "links of kitchen and floor",
	"sessions":           "who is signed in here",
	"invitations":        "likewise",
	"passkeys":           "likewise",
	"users":              "likewise",
	"user_roles":         "likewise",
	"submissions":        "which of a phone's messages came, by ids that phones made: what counts stands in answers",
	"acts":               "likewise of the staff's phones: what they did stands in the tables and the log",
	"settings":           "of this service, passwords among them",
}

// TestMovingAStudyCoversEveryTable fails when a table, or a column that may be a secret, is added and
// nobody has said whether it moves.
func TestMovingAStudyCoversEveryTable(t *testing.T) {
	s := openSQLite(t)
	fillEverything(t, s)
	pool, err := s.read.DB()
	must(t, err)
	tx, err := pool.BeginTx(t.Context(), nil)
	must(t, err)
	f := readFiller(t, tx)
	must(t, tx.Rollback())

	closed := f.value("studies", ArchivedColumn{Name: "id", Kind: "text"}, 0).(string)
	for _, statement := range []string{"UPDATE studies SET state = 'closed' WHERE id = ?",
		"UPDATE events SET study_id = ? WHERE number = 1", "UPDATE log_ends SET study_id = ? WHERE number = 1"} {
		must(t, s.write.Exec(statement, closed).Error)
	}
	var lines bytes.Buffer
	must(t, s.WriteWhole(t.Context(), panel.StudyID(closed), &lines))
	rows := map[string]int{}
	table := ""
	for line := range strings.Lines(lines.String()) {
		var head wholeTable
		if json.Unmarshal([]byte(line), &head) == nil {
			table = head.Table
			continue
		}
		rows[table]++
	}

	moving := func(name string) bool {
		return slices.ContainsFunc(wholeTables, func(x struct{ name, where string }) bool { return x.name == name })
	}
	for _, shape := range f.shapes {
		switch reason, stays := staysBehind[shape.name]; {
		case moving(shape.name) == stays:
			t.Errorf("%s: one of wholeTables and staysBehind has to hold it, and not both", shape.name)
		case stays && reason == "":
			t.Errorf("%s stays behind without a reason", shape.name)
		case stays && rows[shape.name] > 0, !stays && rows[shape.name] != 1:
			t.Errorf("%s: %d rows of the one study move", shape.name, rows[shape.name])
		}
	}
	for name := range staysBehind {
		if !slices.ContainsFunc(f.shapes, func(x tableShape) bool { return x.name == name }) {
			t.Errorf("%s stays behind, and there is no such table", name)
		}
	}
	wantSecretsHidden(t, f.shapes, moving)
	for name, to := range f.refers {
		table, column, _ := strings.Cut(name, ".")
		if moving(table) && owners[column] == "" && numbered[name] != to[0] {
			t.Errorf("%s may refer to another study: one of owners and numbered has to hold it", name)
		}
	}
}

// maySay finds columns by which somebody may be found, or get in.
var maySay = regexp.MustCompile(`token|nonce|seat|secret|password|link|contact|mail|hash|^table_|_once$`)

// saysNothing are columns of that kind that may leave, as hashes of what the package holds beside them.
var saysNothing = []string{"studies.study_hash", "studies.plan_hash", "countersignatures.study_hash",
	"countersignatures.plan_hash", "events.hash", "log_ends.hash"}

func wantSecretsHidden(t *testing.T, shapes []tableShape, moving func(string) bool) {
	t.Helper()
	known := map[string]bool{}
	for _, shape := range shapes {
		for _, c := range shape.columns {
			name := shape.name + "." + c.Name
			known[name] = true
			_, hidden := withoutSecrets[name]
			if moving(shape.name) && maySay.MatchString(c.Name) && hidden == slices.Contains(saysNothing, name) {
				t.Errorf("%s: one of withoutSecrets and saysNothing has to hold it, and not both", name)
			}
			if byDatabase := len(shape.key) == 1 && c.Name == shape.key[0] && c.Kind == "integer"; moving(shape.name) &&
				byDatabase != (numbered[name] == shape.name) && c.Name == "id" {
				t.Errorf("%s is numbered by the database, and not anew", name)
			}
		}
	}
	for name := range withoutSecrets {
		if !known[name] {
			t.Errorf("%s is hidden, and there is no such column", name)
		}
	}
	for name := range numbered {
		if !known[name] {
			t.Errorf("%s is numbered, and there is no such column", name)
		}
	}
}

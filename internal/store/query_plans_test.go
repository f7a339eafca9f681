package store

import (
	"context"
	"fmt"
	"maps"
	"regexp"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"gorm.io/gorm"
	"gorm.io/gorm/logger"
)

// statements notes what a database is asked, without values.
type statements struct {
	logger.Interface
	mu   sync.Mutex
	seen map[string]bool
}

func (n *statements) LogMode(logger.LogLevel) logger.Interface { return n }

func (n *statements) Trace(_ context.Context, _ time.Time, statement func() (string, int64), _ error) {
	asked, _ := statement()
	n.mu.Lock()
	defer n.mu.Unlock()
	n.seen[asked] = true
}

func (n *statements) ParamsFilter(_ context.Context, statement string, _ ...any) (string, []any) {
	return statement, nil
}

// growing are the tables that grow with guests. Studies are listed whole, and sessions are
// those of whoever is signed in.
var growing = regexp.MustCompile(`\bSCAN (turns|servings|assessors|answered_turns|answers|submissions|` +
	`replaced_turns|replaced_answers|events|acts|dropped_codes|sittings|dealt|draft_texts|temperatures|incidents)\b`)

// noted is a store that notes its statements.
func noted(s *Store, in *statements) *Store {
	s.write = s.write.Session(&gorm.Session{Logger: in})
	s.read = s.read.Session(&gorm.Session{Logger: in})
	return s
}

// checkPlans fails for statements with which SQLite would go through a whole table that
// grows with guests.
func checkPlans(t *testing.T, in *statements) {
	if len(in.seen) < 20 {
		t.Fatalf("%d statements were noted", len(in.seen))
	}
	s := openSQLite(t)
	for _, statement := range slices.Sorted(maps.Keys(in.seen)) {
		if !slices.Contains([]string{"SELECT", "UPDATE", "DELETE", "INSERT", "WITH"}, strings.Fields(statement)[0]) {
			continue // SAVEPOINT and the like
		}
		if _, conditions, ok := strings.Cut(statement, "WHERE"); ok && bare.MatchString(conditions) {
			t.Errorf("%s\nis planned anew each time: see sqliteDialect", statement)
		}
		plan, err := planOf(t.Context(), s, statement)
		if err != nil {
			t.Errorf("%s: %v", statement, err)
			continue
		}
		// Who checks the logs reads every entry.
		if growing.MatchString(plan) && !strings.Contains(statement, "UNION SELECT study_id FROM log_ends") {
			t.Errorf("%s\n%s", statement, plan)
		}
	}
}

// bare is a value that a condition compares with as it is.
var bare = regexp.MustCompile(`[^<>]= (\?|\$\d)`)

var place = regexp.MustCompile(`\?|\$\d+`)

// planOf is how SQLite would find what a statement asks for, a step on each line.
func planOf(ctx context.Context, s *Store, statement string) (string, error) {
	pool, err := s.read.DB()
	if err != nil {
		return "", err
	}
	all := place.FindAllString(statement, -1)
	slices.Sort(all)
	if len(all) > 0 && all[0] != "?" {
		all = slices.Compact(all)
	}
	rows, err := pool.QueryContext(ctx, "EXPLAIN QUERY PLAN "+statement, make([]any, len(all))...)
	if err != nil {
		return "", err
	}
	defer rows.Close()
	var plan strings.Builder
	for rows.Next() {
		var id, parent, unused int
		var step string
		if err := rows.Scan(&id, &parent, &unused, &step); err != nil {
			return "", err
		}
		fmt.Fprintln(&plan, step)
	}
	return plan.String(), rows.Err()
}

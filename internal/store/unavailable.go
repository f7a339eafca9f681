package store

import (
	"context"
	"database/sql"
	"errors"
	"net"
	"strings"
	"time"

	"github.com/jackc/pgx/v5/pgconn"
	"github.com/mattn/go-sqlite3"
)

// patience bounds a call, however many wait for the database: longer than 200
// phones that all write at once take on a slow machine, shorter than the server
// keeps a request.
const patience = 25 * time.Second

// pgUnavailable are beginnings of states in which PostgreSQL cannot serve for a
// while: PostgreSQL 15 documentation, appendix A, "PostgreSQL Error Codes".
var pgUnavailable = []string{
	"08",    // connection exception
	"25006", // read-only transaction, as on a standby
	"53",    // insufficient resources: disk full, out of memory, too many connections
	"57P",   // operator intervention: shutdown, crash, starting
	"58",    // system error, such as one of input and output
}

// unavailable tells whether an error will pass, or be mended, without a change of
// what was asked: then the answer to the caller is to come again. An error of
// SQLite is told by its primary code (SQLite documentation, "Result and Error
// Codes").
func unavailable(err error) bool {
	var file sqlite3.Error
	if errors.As(err, &file) {
		switch file.Code {
		case sqlite3.ErrBusy, sqlite3.ErrLocked, sqlite3.ErrFull, sqlite3.ErrIoErr, sqlite3.ErrReadonly,
			sqlite3.ErrCantOpen, sqlite3.ErrInterrupt:
			return true
		}
		return false
	}
	var attempt *pgconn.ConnectError
	if errors.As(err, &attempt) {
		return true
	}
	var server *pgconn.PgError
	if errors.As(err, &server) {
		for _, begin := range pgUnavailable {
			if strings.HasPrefix(server.Code, begin) {
				return true
			}
		}
		return false
	}
	var network *net.OpError
	return errors.As(err, &network) || connectionLost(err) ||
		pgconn.Timeout(err) || errors.Is(err, context.DeadlineExceeded) ||
		errors.Is(err, sql.ErrTxDone) // what a commit says whose time was up: it was rolled back
}

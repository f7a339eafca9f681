package panel

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"strconv"
	"strings"

	"cloche/internal/study"
)

// Entry is an event as a log keeps it: it holds the hash of the one before, so that a
// line that was changed, taken out or moved no longer fits. Each study has a log, and
// the service has one.
type Entry struct {
	Event
	Number int    // within its log, from 1
	Before string // hash of the entry before; "" for the first
	Hash   string // of this entry: [Entry.Sum]
}

// LogEnd says how far a log goes. It is kept beside the log, so that a log that was cut
// off no longer fits it. The zero value is the end of a log without entries.
type LogEnd struct {
	Number int    // of the last entry
	Hash   string // of that
}

// String writes an end as somebody may note it down and [ParseLogEnd] reads it.
func (e LogEnd) String() string { return strconv.Itoa(e.Number) + ":" + e.Hash }

// ParseLogEnd reads NUMBER:HASH.
func ParseLogEnd(text string) (LogEnd, error) {
	number, hash, _ := strings.Cut(strings.TrimSpace(text), ":")
	n, err := strconv.Atoi(number)
	if _, notHex := hex.DecodeString(hash); err != nil || n < 1 || notHex != nil || len(hash) != 2*sha256.Size {
		return LogEnd{}, fmt.Errorf("%w: %q is no end of a log; write its number, a colon and its %d signs, as they "+
			"stand under the log", ErrBadValue, text, 2*sha256.Size)
	}
	return LogEnd{n, strings.ToLower(hash)}, nil
}

// logTime is how the log writes a moment: UTC, to the microsecond, which is what is kept.
const logTime = "2006-01-02T15:04:05.000000Z"

// inLine keeps what somebody wrote within its column of a line.
var inLine = strings.NewReplacer(`\`, `\\`, "\t", `\t`, "\n", `\n`, "\r", `\r`)

// Line is what an entry says, in one line of columns parted by tabs: hash of the entry
// before, number, moment, study, who, what, detail. In these a backslash stands before a
// backslash, and for tab and end of line \t, \n and \r.
func (e Entry) Line() string {
	return strings.Join([]string{e.Before, strconv.Itoa(e.Number), e.At.UTC().Format(logTime), inLine.Replace(
		string(e.StudyID)), inLine.Replace(e.Who), inLine.Replace(e.What), inLine.Replace(e.Detail)}, "\t")
}

// Sum is the SHA-256 of [Entry.Line], in hexadecimal digits.
func (e Entry) Sum() string {
	sum := sha256.Sum256([]byte(e.Line()))
	return hex.EncodeToString(sum[:])
}

// Next makes the entry that follows the end of a log, and the end after it.
func (e LogEnd) Next(event Event) (Entry, LogEnd) {
	next := Entry{Event: event, Number: e.Number + 1, Before: e.Hash}
	next.Hash = next.Sum()
	return next, LogEnd{next.Number, next.Hash}
}

// LogFaults says what does not fit in a log, as its entries stand by number, with the end
// that is kept beside it; none when it is whole. Whoever can write to the database can
// also make a whole log anew, or cut entries off with the end that goes with them: that
// shows only against an end that was noted elsewhere ([LogEnd.FaultIn]).
func LogFaults(entries []Entry, end LogEnd) []study.Said {
	var faults []study.Said
	fault := func(text string, values ...any) { faults = append(faults, study.Say(text, values...)) }
	last := LogEnd{}
	for _, e := range entries {
		switch from, to := last.Number+1, e.Number-1; {
		case from == to:
			fault("entry %d is missing", from)
		case from < to:
			fault("entries %d to %d are missing", from, to)
		}
		switch stood := e.stoodAt(len(entries) + end.Number); {
		case stood == 0:
			fault("entry %d was changed", e.Number)
		case stood != e.Number:
			fault("entry %d is the one that was written as number %d: it was moved", e.Number, stood)
		case e.Number == last.Number+1 && e.Before != last.Hash:
			fault("entry %d does not follow the one before it, which was changed or is not the one that was written",
				e.Number)
		}
		last = LogEnd{e.Number, e.Hash}
	}
	switch {
	case last.Number < end.Number:
		fault("the end is cut off: it goes to entry %d, and %d were written", last.Number, end.Number)
	case last.Number > end.Number:
		fault("it goes to entry %d, and only %d were written by the service", last.Number, end.Number)
	case last.Hash != end.Hash:
		fault("entry %d is not the last one that was written", last.Number)
	}
	return faults
}

// stoodAt is the number that an entry was written with, up to most; 0 when none makes its hash.
func (e Entry) stoodAt(most int) int {
	if e.Sum() == e.Hash {
		return e.Number
	}
	for e.Number = 1; e.Number <= most; e.Number++ {
		if e.Sum() == e.Hash {
			return e.Number
		}
	}
	return 0
}

// FaultIn says what does not fit between an end that was noted down and a log as it stands
// now; nothing when the log still goes through it.
func (e LogEnd) FaultIn(entries []Entry) study.Said {
	for _, x := range entries {
		if x.Number == e.Number && x.Hash == e.Hash {
			return study.Said{}
		}
		if x.Number == e.Number {
			return study.Say("entry %d is not the one that was noted down: it or what came before it was replaced",
				e.Number)
		}
	}
	return study.Say("entry %d was noted down and is not there", e.Number)
}

// CheckedLog is the log of a study, or of the service, and what was found in it.
type CheckedLog struct {
	StudyID StudyID // "" of the service
	Entries []Entry
	End     LogEnd
	Faults  []study.Said
}

// Text is the log as a file: a line for each entry, [Entry.Line] with its hash behind a
// further tab.
func (l CheckedLog) Text() string {
	var b strings.Builder
	for _, e := range l.Entries {
		b.WriteString(e.Line() + "\t" + e.Hash + "\n")
	}
	return b.String()
}

// CheckLog reads the log of a study, or of the service when studyID is "", and checks that
// it is whole.
func CheckLog(ctx context.Context, kept LogStore, studyID StudyID) (CheckedLog, error) {
	entries, end, err := kept.Entries(ctx, studyID)
	checked := CheckedLog{StudyID: studyID, Entries: entries, End: end, Faults: LogFaults(entries, end)}
	if err == nil && studyID != "" && len(entries) == 0 && end.Number == 0 {
		checked.Faults = []study.Said{study.Say("it is missing: a study has one from its first draft on")}
	}
	return checked, err
}

// CheckLogs checks every log that there is: that of the service first.
func CheckLogs(ctx context.Context, kept LogStore, each func(CheckedLog)) error {
	all, err := kept.Logs(ctx)
	for _, id := range all {
		checked, failed := CheckLog(ctx, kept, id)
		if failed != nil {
			return errors.Join(err, failed)
		}
		each(checked)
	}
	return err
}

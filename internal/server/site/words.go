package site

import (
	"fmt"
	"net/url"
	"strconv"
	"strings"
	"time"

	"cloche/internal/panel"
)

// LongWait is when a wait is marked: plates leave the pass every ninety seconds
// or so, and warm food cools. Common practice, no source.
const LongWait = 3 * time.Minute

// Minutes says how long somebody waits, coarsely: what changes every second is
// hard to read.
func Minutes(w Tongue, d time.Duration) string {
	if d < time.Minute {
		return w.Translate("just now")
	}
	return w.Translate("%d min", int(d.Minutes()))
}

// IsLocal reports whether an address means the computer itself.
func IsLocal(base string) bool {
	u, err := url.Parse(base)
	if err != nil {
		return false
	}
	switch u.Hostname() {
	case "localhost", "127.0.0.1", "::1":
		return true
	}
	return false
}

// RoomTitle heads the pages of kitchen and floor.
func RoomTitle(r panel.Role) string {
	if r == panel.RoleKitchen {
		return "Kitchen"
	}
	return "Floor"
}

// JoinedWords says where everybody stands who has joined. The numbers add up to
// the first, and are the same on the board, in the kitchen and on the floor.
func JoinedWords(w Tongue, l panel.Tally) string {
	if l.Joined() == 0 {
		return w.Translate("No one has joined yet.")
	}
	var parts []string
	for _, x := range tallyWords(l) {
		if x.n > 0 {
			parts = append(parts, fmt.Sprintf("%d %s", x.n, w.Translate(x.words)))
		}
	}
	return w.Translate("Of %d joined: %s.", l.Joined(), strings.Join(parts, ", "))
}

// standing is how many stand somewhere, and in which English words.
type standing struct {
	n     int
	words string
}

// tallyWords are where those can stand who have joined.
func tallyWords(l panel.Tally) []standing {
	return []standing{
		{l.Starting, "starting"}, {l.Reading, "reading names"}, {l.Waiting, "waiting for a plate"},
		{l.Tasting, "tasting"},
		{l.Rinsing, "rinsing"}, {l.Elsewhere, "at another sitting"}, {l.Finished, "finished"},
		{l.Left, "left early"}, {l.Withdrawn, "deleted their answers"}, {l.Stopped, "stopped by the close"},
	}
}

func Degrees(c float64) string { return strconv.FormatFloat(c, 'f', -1, 64) + "\u00a0°C" }

// Sentence makes a sentence of words that begin small and end without a stop.
func Sentence(s string) string {
	if s == "" {
		return s
	}
	r := []rune(s)
	s = strings.ToUpper(string(r[0])) + string(r[1:])
	if strings.ContainsAny(s[len(s)-1:], ".!?") {
		return s
	}
	return s + "."
}

func Number(x float64) string { return strconv.FormatFloat(x, 'g', 6, 64) }

// Short cuts a file's name to a length that fits a line of the log.
func Short(name string) string {
	if r := []rune(name); len(r) > 80 {
		return string(r[:80]) + "…"
	}
	return name
}

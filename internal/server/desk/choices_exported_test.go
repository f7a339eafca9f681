package desk_test

import (
	"encoding/csv"
	"fmt"
	"strings"
	"testing"

	"cloche/internal/panel"
	"cloche/internal/server/servertest"
)

// TestChoicesAreExported: a test of choices is run to its end, says what it found, and
// gives its answers away with the key.
func TestChoicesAreExported(t *testing.T) {
	f := servertest.New(t)
	id, join := f.InState(servertest.Smokiest, panel.Open)
	token := f.Began(join, "a-guest-with-a-tray-1")
	want := map[string]string{}
	for seq := 1; ; seq++ {
		b, err := f.Svc.Ballot(t.Context(), token)
		f.Must(err)
		if b.Stage != panel.StageServing {
			break
		}
		_, err = f.Svc.Submit(t.Context(), token, panel.Submission{ID: fmt.Sprint(seq), TurnID: b.Turn.ID,
			Given: map[string]string{"choice": "2"}})
		f.Must(err)
		for i, p := range b.Turn.Plates {
			if len(b.Turn.Plates) > 1 {
				want[fmt.Sprint(seq, " ", p.Code)] = fmt.Sprint("choice ", map[bool]int{true: 1}[i == 1])
			}
		}
	}
	f.Must(f.Svc.Close(t.Context(), servertest.ByLead, id))
	if p := f.Lead().Get("/studies/" + string(id)); p.Status != 200 ||
		!strings.Contains(p.HTML().Find("main").Text(), "Too few answers to say whether people find ") {
		t.Errorf("the closed study: status %d, %s", p.Status, p.HTML().Find("main").Text())
	}
	rows, err := csv.NewReader(strings.NewReader(f.InPackage(id, "ratings.csv"))).ReadAll()
	f.Must(err)
	if head := strings.Join(rows[0][:8], ","); head != "assessor,turn,position,code,dish,name,attribute,value" {
		t.Errorf("columns %s", head)
	}
	if len(rows)-1 != len(want) {
		t.Errorf("%d rows, want %d", len(rows)-1, len(want))
	}
	for _, row := range rows[1:] {
		if at := row[1] + " " + row[3]; want[at] != row[6]+" "+row[7] || row[4] == "" {
			t.Errorf("row %q, want %s", row, want[at])
		}
	}
	if key := f.InPackage(id, "key.csv"); !strings.Contains(key, ",warm-up,") || strings.Count(key, "\n") != 1+4*7 {
		t.Errorf("the key has other rows than one a plate:\n%s", key)
	}
}

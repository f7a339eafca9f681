package study

import "testing"

// A value in brackets keeps its quotes when another on its line goes or comes.
func TestQuotesStayBesideAChange(t *testing.T) {
	const file = "cloche: 1\nnames:\n  - {id: a, text: \"Is it salt?\"}\n  - {id: 'b', text: 'it''s sweet'}\n"
	text, problems := OpenText("", []byte(file))
	if text == nil {
		t.Fatal(problems)
	}
	for _, step := range []struct{ path, value, want string }{
		{"names[0].id", "x", "cloche: 1\nnames:\n  - {id: x, text: \"Is it salt?\"}\n  - {id: 'b', text: 'it''s " +
			"sweet'}\n"},
		{"names[1].id", "", "cloche: 1\nnames:\n  - {id: x, text: \"Is it salt?\"}\n  - {text: 'it''s sweet'}\n"},
		{"names[0].text", "other", "cloche: 1\nnames:\n  - {id: x, text: other}\n  - {text: 'it''s sweet'}\n"},
	} {
		if err := text.Set(step.path, step.value); err != nil {
			t.Fatal(err)
		}
		if got := string(text.Bytes()); got != step.want {
			t.Errorf("%s = %q:\n%s\nwant\n%s", step.path, step.value, got, step.want)
		}
	}
}

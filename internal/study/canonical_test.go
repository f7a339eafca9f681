package study

import (
	"encoding/json"
	"fmt"
	"math"
	"os"
	"reflect"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

// full is a study with something in every field. It need not be sound.
func full() *Study {
	return &Study{
		Title: "t", Question: Naming, Hypothesis: "h", Invented: true, Languages: []string{"en", "fr"},
		Dishes: []Dish{{ID: "d", Title: "t", Portion: "p", ServeAt: 55.5, Allergens: []Allergen{"eggs", "milk"},
			AlsoContains: []string{"n"}, Alcohol: true}},
		Names: []Name{{ID: "n", Text: "crème \"brûlée\"\n"}},
		Samples: []Sample{
			{ID: "A", Dish: "d", Name: "n"},
		},
		Attributes: []Attribute{{ID: "a", Ask: "q", Scale: Scale{Kind: Line, Low: "l", High: "h", From: -1.5, To: 7,
			Labels: []string{"x"}}}},
		Panel: Panel{Assessors: 40, Sittings: 2, Seats: 20, MinimumAge: 18, WithdrawalDays: 3, TellResult: true,
			LastQuestion: AskWhich,
			Screening:    []Screen{{ID: "s", Ask: "q", LeavesOut: Yes}}},
		Serving: Serving{
			Design: Some, PerAssessor: 2, Replicates: 1, WarmUp: "w", FixedReference: "f", Reference: BalancedReference,
			BlindFirst: true, KeepDishesApart: true, Expectation: true, AskHalf: true,
			ShowNumbers: true, Attributes: RotatedOrder,
			TasteOnce: true, OneQuestion: true, TrayOpens: ByFirstCode, PlateGate: true, Blocks: RandomBlocks,
			MaxPerSitting: 4, Codes: CodePerSample, SpareCodes: 3,
			RinseSeconds: 45, PassMinutes: 4, AtOneTable: SameOrder, GraceMinutes: 7, Zone: "Asia/Tokyo",
			Seed: math.MaxUint64, HasSeed: true,
			Strata:   []Stratum{{ID: "s", Ask: "q", Levels: []string{"l"}}},
			Minimise: true,
		},
		Texts: Texts{Welcome: "w", Consent: "c", Instructions: "i", Thanks: "t", Debrief: "d", Comment: "k",
			FirstCompared: "1", SecondCompared: "2"},
		Plan: AnalysisPlan{
			Expected: []SampleID{"B", "A"}, Liking: "saltiness",
			Compare: [2]SampleID{"A", "B"}, Attribute: "a", Test: PairedT, Sides: TwoSided,
			Alpha: 0.05, SmallestEffect: 1e-7, Beta: 0.2, StopEarly: true, Looks: []int{16, 32}, Spending: SpendEvenly,
			Evidence: ByBetting, EvidenceAt: 0.25,
			Adjust:    Holm,
			Undecided: DropUndecided, StopAfter: 30,
			StopBy: "2026-12-05",
		},
		Translations: []Translation{{
			Language: "fr", Names: []Name{{ID: "n", Text: "crème"}},
			Attributes:   []AttributeWords{{ID: "a", Ask: "q", Low: "l", High: "h", Labels: []string{"x"}}},
			Screening:    []ScreenWords{{ID: "s", Ask: "q"}},
			Strata:       []StratumWords{{ID: "s", Ask: "q", Levels: []string{"l"}}},
			AlsoContains: []NoteWords{{Note: "n", Text: "t"}},
			Texts: Texts{Welcome: "w", Consent: "c", Instructions: "i", Thanks: "t", Debrief: "d", Comment: "k",
				FirstCompared: "1", SecondCompared: "2"},
		}},
	}
}

func TestCanonical(t *testing.T) {
	const golden = "../../testdata/study/canonical.json"
	got := Canonical(full())
	if *update {
		if err := os.WriteFile(golden, got, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	if diff := cmp.Diff(read(t, golden), string(got)); diff != "" {
		t.Errorf("canonical form (-want +got):\n%s", diff)
	}
	if !json.Valid(got) {
		t.Error("the canonical form is not JSON")
	}
}

// What is not there is null or empty, never left out.
func TestCanonicalOfLittle(t *testing.T) {
	s := &Study{
		Question: TwoAFC, Samples: []Sample{{ID: "A", Dish: "d"}},
		Attributes: []Attribute{{ID: "salty", Ask: "Which\u2028is \u0001saltier?"}},
	}
	const want = `{"analysis":{"adjust":"","alpha":0,"attribute":"","compare":["",""],"expected_order":[],"sides":"",` +
		`"smallest_effect":0,"stop_after":0,"stop_by":"","test":"","undecided":""},` +
		`"attributes":[{"ask":"Which` + "\u2028" +
		`is \u0001saltier?","id":"salty","scale":null}],"cloche":1,"dishes":[],"hypothesis":"","invented":false,` +
		`"languages":[],"names":[],"panel":{"assessors":0,"minimum_age":0,"screening":[],"seats":0,"sittings":0,` +
		`"withdrawal_days":0},"question":"2-afc","samples":[{"dish":"d","id":"A","name":null}],` +
		`"serving":{"at_one_table":"","attributes":"","blind_first":false,"blocks":"","codes":"",` +
		`"design":"","expectation":false,"expectation_of_half":false,` +
		`"fixed_reference":null,"grace_minutes":0,"keep_dishes_apart":false,` +
		`"minimise":false,"most_per_sitting":0,"pass_minutes":0,"per_assessor":0,"plate_gate":false,` +
		`"reference":null,"replicates":0,"rinse_seconds":0,` +
		`"seed":null,"show_numbers":false,` +
		`"spare_codes":0,"strata":[],"taste_once":false,"tray_opens":"","warm_up":null},` +
		`"texts":{"comment":"","consent":"","debrief":"","instructions":"","thanks":"","welcome":""},"title":"",` +
		`"translations":[]}`
	if diff := cmp.Diff(want, string(Canonical(s))); diff != "" {
		t.Errorf("canonical form (-want +got):\n%s", diff)
	}
}

// The order of allergens means nothing, wherever a study comes from.
func TestHashIgnoresTheOrderOfAllergens(t *testing.T) {
	s, other := full(), full()
	slices.Reverse(other.Dishes[0].Allergens)
	if Hash(s) != Hash(other) {
		t.Error("the hash depends on the order of the allergens")
	}
}

// leaves calls f for every field of a value that holds no others.
func leaves(path string, v reflect.Value, f func(path string, v reflect.Value)) {
	switch v.Kind() {
	case reflect.Struct:
		for i := range v.NumField() {
			leaves(path+"."+v.Type().Field(i).Name, v.Field(i), f)
		}
	case reflect.Pointer:
		leaves(path, v.Elem(), f)
	case reflect.Slice, reflect.Array:
		for i := range v.Len() {
			leaves(fmt.Sprintf("%s[%d]", path, i), v.Index(i), f)
		}
	default:
		f(path, v)
	}
}

// change gives a field another value, and returns how to undo that.
func change(t *testing.T, path string, v reflect.Value) func() {
	t.Helper()
	old := reflect.New(v.Type()).Elem()
	old.Set(v)
	switch v.Kind() {
	case reflect.String:
		v.SetString(v.String() + "x")
	case reflect.Bool:
		v.SetBool(!v.Bool())
	case reflect.Int:
		v.SetInt(v.Int() + 1)
	case reflect.Uint64:
		v.SetUint(v.Uint() - 1)
	case reflect.Float64:
		v.SetFloat(math.Nextafter(v.Float(), 1e9))
	default:
		t.Fatalf("%s is a %s, of which this test knows no other value", path, v.Kind())
	}
	return func() { v.Set(old) }
}

func TestHashSeesEveryField(t *testing.T) {
	s := full()
	s.Plan.EffectOf, s.Plan.Levels = NameFactor, [2]string{"n", "m"}
	// What only a study of amounts has is told of one alone.
	wanted := 50.0
	s.Question, s.AmountsIn, s.Plan.WantedRating = HowMuch, AmountUnit{Unit: "g", Of: "salt", Per: "litre"}, &wanted
	s.Dishes[0].Amount = 6
	want := Hash(s)
	seen := map[string]string{want: "the study itself"}
	n := 0
	leaves("Study", reflect.ValueOf(s).Elem(), func(path string, v reflect.Value) {
		n++
		// A plan compares two samples or all: what is filled in names the two.
		if v.IsZero() && path != "Study.Plan.WholePanel" {
			t.Errorf("%s is not filled in by this test", path)
		}
		undo := change(t, path, v)
		defer undo()
		h := Hash(s)
		if other, ok := seen[h]; ok {
			t.Errorf("a change of %s gives the hash of a change of %s", path, other)
		}
		seen[h] = path
	})
	if n < 50 {
		t.Errorf("%d fields changed, want every one of a study (at least 50)", n)
	}
	if Hash(s) != want {
		t.Error("the hash of an unchanged study differs")
	}
}

func TestHashIgnoresTheWayOfWriting(t *testing.T) {
	plain := read(t, "../../testdata/study/names.yaml")
	want, problems := Parse("names.yaml", []byte(plain))
	if want == nil {
		t.Fatal(problems)
	}
	rearranged := `# A comment.
cloche: 1   # another
"analysis": {attribute: "salty", compare: ["A", 'B'], alpha: 5e-2, sides: two}
texts:
    instructions: >
        Taste and
        answer.

    consent: |
        You may stop at any moment.
serving: {seed: 1, rinse: 30 s, design: all}
panel: {sittings: 1, assessors: 40}

attributes: [{scale: {to: 100, line: [not at all, extremely], from: 0.0}, ask: How salty is it?, id: salty}]
samples:
- {dish: custard, name: brulee, id: A}
- {dish: custard, blind: false, name: royale, id: B}
names: [{text: crème brûlée, id: brulee}, {text: royale, id: royale}]
dishes:
- allergens:
  - milk
  - eggs
  serve at: "55.0 °C"
  portion: 60 g
  title: Custard
  alcohol: false
  id: custard
question: names
title: "Does the name change\
  \ the taste?"
`
	tests := []struct{ name, src string }{
		{"key order, comments, quotes and defaults", rearranged},
		{"carriage returns", strings.ReplaceAll(plain, "\n", "\r\n")},
		{"byte-order mark", "\ufeff" + plain},
		{"no last newline", strings.TrimSuffix(plain, "\n")},
		{"empty lines", strings.ReplaceAll(plain, "\npanel:", "\n\n   \npanel:")},
		{"order of allergens", strings.Replace(plain, "[milk, eggs]", "[eggs, milk]", 1)},
		{"minus sign and units", strings.Replace(plain, "55 °C", "+55.0°C", 1)},
	}
	for _, tc := range tests {
		t.Run(tc.name, func(t *testing.T) {
			if tc.src == plain {
				t.Fatal("the file is not written in another way")
			}
			got, problems := Parse("", []byte(tc.src))
			if got == nil {
				t.Fatal(messages(problems))
			}
			if diff := cmp.Diff(want, got); diff != "" {
				t.Errorf("study (-want +got):\n%s", diff)
			}
			if Hash(got) != Hash(want) {
				t.Errorf("hash %s, want %s", Hash(got), Hash(want))
			}
		})
	}
}

// Numbers as RFC 8785, Appendix B, lists them: the bits of a double and its
// text. The list was written from memory and agrees with JSON.stringify of
// V8 (Node.js 20.20), of which the scheme takes its numbers.
func TestShortestNumbers(t *testing.T) {
	const source = "RFC 8785, Appendix B"
	tests := []struct {
		bits uint64
		want string
	}{
		{0x0000000000000000, "0"},
		{0x8000000000000000, "0"},
		{0x0000000000000001, "5e-324"},
		{0x8000000000000001, "-5e-324"},
		{0x7fefffffffffffff, "1.7976931348623157e+308"},
		{0xffefffffffffffff, "-1.7976931348623157e+308"},
		{0x4340000000000000, "9007199254740992"},
		{0xc340000000000000, "-9007199254740992"},
		{0x4430000000000000, "295147905179352830000"},
		{0x44b52d02c7e14af5, "9.999999999999997e+22"},
		{0x44b52d02c7e14af6, "1e+23"},
		{0x44b52d02c7e14af7, "1.0000000000000001e+23"},
		{0x444b1ae4d6e2ef4e, "999999999999999700000"},
		{0x444b1ae4d6e2ef4f, "999999999999999900000"},
		{0x444b1ae4d6e2ef50, "1e+21"},
		{0x3eb0c6f7a0b5ed8c, "9.999999999999997e-7"},
		{0x3eb0c6f7a0b5ed8d, "0.000001"},
		{0x41b3de4355555553, "333333333.3333332"},
		{0x41b3de4355555554, "333333333.33333325"},
		{0x41b3de4355555555, "333333333.3333333"},
		{0x41b3de4355555556, "333333333.3333334"},
		{0x41b3de4355555557, "333333333.33333343"},
		{0xbecbf647612f3696, "-0.0000033333333333333333"},
		{0x43143ff3c1cb0959, "1424953923781206.2"},
	}
	for _, tc := range tests {
		if got := shortest(math.Float64frombits(tc.bits)); got != tc.want {
			t.Errorf("shortest(%#x) = %s, want %s (%s)", tc.bits, got, tc.want, source)
		}
	}
}

// Hashes that testdata/study/canonical_hash.py prints, which reads the files by
// PyYAML 6.0.3 and writes the canonical form by Python's json module: none of
// this program's code has a part in them.
func TestHashByAnotherProgram(t *testing.T) {
	tests := []struct{ file, want string }{
		{"names.yaml", "fd257cd106f80d547be775384a73e8711ca009d941992ecd0afa4f551a00e0cc"},
		{"languages.yaml", "6d0177c88418160a55e1ac48a25a0ec3c960601fc6fcdad6486a9fe1facb8527"},
		{"sleep.yaml", "e81b7c577054f45a062ae94873e8396dd7de171f74a5ccae593d7984735a84c1"},
		{"triangle.yaml", "0740e5b375e554016f4dd49df2434621c9eab47da06f12720aede5d6d991df73"},
		{"alcohol.yaml", "a946e493e5d4aa4998e0db17a629eb1992cd2b6ebb5823339b7392bed4b003e6"},
	}
	for _, tc := range tests {
		if got := Hash(parse(t, read(t, "../../testdata/study/"+tc.file))); got != tc.want {
			t.Errorf("hash of %s is %s, by Python %s", tc.file, got, tc.want)
		}
	}
}

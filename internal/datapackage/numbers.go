package datapackage

import (
	"bytes"
	_ "embed"
	"encoding/json"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"cloche/internal/study"
)

// analysisR recomputes the numbers of the findings in R; [Data.script] puts what it has
// to know of the analysis plan in front.
//
//go:embed analysis.R
var analysisR string

// script is the program of R for this study.
func (d Data) script() []byte {
	s := d.Study.Spec
	return fmt.Appendf(nil, "plan <- list(question = %q, test = %q, sides = %q, adjust = %q, replicates = %d, "+
		"strata = %d, alpha = %g, beta = %g, smallest = %g, spending = %q, reference = %q, liking = %q, "+
		"expected = %q)\n%s",
		string(s.Question), string(s.Plan.Test), string(s.Plan.Sides), string(s.Plan.Adjust), s.Serving.Replicates,
		len(s.Serving.Strata), s.Plan.Alpha, s.Plan.Beta, s.Plan.SmallestEffect, string(s.Plan.Spending),
		string(s.Serving.Reference),
		string(s.Plan.Liking), joined(s.Plan.Expected), analysisR)
}

// joined are ids, parted by spaces.
func joined(ids []study.SampleID) string {
	all := make([]string, len(ids))
	for i, id := range ids {
		all[i] = string(id)
	}
	return strings.Join(all, " ")
}

// analysisPy does so in Python, with numpy and scipy.
//
//go:embed analysis.py
var analysisPy string

// scriptPy is the program of Python for this study.
func (d Data) scriptPy() ([]byte, error) {
	s := d.Study.Spec
	plan, err := json.Marshal(map[string]any{"question": s.Question, "test": s.Plan.Test,
		"sides": s.Plan.Sides, "adjust": s.Plan.Adjust,
		"replicates": s.Serving.Replicates, "strata": len(s.Serving.Strata), "alpha": s.Plan.Alpha,
		"beta": s.Plan.Beta, "smallest": s.Plan.SmallestEffect, "spending": s.Plan.Spending,
		"reference": s.Serving.Reference, "liking": s.Plan.Liking, "expected": joined(s.Plan.Expected)})
	return fmt.Appendf(nil, "PLAN = %s\n\n%s", plan, analysisPy), err
}

var (
	findingField = field{name: "finding", kind: whole, required: true,
		says: "Number of the finding in findings.json, from 1; after them the ways there, in their order, and after " +
			"these what asking did."}
	headFields = []string{"kind", "role", "attribute", "estimate", "factor"}
)

// numbers are the findings once more, as tables: what each is about, and each number in
// it. json is findings.json.
func numbers(findings []byte) ([]table, error) {
	var all struct {
		Findings []map[string]any `json:"findings"`
		Ways     []map[string]any `json:"ways"`
		Asking   []map[string]any `json:"asking"`
	}
	if err := json.NewDecoder(bytes.NewReader(findings)).Decode(&all); err != nil {
		return nil, fmt.Errorf("read findings: %w", err)
	}
	heads := table{name: "findings", title: "What each finding is about", key: []string{"finding"}, fields: []field{
		findingField,
		{name: "kind", kind: text, required: true, says: "Kind of the finding, as in findings.json; " +
			"way where a name's pull is told, asking where those asked what they expect are compared with the others."},
		{name: "role", kind: text, required: true, says: "primary, secondary or exploratory."},
		{name: "attribute", kind: text, says: "Id of the attribute; missing where none is rated."},
		{name: "estimate", kind: text, says: "What the difference is, where it may be of several kinds."},
		{name: "factor", kind: text, says: "What is compared over all of the other: name or dish, or name:dish for " +
			"whether one depends on the other; missing where samples are compared."},
		{name: "first", kind: text, says: "Id of the first sample compared, or of the first level of the factor."},
		{name: "second", kind: text, says: "Id of the second sample compared, or of the second level."},
		{name: "compared", kind: text, says: "All that is compared, by id, parted by spaces."},
		{name: "method", kind: text, says: "Id of the planned test; missing where it could not be done."}}}
	rows := table{name: "numbers", title: "Every number of the findings, one a row", key: []string{"finding", "number"},
		fields: []field{findingField,
			{name: "number", kind: text, required: true, says: "Which number: its path in the finding. Parts of a " +
				"list go by their measure, method, samples or place; the ends of an interval are low and high."},
			{name: "value", kind: number, required: true, says: "The number, in full precision."}}}
	again := rechecksTable()
	for _, w := range all.Ways { // as findings have it
		w["kind"], w["comparison"] = "way", []any{w["sample"], w["blind"]}
		all.Findings = append(all.Findings, w)
	}
	for _, h := range all.Asking {
		h["kind"] = "asking"
		all.Findings = append(all.Findings, h)
	}
	for i, f := range all.Findings {
		if err := again.addRechecks(i+1, f); err != nil {
			return nil, err
		}
		if err := heads.add(headOf(i+1, f)...); err != nil {
			return nil, err
		}
		for _, n := range numbersIn("", f) {
			if err := rows.add(i+1, n.path, n.value); err != nil {
				return nil, err
			}
		}
	}
	if len(again.rows) == 0 {
		return []table{heads, rows}, nil
	}
	return []table{heads, rows, again}, nil
}

func rechecksTable() table {
	return table{name: "rechecks", title: "How the primary findings were reckoned in other ways",
		key: []string{"finding", "recheck"}, fields: []field{findingField,
			{name: "recheck", kind: whole, required: true, says: "Number of the way, from 1, as in numbers.csv."},
			{name: "method", kind: text, says: "Id of another test; missing where the planned one was done of others."},
			{name: "without", kind: text, says: "Assessors left out, parted by spaces; missing where nobody is."},
			{name: "says", kind: text, required: true, says: "The way, in words."}}}
}

// addRechecks adds the ways in which a finding was reckoned anew.
func (t *table) addRechecks(finding int, f map[string]any) error {
	ways, _ := f["rechecks"].([]any)
	for i, x := range ways {
		way, _ := x.(map[string]any)
		method, _ := way["method"].(string)
		says, _ := way["what"].(string)
		var without []string
		out, _ := way["without"].([]any)
		for _, who := range out {
			without = append(without, fmt.Sprint(who))
		}
		if err := t.add(finding, i+1, method, strings.Join(without, " "), says); err != nil {
			return err
		}
	}
	return nil
}

func headOf(number int, f map[string]any) []any {
	row := []any{number}
	for _, name := range headFields {
		said, _ := f[name].(string)
		row = append(row, said)
	}
	compared, _ := f["comparison"].([]any)
	for i := range 2 {
		sample := ""
		if i < len(compared) {
			sample, _ = compared[i].(string)
		}
		row = append(row, sample)
	}
	all := make([]string, len(compared))
	for i, one := range compared {
		all[i], _ = one.(string)
	}
	row = append(row, strings.Join(all, " "))
	test, _ := f["test"].(map[string]any)
	planned, _ := test["method"].(string)
	return append(row, planned)
}

// numbered is a number of a finding and where it stands.
type numbered struct {
	path  string
	value float64
}

// numbersIn walks a finding as JSON has it, in the order of its keys.
func numbersIn(path string, x any) (all []numbered) {
	under := func(name string) string { return strings.TrimPrefix(path+"."+name, ".") }
	switch x := x.(type) {
	case float64:
		return []numbered{{path, x}}
	case map[string]any:
		for _, name := range sorted(x) {
			all = append(all, numbersIn(under(name), x[name])...)
		}
	case []any:
		names := namesOf(path, x)
		for i, one := range x {
			all = append(all, numbersIn(under(names[i]), one)...)
		}
	}
	return all
}

func sorted(x map[string]any) []string {
	names := make([]string, 0, len(x))
	for name := range x {
		names = append(names, name)
	}
	slices.Sort(names)
	return names
}

// namesOf names the parts of a list by what they say they are, when each says another,
// and else by their place.
func namesOf(path string, list []any) []string {
	last := path[strings.LastIndex(path, ".")+1:]
	if strings.HasPrefix(last, "ci") && len(list) == 2 {
		return []string{"low", "high"}
	}
	names := make([]string, len(list))
	for i, one := range list {
		names[i] = nameOf(one)
	}
	distinct := slices.Clone(names)
	slices.Sort(distinct)
	if len(slices.Compact(distinct)) < len(names) || slices.Contains(names, "") {
		for i := range names {
			names[i] = strconv.Itoa(i + 1)
		}
	}
	return names
}

func nameOf(x any) string {
	part, _ := x.(map[string]any)
	for _, name := range []string{"measure", "method", "sample", "of"} {
		if said, ok := part[name].(string); ok {
			return said
		}
	}
	compared, _ := part["comparison"].([]any)
	samples := make([]string, len(compared))
	for i, one := range compared {
		samples[i], _ = one.(string)
	}
	if len(samples) > 0 {
		return strings.Join(samples, "-")
	}
	for _, name := range []string{"attribute", "assessor"} {
		if said, ok := part[name].(string); ok {
			return said
		}
	}
	return ""
}

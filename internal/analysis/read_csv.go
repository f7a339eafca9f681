package analysis

import (
	"fmt"
	"io"
	"math"
	"strconv"
	"strings"

	"golang.org/x/text/unicode/norm"

	"cloche/internal/design"
	"cloche/internal/study"
)

// ReadCSV reads ratings, one a row: assessor, turn, position, code, dish, name,
// attribute, value. The columns may stand in any order among others, which are
// ignored; the file is UTF-8, cut by comma or semicolon, with or without a
// byte-order mark; after semicolons numbers may have a decimal comma. Dish,
// name and attribute may be ids or the words of the study; turn, position and code
// may be empty, and the columns turn and code missing. A column stratum says to which
// group of people an assessor belongs, in all of their rows; a column sitting at which sitting
// a serving was tasted. Where each turn has a known reference, the column reference says
// which dish it was; where the plan stops early, the column arrived says as which answer of
// the study a turn came; where it has looks, the column look before which of them a rating was in.
//
// With a key, assessor and serving are checked against it; without one any
// assessor is taken. Every mistake is reported with its line and column, and
// then no ratings are returned: nothing is imported by half.
func ReadCSV(file string, r io.Reader, s *study.Study, key *Key) ([]Rating, []study.Problem) {
	f := openCSV(file, r, append(columnsOf(s), stratumColumn, sittingColumn), "turn", "code", stratumColumn,
		arrivedColumn, sittingColumn, lookColumn)
	if len(f.problems) > 0 {
		return nil, f.problems
	}
	in := newRatingsReader(s, key)
	turns, ticked := choiceRows{s: s}, newTickedRows(s)
	var ratings []Rating
	for row, ok := f.next(); ok; row, ok = f.next() {
		if rating, ok := in.rating(row); ok {
			ratings = append(ratings, rating)
			turns.add(row, rating)
			ticked.add(row, rating)
		}
	}
	if len(f.problems) == 0 {
		turns.check(f)
		ticked.check(f)
	}
	if len(f.problems) == 0 && len(ratings) == 0 {
		f.report(1, 1, "there are no ratings below the first line", "add one rating a row")
	}
	if len(f.problems) > 0 {
		return nil, f.allProblems()
	}
	return ratings, nil
}

// given marks one answer; two rows with the same one are a mistake.
type given struct {
	place
	turn      int
	sample    study.SampleID
	attribute study.AttributeID
}

type ratingsReader struct {
	words  vocabulary
	key    *Key
	seen   map[given]int // line
	served map[place]servedAt
	strata map[string]stratumAt // by assessor
}

// stratumAt is what the file said of an assessor when they came first.
type stratumAt struct {
	name string
	line int
}

// servedAt is what the file said of a serving when it came first.
type servedAt struct {
	sample  study.SampleID
	code    design.Code
	sitting int
	line    int
}

func newRatingsReader(s *study.Study, key *Key) *ratingsReader {
	return &ratingsReader{words: newVocabulary(asAnswered(s)), key: key, seen: map[given]int{},
		served: map[place]servedAt{}, strata: map[string]stratumAt{}}
}

// rating reads one row; false when it holds a mistake, which is then reported.
func (in *ratingsReader) rating(row csvRow) (Rating, bool) {
	before := len(row.from.problems) + row.from.unlisted
	r := Rating{Assessor: row.text("assessor"), Code: design.Code(row.text("code"))}
	if r.Assessor == "" {
		row.report("assessor", "no assessor", "write who rated")
	}
	r.Turn = readTurn(row)
	r.Position = readPosition(row)
	if len(in.words.s.Plan.Looks) > 0 {
		r.Look = readCount(row, lookColumn, "a look",
			"number the looks from 1, the one at the end counted, or write nothing in the whole column")
	}
	if p := in.words.s.Plan; p.StopEarly || p.LooksEarly() {
		r.Arrived = readCount(row, arrivedColumn, "as which answer a turn came",
			"number the answers from 1, in the order in which they came, or write nothing in the whole column")
	}
	r.Sitting = readSitting(row)
	r.Sample = in.words.sample(row)
	r.Stratum = in.stratum(row, r.Assessor)
	r.Reference = in.words.reference(row)
	in.readValue(row, &r)
	if len(row.from.problems)+row.from.unlisted > before {
		return r, false
	}
	in.checkServing(row, &r)
	in.checkTwice(row, r)
	return r, len(row.from.problems)+row.from.unlisted == before
}

// stratum reads to which stratum an assessor belongs, which is one and the same in every row.
func (in *ratingsReader) stratum(row csvRow, assessor string) string {
	name := row.text(stratumColumn)
	first, seen := in.strata[assessor]
	switch {
	case !seen:
		in.strata[assessor] = stratumAt{name, row.line}
	case first.name != name:
		row.report(stratumColumn, fmt.Sprintf("assessor %s is in stratum %q here, but in %q in line %d", assessor, name,
			first.name, first.line), "write the same stratum in all rows of an assessor")
	}
	return name
}

func readPosition(row csvRow) int {
	return readCount(row, "position", "a position",
		"write a whole number from 1, or nothing when it is not known; leave out warm-up servings, which the key "+
			"numbers 0")
}

func readTurn(row csvRow) int {
	return readCount(row, "turn", "a turn", "write a whole number from 1, or nothing when it is not known")
}

func readSitting(row csvRow) int {
	return readCount(row, sittingColumn, "a sitting",
		"write the number of the sitting, a whole number from 1, or nothing when it is not known")
}

// readCount reads a whole number from 1; 0 where nothing, or something else, stands.
func readCount(row csvRow, column, what, instead string) int {
	text := row.text(column)
	if text == "" {
		return 0
	}
	n, ok := countingNumber(text)
	if !ok {
		row.report(column, fmt.Sprintf("%q is not %s", text, what), instead)
		return 0
	}
	return n
}

// countingNumber reads a whole number from 1.
func countingNumber(text string) (int, bool) {
	n, err := strconv.Atoi(text)
	return n, err == nil && n >= 1 && n <= math.MaxInt16
}

func (in *ratingsReader) readValue(row csvRow, r *Rating) {
	attribute, ok := in.words.attribute(row)
	text := row.text("value")
	value, good := row.from.number(text)
	switch {
	case text == "":
		row.report("value", "no value", "write a number, or leave the row out when there was no answer")
	case !good:
		row.report("value", fmt.Sprintf("%q is not a number", text), "write it with digits, such as 62.5")
	case ok && in.words.offAnswers(attribute.ID, value):
		what, instead := offAnswers(in.words.s, text)
		row.report("value", what, instead)
	case ok && !attribute.Scale.Holds(value):
		row.report("value", fmt.Sprintf("%s is off the scale of %q", text, attribute.ID), scaleAdvice(attribute.Scale))
	}
	r.Attribute, r.Value = attribute.ID, value
}

// number reads a finite number in plain digits.
func (f *csvFile) number(text string) (float64, bool) {
	if f.decimal == ',' && strings.Count(text, ",") == 1 && !strings.Contains(text, ".") {
		text = strings.Replace(text, ",", ".", 1)
	}
	if strings.ContainsAny(text, "_xXpPiInN") { // Go's own spellings, Inf and NaN
		return math.NaN(), false
	}
	v, err := strconv.ParseFloat(strings.Replace(text, "−", "-", 1), 64)
	return v, err == nil
}

func scaleAdvice(s study.Scale) string {
	if s.Kind == study.Line {
		return fmt.Sprintf("write a number from %g to %g", s.Min(), s.Max())
	}
	if s.Kind == study.Ticked {
		return tickedOrNot
	}
	return fmt.Sprintf("write a whole number from %g to %g", s.Min(), s.Max())
}

// checkServing holds the row against the key and against the rows before it:
// one position of an assessor is one serving of one sample under one code.
func (in *ratingsReader) checkServing(row csvRow, r *Rating) {
	if in.key != nil && !in.checkKey(row, r) {
		return
	}
	if r.Position == 0 {
		return
	}
	at := place{r.Assessor, r.Position}
	first, seen := in.served[at]
	if !seen {
		in.served[at] = servedAt{r.Sample, r.Code, r.Sitting, row.line}
		return
	}
	if first.sample != r.Sample {
		row.report("dish", fmt.Sprintf("assessor %s has sample %s at position %d here, but %s in line %d",
			r.Assessor, r.Sample, r.Position, first.sample, first.line), "give each serving its own position")
	}
	if first.code != "" && r.Code != "" && first.code != r.Code {
		row.report("code", fmt.Sprintf("assessor %s has code %s at position %d here, but %s in line %d",
			r.Assessor, r.Code, r.Position, first.code, first.line), "one serving has one code")
	}
	if first.sitting != r.Sitting {
		row.report(sittingColumn, fmt.Sprintf("assessor %s has position %d at sitting %s here, but at sitting %s in "+
			"line %d", r.Assessor, r.Position, orNone(r.Sitting), orNone(first.sitting), first.line),
			"one serving is tasted at one sitting: count positions over all sittings of an assessor")
	}
}

// checkKey finds the row's serving in the key and fills in what the row left
// empty; false when it is not there.
func (in *ratingsReader) checkKey(row csvRow, r *Rating) bool {
	if !in.key.assessors[r.Assessor] {
		row.report("assessor", fmt.Sprintf("assessor %q is not in the key", r.Assessor),
			"write the label that the key has")
		return false
	}
	found := in.key.find(*r)
	switch {
	case len(found) == 0 && r.Code != "":
		row.report("code", fmt.Sprintf("code %s was not served to assessor %s%s", r.Code, r.Assessor,
			atPosition(r.Position)),
			"compare the row with the key")
		return false
	case len(found) == 0:
		row.report("position", fmt.Sprintf("assessor %s has no serving of sample %s%s in the key", r.Assessor, r.Sample,
			atPosition(r.Position)),
			"compare the row with the key")
		return false
	}
	for _, v := range found {
		if v.Sample == r.Sample {
			if len(found) == 1 {
				r.Position, r.Code = v.Position, v.Code
			}
			return true
		}
	}
	row.report("dish", fmt.Sprintf("this serving was sample %s, not %s", found[0].Sample, r.Sample),
		"compare the row with the key")
	return false
}

func atPosition(n int) string {
	if n == 0 {
		return ""
	}
	return fmt.Sprintf(" at position %d", n)
}

// orNone writes a number from 1; 0 is none.
func orNone(n int) string {
	if n == 0 {
		return "none"
	}
	return strconv.Itoa(n)
}

func (in *ratingsReader) checkTwice(row csvRow, r Rating) {
	answer := given{place{r.Assessor, r.Position}, r.Turn, r.Sample, r.Attribute}
	if line, twice := in.seen[answer]; twice {
		row.report("attribute", fmt.Sprintf("assessor %s rated %s of sample %s%s in line %d already",
			r.Assessor, r.Attribute, r.Sample, atPosition(r.Position), line),
			"keep one of the rows, or give repeated servings their own turns or positions")
		return
	}
	in.seen[answer] = row.line
}

// fold makes words comparable: composed, lower case, single spaces.
func fold(text string) string {
	return strings.Join(strings.Fields(strings.ToLower(norm.NFC.String(text))), " ")
}

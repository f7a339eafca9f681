package study

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
)

// Canonical returns the one form of a study over which it is hashed: a JSON
// object in the JSON Canonicalization Scheme (RFC 8785). The package
// documentation lists its members.
func Canonical(s *Study) []byte {
	all := members{
		"cloche":     FormatVersion,
		"title":      s.Title,
		"question":   string(s.Question),
		"hypothesis": s.Hypothesis,
		"invented":   s.Invented,
		"languages":  each(s.Languages, plain),
		"dishes":     each(s.Dishes, canonicalDish),
		"names":      each(s.Names, canonicalName),
		"samples": each(s.Samples, func(x Sample) any {
			return members{"id": string(x.ID), "dish": string(x.Dish), "name": orNull(string(x.Name))}
		}),
		"attributes": each(s.Attributes, func(a Attribute) any {
			return members{"id": string(a.ID), "ask": a.Ask, "scale": canonicalScale(a.Scale)}
		}),
		"panel":        canonicalPanel(s.Panel),
		"serving":      canonicalServing(s.Serving),
		"texts":        canonicalTexts(s.Texts),
		"analysis":     canonicalPlan(s.Plan),
		"translations": each(s.Translations, canonicalTranslation),
	}
	if s.Question.Kind().Amounts {
		all.addAmounts(s)
	}
	return appendJSON(nil, all)
}

// addAmounts are the members that only a study of amounts has.
func (m members) addAmounts(s *Study) {
	var wanted any
	if v := s.Plan.WantedRating; v != nil {
		wanted = *v
	}
	amounts := members{}
	for _, d := range s.Dishes {
		amounts[string(d.ID)] = d.Amount
	}
	m["series"] = members{"in": s.AmountsIn.String(), "of_dishes": amounts, "wanted_rating": wanted}
}

// Hash returns the SHA-256 of the canonical form, in hexadecimal.
func Hash(s *Study) string {
	sum := sha256.Sum256(Canonical(s))
	return hex.EncodeToString(sum[:])
}

func canonicalPlan(p AnalysisPlan) any {
	plan := members{
		"compare": canonicalCompare(p), "attribute": string(p.Attribute),
		"test": string(p.Test), "sides": string(p.Sides), "alpha": p.Alpha,
		"smallest_effect": p.SmallestEffect, "adjust": string(p.Adjust),
		"undecided": string(p.Undecided), "expected_order": each(p.Expected, plain),
		"stop_after": p.StopAfter, "stop_by": p.StopBy,
	}
	if p.Liking != "" { // of answers about right alone
		plan["liking"] = string(p.Liking)
	}
	if p.Beta > 0 { // of right answers alone, as the next
		plan["beta"] = p.Beta
	}
	if p.StopEarly {
		plan["stop_early"] = true
	}
	if len(p.Looks) > 0 {
		plan["looks"] = each(p.Looks, func(n int) any { return n })
		plan["spending"] = string(p.Spending)
	}
	if p.Evidence != "" {
		plan["evidence"] = string(p.Evidence)
		plan["evidence_at"] = p.EvidenceAt
	}
	return plan
}

func canonicalCompare(p AnalysisPlan) any {
	if p.WholePanel {
		return allSamples
	}
	if p.EffectOf != "" {
		return members{"effect_of": string(p.EffectOf), "levels": each(p.Levels[:], plain),
			"samples": each(p.Compare[:], plain)}
	}
	return each(p.Compare[:], plain)
}

func canonicalDish(d Dish) any {
	return members{
		"id": string(d.ID), "title": d.Title, "portion": d.Portion, "serve_at": d.ServeAt,
		"allergens":     each(inAnnexOrder(d.Allergens), plain),
		"also_contains": each(d.AlsoContains, plain), "alcohol": d.Alcohol,
	}
}

func canonicalName(n Name) any { return members{"id": string(n.ID), "text": n.Text} }

func canonicalTexts(t Texts) any {
	texts := members{
		"welcome": t.Welcome, "consent": t.Consent, "instructions": t.Instructions,
		"thanks": t.Thanks, "debrief": t.Debrief, "comment": t.Comment,
	}
	if t.FirstCompared != "" || t.SecondCompared != "" {
		texts["first_compared"], texts["second_compared"] = t.FirstCompared, t.SecondCompared
	}
	return texts
}

func canonicalTranslation(t Translation) any {
	return members{
		"language": t.Language, "names": each(t.Names, canonicalName), "texts": canonicalTexts(t.Texts),
		"attributes": each(t.Attributes, func(w AttributeWords) any {
			return members{"id": string(w.ID), "ask": w.Ask, "low": w.Low, "high": w.High,
				"labels": each(w.Labels, plain)}
		}),
		"screening": each(t.Screening, func(w ScreenWords) any { return members{"id": w.ID, "ask": w.Ask} }),
		"strata": each(t.Strata, func(w StratumWords) any {
			return members{"id": w.ID, "ask": w.Ask, "levels": each(w.Levels, plain)}
		}),
		"also_contains": each(t.AlsoContains, func(w NoteWords) any {
			return members{"note": w.Note, "text": w.Text}
		}),
	}
}

func canonicalScale(s Scale) any {
	if s.Kind == "" {
		return nil
	}
	return members{
		"kind": string(s.Kind), "low": s.Low, "high": s.High,
		"from": s.Min(), "to": s.Max(), "labels": each(s.Labels, plain),
	}
}

func canonicalPanel(p Panel) any {
	panel := members{
		"assessors": p.Assessors, "sittings": p.Sittings, "seats": p.Seats,
		"minimum_age": p.MinimumAge, "withdrawal_days": p.WithdrawalDays,
		"screening": each(p.Screening, func(x Screen) any {
			return members{"id": x.ID, "ask": x.Ask, "leaves_out": string(x.LeavesOut)}
		}),
	}
	if p.TellResult {
		panel["tell_result"] = true
	}
	if p.LastQuestion != "" {
		panel["last_question"] = string(p.LastQuestion)
	}
	return panel
}

func canonicalServing(v Serving) any {
	var seed any
	if v.HasSeed {
		seed = strconv.FormatUint(v.Seed, 10)
	}
	serving := members{
		"design": string(v.Design), "per_assessor": v.PerAssessor, "replicates": v.Replicates,
		"warm_up": orNull(string(v.WarmUp)), "fixed_reference": orNull(string(v.FixedReference)),
		"reference": orNull(string(v.Reference)), "blind_first": v.BlindFirst,
		"keep_dishes_apart": v.KeepDishesApart, "expectation": v.Expectation,
		"expectation_of_half": v.AskHalf, "attributes": string(v.Attributes),
		"show_numbers": v.ShowNumbers, "taste_once": v.TasteOnce, "tray_opens": string(v.TrayOpens),
		"plate_gate":       v.PlateGate,
		"most_per_sitting": v.MaxPerSitting, "codes": string(v.Codes), "spare_codes": v.SpareCodes,
		"rinse_seconds": v.RinseSeconds, "pass_minutes": v.PassMinutes, "at_one_table": string(v.AtOneTable),
		"grace_minutes": v.GraceMinutes, "seed": seed,
		"strata": each(v.Strata, func(x Stratum) any {
			return members{"id": x.ID, "ask": x.Ask, "levels": each(x.Levels, plain)}
		}),
		"minimise": v.Minimise, "blocks": string(v.Blocks),
	}
	if v.OneQuestion {
		serving["one_question"] = true
	}
	if v.Zone != "" {
		serving["time_zone"] = v.Zone
	}
	return serving
}

// members are the members of a JSON object.
type members map[string]any

func each[T any](list []T, f func(T) any) []any {
	out := make([]any, len(list))
	for i, x := range list {
		out[i] = f(x)
	}
	return out
}

func plain[T ~string](s T) any { return string(s) }

func orNull(s string) any {
	if s == "" {
		return nil
	}
	return s
}

// appendJSON writes a value as RFC 8785 has it: no space, members sorted by
// name (section 3.2.3; all names here are ASCII), strings escaped only where
// they must be (3.2.2.2), numbers as ECMAScript writes them (3.2.2.3).
func appendJSON(b []byte, v any) []byte {
	switch v := v.(type) {
	case nil:
		return append(b, "null"...)
	case bool:
		return strconv.AppendBool(b, v)
	case int:
		return strconv.AppendInt(b, int64(v), 10)
	case float64:
		return append(b, shortest(v)...)
	case string:
		return appendString(b, v)
	case []any:
		b = append(b, '[')
		for i, x := range v {
			if i > 0 {
				b = append(b, ',')
			}
			b = appendJSON(b, x)
		}
		return append(b, ']')
	case members:
		return appendMembers(b, v)
	}
	panic(fmt.Sprintf("study: no canonical form of a %T", v))
}

func appendMembers(b []byte, m members) []byte {
	names := make([]string, 0, len(m))
	for name := range m {
		names = append(names, name)
	}
	slices.Sort(names)
	b = append(b, '{')
	for i, name := range names {
		if i > 0 {
			b = append(b, ',')
		}
		b = append(appendString(b, name), ':')
		b = appendJSON(b, m[name])
	}
	return append(b, '}')
}

// appendString writes a JSON string; it is also a double-quoted YAML string.
func appendString(b []byte, s string) []byte {
	const short = "\b\t\n\f\r\"\\"
	b = append(b, '"')
	for _, c := range s {
		switch i := strings.IndexRune(short, c); {
		case i >= 0:
			b = append(b, '\\', `btnfr"\`[i])
		case c < 0x20:
			b = fmt.Appendf(b, `\u%04x`, c)
		default:
			b = append(b, string(c)...)
		}
	}
	return append(b, '"')
}

// shortest writes a finite number with the fewest digits that read back as the
// same number, in the notation of ECMAScript (Number::toString): plain from
// 1e-6 up to 1e21, with an exponent beyond.
func shortest(v float64) string {
	a := math.Abs(v)
	switch {
	case a == 0:
		return "0"
	case a >= 1e-6 && a < 1e21:
		return strconv.FormatFloat(v, 'f', -1, 64)
	}
	mantissa, exponent, _ := strings.Cut(strconv.FormatFloat(v, 'e', -1, 64), "e")
	return mantissa + "e" + exponent[:1] + strings.TrimLeft(exponent[1:], "0")
}

package design

import (
	"crypto/sha256"
	"encoding/hex"
	"strconv"
)

// Canonical returns the plan as text, the same bytes for the same plan always.
// Lines end in a line feed, fields are parted by one space, numbers are decimal.
// In this order:
//
//	cloche plan 1
//	engine E
//	seed S
//	assessors N
//	sittings K
//	sample ID                      one line for each sample, in the order of the study
//	stratum A C                    one line for each assessor if the study has strata
//	serving A T I P ROLE CODE ID   one line for each serving, in serving order
//	spare T CODE CODE …            one line for each sitting with spare codes, codes in the order drawn
//
// A is the assessor from 1, T the sitting from 1, I the turn from 1 for each
// assessor, P the position (0 where there is none), ROLE one of rated, warm-up,
// reference and expected, CODE three digits or "-", ID the id of the sample, or "-"
// where it is dealt on arrival (there are no lines of strata then).
// Warnings are remarks and not part of the form.
func (p *Plan) Canonical() []byte {
	b := make([]byte, 0, 128+32*len(p.Servings))
	b = append(b, "cloche plan 1\n"...)
	b = appendLine(b, "engine ", uint64(p.Engine))
	b = appendLine(b, "seed ", p.Seed)
	b = appendLine(b, "assessors ", uint64(p.Assessors))
	b = appendLine(b, "sittings ", uint64(p.Sittings))
	for _, x := range p.Samples {
		b = append(b, "sample "...)
		b = append(b, x...)
		b = append(b, '\n')
	}
	for i, x := range p.Stratum {
		b = append(b, "stratum "...)
		b = strconv.AppendInt(b, int64(i+1), 10)
		b = append(b, ' ')
		b = strconv.AppendInt(b, int64(x+1), 10)
		b = append(b, '\n')
	}
	for _, v := range p.Servings {
		b = append(b, "serving"...)
		for _, n := range [...]int32{v.Assessor + 1, v.Sitting, v.Turn, v.Position} {
			b = append(b, ' ')
			b = strconv.AppendInt(b, int64(n), 10)
		}
		b = append(b, ' ')
		b = append(b, v.Role.String()...)
		b = appendCode(b, v.Code)
		b = append(b, ' ')
		if v.Sample == Undealt {
			b = append(b, '-')
		} else {
			b = append(b, p.Samples[v.Sample]...)
		}
		b = append(b, '\n')
	}
	for i, spares := range p.Spares {
		if len(spares) == 0 {
			continue
		}
		b = append(b, "spare "...)
		b = strconv.AppendInt(b, int64(i+1), 10)
		for _, c := range spares {
			b = appendCode(b, c)
		}
		b = append(b, '\n')
	}
	return b
}

// Hash returns the SHA-256 of [Plan.Canonical] in lower-case hexadecimal.
func (p *Plan) Hash() string {
	sum := sha256.Sum256(p.Canonical())
	return hex.EncodeToString(sum[:])
}

func appendLine(b []byte, word string, n uint64) []byte {
	b = append(b, word...)
	b = strconv.AppendUint(b, n, 10)
	return append(b, '\n')
}

func appendCode(b []byte, c Code) []byte {
	b = append(b, ' ')
	if c == "" {
		return append(b, '-')
	}
	return append(b, c...)
}

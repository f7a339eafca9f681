package study

import (
	"fmt"
	"strconv"
	"strings"
)

// ParseNumber reads a number as people write it: digits, with a point, a sign or a
// power of ten. Package strconv alone takes "0x1p4", "1_0" and "Inf" too, which
// nobody types as an answer.
func ParseNumber(text string) (float64, error) {
	if text == "" || strings.Trim(text, "0123456789+-.eE") != "" {
		return 0, fmt.Errorf("%q is no number", text)
	}
	return strconv.ParseFloat(text, 64)
}

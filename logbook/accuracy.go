package logbook

import (
	"fmt"
	"regexp"
	"strconv"
	"strings"

	"halfsplit/form"
	"halfsplit/quantity"
)

// Accuracy is the accuracy of a meter on one function: a share of the reading
// and a number of digits of its resolution.
type Accuracy struct {
	Reading float64 // fraction of the reading
	Digits  float64 // counts of the last digit shown
	Text    string
}

// accuracyForm is an accuracy as manuals write it: a share, in per cent or
// parts per million, and perhaps digits, each with the word that says what of.
var accuracyForm = regexp.MustCompile(`(?i)^\s*(?:±|\+/-|\+-)?\s*([0-9.]+\s*(?:%|ppm))\s*(?:of reading|of rdg\.?|reading|rdg\.?)?\s*(?:\+\s*([0-9.]+)\s*(?:digits?|dgts?\.?|counts?|lsd|d)?)?\s*$`)

// ReadForm reads "0.5 % + 2 digits", "±(0.5 % rdg + 2 dgt)", "50 ppm + 4 counts", "1 %".
func (a *Accuracy) ReadForm(s form.Scalar) error {
	*a = Accuracy{Text: s.Text}
	found := accuracyForm.FindStringSubmatch(strings.NewReplacer("(", " ", ")", " ").Replace(s.Text))
	if found == nil {
		return &form.Mistake{Message: fmt.Sprintf("%.40q is no accuracy", s.Text), Hint: "write a share of the reading and a number of digits, as in 0.5 % + 2 digits"}
	}
	share, err := quantity.ParseAs(found[1], quantity.Percent)
	if err != nil || share.Value > 1 {
		return &form.Mistake{Message: fmt.Sprintf("%.40q is no share of a reading", found[1]), Hint: "write it as in 0.5 %"}
	}
	a.Reading = share.Value
	if found[2] == "" {
		return nil
	}
	digits, err := strconv.ParseFloat(found[2], 64)
	if err != nil || digits > 1e6 {
		return &form.Mistake{Offset: strings.LastIndex(s.Text, found[2]), Message: fmt.Sprintf("%.40q is no number of digits", found[2]), Hint: "write it as in 0.5 % + 2 digits"}
	}
	a.Digits = digits
	return nil
}

// Written says how an accuracy is written.
func (Accuracy) Written() string { return "a share of the reading and digits, as in 0.5 % + 2 digits" }

// MarshalText writes the accuracy as it was written.
func (a *Accuracy) MarshalText() ([]byte, error) { return []byte(a.Text), nil }

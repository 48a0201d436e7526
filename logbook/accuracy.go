package logbook

import (
	"strconv"
	"strings"

	"halfsplit/internal/form"
	"halfsplit/quantity"
)

// Accuracy is the accuracy of a meter on one function: a share of the reading
// and a number of digits of its resolution.
type Accuracy struct {
	Reading float64 // fraction of the reading
	Digits  float64 // counts of the last digit shown
	Text    string
}

// ReadForm reads "0.5 % + 2 digits", "±(0.5 % + 2)", "1 %".
func (a *Accuracy) ReadForm(s form.Scalar) error {
	a.Text = s.Text
	text := strings.NewReplacer("±", "", "+-", "", "+/-", "", "(", "", ")", "").Replace(s.Text)
	share, digits, both := strings.Cut(text, "+")
	q, err := quantity.ParseAs(strings.TrimSpace(share), quantity.Percent)
	if err != nil || q.Value < 0 || !strings.Contains(share, "%") {
		return &form.Mistake{Message: "\"" + s.Text + "\" is no accuracy", Hint: "write a share of the reading and a number of digits, as in 0.5 % + 2 digits"}
	}
	a.Reading = q.Value
	if !both {
		return nil
	}
	for _, word := range []string{"digits", "digit", "counts", "count", "d"} {
		digits = strings.TrimSuffix(strings.TrimSpace(digits), word)
	}
	a.Digits, err = strconv.ParseFloat(strings.TrimSpace(digits), 64)
	if err != nil || !(a.Digits >= 0 && a.Digits < 1e6) {
		return &form.Mistake{Offset: strings.Index(s.Text, "+") + 1, Message: "\"" + strings.TrimSpace(digits) + "\" is no number of digits", Hint: "write it as in 0.5 % + 2 digits"}
	}
	return nil
}

// Written says how an accuracy is written.
func (Accuracy) Written() string { return "a share of the reading and digits, as in 0.5 % + 2 digits" }

// MarshalText writes the accuracy as it was written.
func (a *Accuracy) MarshalText() ([]byte, error) { return []byte(a.Text), nil }

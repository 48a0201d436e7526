package look

import "fmt"

// Verdict is what became of a reading or a check.
type Verdict string

// The verdicts. Each has a word, a shape and a colour.
const (
	Pass  Verdict = "pass"              // within its limits beyond doubt
	Fail  Verdict = "fail"              // outside its limits beyond doubt
	Close Verdict = "too close to call" // the uncertainty straddles a limit
	Open  Verdict = "not judged"        // nothing to judge it by
)

// class gives the class of the style sheet and the drawing.
func (v Verdict) class() string {
	switch v {
	case Pass:
		return "pass"
	case Fail:
		return "fail"
	case Close:
		return "close"
	}
	return "open"
}

// Rail is a reading against its limits, ready to be drawn. All figures are in
// one unit; the texts are what is printed beside them.
type Rail struct {
	Name        string
	Verdict     Verdict
	Reading     float64
	Uncertainty float64 // half the width of the whisker, not negative
	ReadingText string
	Low, High   *float64 // limits; nil where a side is open
	LowText     string
	HighText    string
	Nominal     *float64
	Why         string // one sentence
}

// Extent of the drawing of a rail in its own units.
const (
	railWidth, railLeft, railRight = 360.0, 16.0, 344.0
)

// scale gives the lowest and the highest value on the drawing: the limits and
// the whisker with a quarter of air on both sides.
func (r Rail) scale() (low, high float64) {
	low, high = r.Reading-r.Uncertainty, r.Reading+r.Uncertainty
	for _, limit := range []*float64{r.Low, r.High, r.Nominal} {
		if limit != nil {
			low, high = min(low, *limit), max(high, *limit)
		}
	}
	air := (high - low) / 4
	if air == 0 {
		air = max(1e-12, 0.1*max(high, -high))
	}
	return low - air, high + air
}

// x gives where a value stands.
func (r Rail) x(value float64) float64 {
	low, high := r.scale()
	return railLeft + (value-low)/(high-low)*(railRight-railLeft)
}

// band gives the left edge and the width of what is allowed.
func (r Rail) band() (left, width float64) {
	left, right := railLeft, railRight
	if r.Low != nil {
		left = r.x(*r.Low)
	}
	if r.High != nil {
		right = r.x(*r.High)
	}
	return left, max(0, right-left)
}

// sentence says the drawing in words.
func (r Rail) sentence() string {
	limits := "no limit known"
	switch {
	case r.Low != nil && r.High != nil:
		limits = fmt.Sprintf("allowed %s to %s", r.LowText, r.HighText)
	case r.Low != nil:
		limits = "allowed from " + r.LowText
	case r.High != nil:
		limits = "allowed up to " + r.HighText
	}
	return fmt.Sprintf("%s: read %s, %s: %s", r.Name, r.ReadingText, limits, r.Verdict)
}

// at writes a place on a drawing.
func at(x float64) string { return fmt.Sprintf("%.1f", x) }

// anchor keeps a text at x within the drawing.
func anchor(x float64) string {
	switch {
	case x < 60:
		return "start"
	case x > railWidth-60:
		return "end"
	}
	return "middle"
}

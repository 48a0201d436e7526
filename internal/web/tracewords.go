package web

import (
	"fmt"

	"halfsplit/internal/recording"
	"halfsplit/quantity"
)

// eventsCaption says what a table of events lists.
func eventsCaption(h *happened, n int) string {
	text := fmt.Sprintf("%d events of %s", n, h.Events.Channel)
	if n == 1 {
		text = "1 event of " + h.Events.Channel
	}
	if h.Events.Limit != "" {
		text += ", which is right within " + h.Events.Limit
	}
	return text
}

// besides are drift, cycling, and at which temperature it fails.
func besides(h *happened) []string {
	var list []string
	figure := func(v float64) string { return quantity.FormatDigits(v, apartUnit(h.Events.Unit), 3) }
	for _, c := range h.Events.Cycles {
		list = append(list, fmt.Sprintf("It goes on and off %d times, every %s, and is outside for %.0f %% of that.", c.Times, quantity.FormatDigits(c.Period, quantity.Second, 3), 100*c.Off))
	}
	if d := h.Events.Drift; d != nil {
		list = append(list, fmt.Sprintf("It drifts by %s an hour (%s to %s), %s in all.", figure(d.PerHour), figure(d.Low), figure(d.High), figure(d.Total)))
	}
	if n := h.Events.Doubtful; n == 1 {
		list = append(list, "One spell is too doubtful to count as a failure: look at the readings around it.")
	} else if n > 1 {
		list = append(list, fmt.Sprintf("%d spells are too doubtful to count as failures: look at the readings around them.", n))
	}
	if f := h.Events.FailsAt; f != nil {
		text := fmt.Sprintf("It fails at %.1f °C", f.Mean)
		if f.Interval != nil {
			text += fmt.Sprintf(" (%.1f to %.1f °C with 95 %%, from %d failures)", f.Interval.Low, f.Interval.High, f.Failures)
		} else {
			text += ", from one failure: how far that may vary is not known"
		}
		list = append(list, text+".")
	}
	return list
}

// within names what was worked out, and that it is of the first run where the trace
// has several.
func within(what string, h *happened) string {
	if h.FirstRun {
		return what + ", of the first run"
	}
	return what
}

// apartUnit is the unit of a difference of values in a unit.
func apartUnit(u quantity.Unit) quantity.Unit {
	if u == quantity.Celsius {
		return quantity.Kelvin
	}
	return u
}

// warmingWords tells the course of a warm-up.
func warmingWords(h *happened) []string {
	if h.Warming == nil {
		return nil
	}
	var list []string
	unit := h.Warming.Unit
	if c := h.Warming.Course; c != nil {
		list = append(list, fmt.Sprintf("From %s to %s with a time constant of %s; within %s of its end after %s.", quantity.FormatDigits(c.Begin, unit, 5), quantity.FormatDigits(c.End, unit, 5),
			quantity.FormatDuration(c.TimeConstant), quantity.FormatDigits(c.Within, apartUnit(unit), 2), quantity.FormatDuration(c.Settled)))
		if !c.OneConstant {
			list = append(list, "One time constant does not describe it well: more than one part of the unit warms up.")
		}
		if !c.Bounded {
			list = append(list, "The recording does not reach the end, so that the end is a guess: record for longer.")
		}
	}
	if f := h.Warming.Follows; f != nil {
		text := fmt.Sprintf("It follows the temperature by %s/K (%s to %s)", quantity.FormatDigits(f.PerKelvin, apartUnit(unit), 3), quantity.FormatDigits(f.Interval.Low, apartUnit(unit), 3), quantity.FormatDigits(f.Interval.High, apartUnit(unit), 3))
		if f.Lag > 0 {
			text += ", " + quantity.FormatDuration(f.Lag) + " late"
		}
		list = append(list, text+".")
		if f.Interval.Contains(0) {
			list = append(list, "The interval holds zero: that it follows the temperature at all is not shown.")
		}
	}
	return list
}

// rippleWords sums up the ripple.
func rippleWords(r *recording.Ripple) string {
	return fmt.Sprintf("%s p-p and %s RMS upon %s.", quantity.FormatDigits(r.PeakToPeak, r.Unit, 3), quantity.FormatDigits(r.RMS, r.Unit, 3), quantity.FormatDigits(r.Mean, r.Unit, 4))
}

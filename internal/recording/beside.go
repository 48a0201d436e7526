package recording

import (
	"context"
	"fmt"
	"math"

	"halfsplit/quantity"
	"halfsplit/trace"
)

// A Thermometer is where the temperature beside a channel was recorded: a channel
// of the same recording, or of another.
type Thermometer struct {
	Channel string
	Other   *Recording // nil for the same
}

// temperature reads a temperature beside a stretch of time of a recording. The
// times are those of the recording: another one is shifted by how its clock
// stands to it, where both know the date, and else begins with it.
func (r *Recording) temperature(ctx context.Context, t Thermometer, from, to float64) (times, values []float64, err error) {
	if t.Channel == "" && t.Other == nil {
		return nil, nil, nil
	}
	of, shift := r, 0.0
	if t.Other != nil {
		of = t.Other
		if !r.Head.Origin.IsZero() && !of.Head.Origin.IsZero() {
			shift = of.Head.Origin.Sub(r.Head.Origin).Seconds()
		} else {
			shift = r.Begin() - of.Begin()
		}
	}
	c := 0
	if t.Channel == "" { // the only temperature of the other recording
		c = -1
		for i, ch := range of.Head.Channels {
			if ch.Unit == quantity.Celsius {
				if c >= 0 {
					return nil, nil, fmt.Errorf("%s has several temperatures; choose one with --temperature", of.Name)
				}
				c = i
			}
		}
		if c < 0 {
			return nil, nil, fmt.Errorf("%s has no channel in °C; choose one with --temperature", of.Name)
		}
	} else if c, err = of.Channel(t.Channel); err != nil {
		return nil, nil, err
	}
	part, err := of.Load(ctx, math.Inf(-1), math.Inf(1), c)
	if err != nil {
		return nil, nil, err
	}
	times, values = make([]float64, 0, len(part.Time)), make([]float64, 0, len(part.Time))
	for i, at := range part.Time {
		if at += shift; at >= from-3600 && at <= to+3600 {
			times, values = append(times, at), append(values, part.Values[0][i])
		}
	}
	if len(times) == 0 {
		return nil, nil, fmt.Errorf("%s was recorded at another time than %s", of.Name, r.Name)
	}
	return times, values, nil
}

// beside gives a temperature at each of some times; nil without a thermometer.
func beside(at, times, values []float64) []float64 {
	if times == nil {
		return nil
	}
	out := make([]float64, len(at))
	for i, t := range at {
		out[i] = trace.At(times, values, t)
	}
	return out
}

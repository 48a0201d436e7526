package recording

import (
	"errors"
	"fmt"
	"io"
	"math"

	"halfsplit/internal/picture"
	"halfsplit/internal/plain"
	"halfsplit/soak"
)

// DrawSoak draws how sure one is over the hot running time since the repair, in
// both senses, with what has been run and the level that is wanted.
func DrawSoak(to io.Writer, a soak.Assessment, level float64) error {
	if len(a.Curve) == 0 {
		return errors.New("there is no curve to draw: nothing was run before the repair that could be compared with")
	}
	scale, unit := picture.Time(a.Curve[len(a.Curve)-1].Time)
	fixed, survived := picture.Curve{Name: "fixed"}, picture.Curve{Name: "not by luck", Dashed: true}
	for _, point := range a.Curve {
		x := point.Time * scale
		fixed.X, fixed.Y = append(fixed.X, x), append(fixed.Y, 100*point.Fixed)
		survived.X, survived.Y = append(survived.X, x), append(survived.Y, 100*(1-point.SurvivalIfUnrepaired))
	}
	panel := picture.Panel{Y: picture.Axis{Label: "how sure, in %"}, Curves: []picture.Curve{fixed, survived}, Levels: []picture.Level{{Name: "wanted", Value: 100 * level}, {Value: 100}}}
	if a.CleanTime > 0 {
		panel.Spans = []picture.Span{{From: 0, To: a.CleanTime * scale}}
	}
	p := picture.Stack{Title: "Soak: how sure that it is fixed", X: picture.Axis{Label: "hot running since the repair in " + unit + " (shaded: done)"}, Panels: []picture.Panel{panel}}
	return p.SVG(to)
}

// SoakAdvice says what to do next.
func SoakAdvice(a soak.Assessment) string {
	level := plain.Chance(a.Advice.Level)
	starts := ""
	if s := a.Advice.Starts; !math.IsInf(s, 0) && s > 0 {
		starts = fmt.Sprintf(" If it fails on cold starts, %.0f clean ones would do instead.", s)
	}
	switch a.Advice.Kind {
	case soak.Stop:
		return "Stop: " + level + " sure is reached."
	case soak.RunOn:
		return fmt.Sprintf("Run on for %s to be %s sure, or for %s if it begins with a new start.%s", plain.Wait(a.Advice.Continuing), level, plain.Wait(a.Advice.Restarting), starts)
	case soak.WarmUp:
		return fmt.Sprintf("Get it hotter: none of the running since the repair was as hot as the failures. Then run it for %s to be %s sure.%s", plain.Wait(a.Advice.Restarting), level, starts)
	case soak.ProvokeFailure:
		return "See it fail first, where the repair can be undone or a twin is at hand: no run proves anything without."
	}
	return fmt.Sprintf("Repair again; the next soak is to run for %s to be %s sure.%s", plain.Wait(a.Advice.Restarting), level, starts)
}

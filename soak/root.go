package soak

import "math"

// root returns x in [low, high] with f(x) = 0, where f changes sign once
// between the two ends. It brackets, so that it cannot run away, and treats an
// infinite value of f as a sign only.
//
// Method: T. R. Chandrupatla, A new hybrid quadratic/bisection algorithm for
// finding the zero of a nonlinear function without using derivatives, Advances
// in Engineering Software 28 (1997), 145-149.
func root(f func(float64) float64, low, high float64) float64 {
	const iterations = 200
	a, b := low, high
	fa, fb := f(a), f(b)
	c, fc := a, fa
	t := 0.5
	for range iterations {
		x := a + t*(b-a)
		fx := f(x)
		if math.Signbit(fx) == math.Signbit(fa) {
			c, fc = a, fa
		} else {
			c, fc = b, fb
			b, fb = a, fa
		}
		a, fa = x, fx
		best, fbest := a, fa
		if math.Abs(fb) < math.Abs(fa) {
			best, fbest = b, fb
		}
		width := math.Abs(b - a)
		tolerance := 2 * 0x1p-53 * math.Max(math.Abs(best), 1e-3)
		if fbest == 0 || width <= tolerance {
			return best
		}
		// Inverse quadratic interpolation where it is known to be safe.
		t = 0.5
		xi := (a - b) / (c - b)
		phi := (fa - fb) / (fc - fb)
		if finite(phi) && phi*phi < xi && (1-phi)*(1-phi) < 1-xi {
			q := fa/(fb-fa)*fc/(fb-fc) + (c-a)/(b-a)*fa/(fc-fa)*fb/(fc-fb)
			if finite(q) {
				t = q
			}
		}
		edge := tolerance / (2 * width)
		t = math.Min(1-edge, math.Max(edge, t))
	}
	return a + 0.5*(b-a)
}

// positiveRoot returns x > 0 with f(x) = 0, where f never falls as x grows. It
// searches ln x outwards from the guess; it returns 0 when f is not negative
// even for the smallest numbers, and +Inf when f is negative even for the
// largest.
func positiveRoot(f func(float64) float64, guess float64) float64 {
	const limit = 700 // exp(±700) is still an ordinary float64
	if !(guess > 0) || math.IsInf(guess, 1) {
		guess = 1
	}
	inLog := func(u float64) float64 { return f(math.Exp(u)) }
	start := math.Log(guess)
	start = math.Max(-limit, math.Min(limit, start))
	low, high := start, start
	if inLog(start) < 0 {
		for step := 0.5; ; step *= 2 {
			low, high = high, math.Min(limit, high+step)
			if inLog(high) >= 0 {
				break
			}
			if high == limit {
				return math.Inf(1)
			}
		}
	} else {
		for step := 0.5; ; step *= 2 {
			low, high = math.Max(-limit, low-step), low
			if inLog(low) < 0 {
				break
			}
			if low == -limit {
				return 0
			}
		}
	}
	return math.Exp(root(inLog, low, high))
}

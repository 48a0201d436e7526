package sparse

import (
	"math"
	"unsafe"
)

// Scalar is the type of a coefficient: real for direct current and transients,
// complex for alternating current.
type Scalar interface{ float64 | complex128 }

// size measures a value: its magnitude, or for a complex one the sum of the
// magnitudes of its parts, which is as good for comparing and quicker. It looks
// at the bytes because a type switch would cost more than all the arithmetic
// around it; the test is decided when the code is compiled.
func size[T Scalar](x T) float64 {
	if unsafe.Sizeof(x) == unsafe.Sizeof(float64(0)) {
		return math.Abs(*(*float64)(unsafe.Pointer(&x)))
	}
	c := *(*complex128)(unsafe.Pointer(&x))
	return math.Abs(real(c)) + math.Abs(imag(c))
}

// inverse returns 1/x. For a complex value it does without the care for infinite
// operands that the language's division takes.
//
// Source: R. L. Smith, "Algorithm 116: Complex division", Communications of the
// ACM 5 (1962), page 435.
func inverse[T Scalar](x T) T {
	if unsafe.Sizeof(x) == unsafe.Sizeof(float64(0)) {
		return 1 / x
	}
	c := *(*complex128)(unsafe.Pointer(&x))
	re, im := real(c), imag(c)
	if math.Abs(re) >= math.Abs(im) {
		ratio := im / re
		scale := 1 / (re + im*ratio)
		c = complex(scale, -ratio*scale)
	} else {
		ratio := re / im
		scale := 1 / (re*ratio + im)
		c = complex(ratio*scale, -scale)
	}
	return *(*T)(unsafe.Pointer(&c))
}

// fromFloat converts a real number.
func fromFloat[T Scalar](x float64) T {
	var t T
	if unsafe.Sizeof(t) == unsafe.Sizeof(float64(0)) {
		*(*float64)(unsafe.Pointer(&t)) = x
	} else {
		*(*complex128)(unsafe.Pointer(&t)) = complex(x, 0)
	}
	return t
}

// modulus is the magnitude of x in the strict sense.
func modulus[T Scalar](x T) float64 {
	if unsafe.Sizeof(x) == unsafe.Sizeof(float64(0)) {
		return math.Abs(*(*float64)(unsafe.Pointer(&x)))
	}
	c := *(*complex128)(unsafe.Pointer(&x))
	return math.Hypot(real(c), imag(c))
}

// conjugate returns the complex conjugate of x.
func conjugate[T Scalar](x T) T {
	if unsafe.Sizeof(x) == unsafe.Sizeof(float64(0)) {
		return x
	}
	c := *(*complex128)(unsafe.Pointer(&x))
	c = complex(real(c), -imag(c))
	return *(*T)(unsafe.Pointer(&c))
}

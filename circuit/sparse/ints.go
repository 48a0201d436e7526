package sparse

// ints hands out slices of one allocation. The many short-lived lists of an
// analysis would otherwise cost more in allocation than in work.
type ints []int32

// take returns the next n, zeros if they have not been handed out before: a
// copy of what is left hands out the same again.
func (a *ints) take(n int) []int32 {
	s := (*a)[:n:n]
	*a = (*a)[n:]
	return s
}

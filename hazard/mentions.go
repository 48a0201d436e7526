package hazard

// Mentions reports whether the hazard names a part: among its parts, or as a word of
// its name or place.
func (h *Item) Mentions(part string) bool { return mentions(h, part) }

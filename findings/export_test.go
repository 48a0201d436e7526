package findings

import (
	"context"

	"halfsplit/logbook"
	"halfsplit/sheet"
)

// AllTests is Reason with every candidate test in the report, not only the
// first few.
func AllTests(ctx context.Context, c *logbook.Case, s *sheet.Sheet) (*Report, error) {
	return reason(ctx, c, s, Options{}, 10_000)
}

// TooHot gives the limits of temperature.
var TooHot = tooHot

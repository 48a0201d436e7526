package library

import (
	"context"

	"halfsplit/prediction"
	"halfsplit/sheet"
)

// ReadOne reads every node of a circuit, for tests.
func ReadOne(ctx context.Context, s *sheet.Sheet, c *sheet.Circuit) (map[string]map[prediction.Aspect]float64, error) {
	return readOne(ctx, s, c)
}

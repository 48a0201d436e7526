package main

import (
	"context"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
)

func main() {
	if err := run(context.Background(), "examples"); err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
}

// noise is the same sequence for each file, each time.
func noise(file uint64) *rand.Rand { return rand.New(rand.NewPCG(40, file)) }

// run makes all files in the folder of the sheets.
func run(ctx context.Context, folder string) error {
	sheet, err := os.ReadFile(filepath.Join(folder, "f220.sheet.yaml"))
	if err != nil {
		return err
	}
	before, err := solenoid(ctx, sheet, dried, noise(1))
	if err != nil {
		return fmt.Errorf("f220-raw.csv: %w", err)
	}
	after, err := solenoid(ctx, sheet, renewed, noise(2))
	if err != nil {
		return fmt.Errorf("f220-raw-after.csv: %w", err)
	}
	good, stuck := program(noise(3))
	for name, content := range map[string][]byte{
		"f220-raw.csv":       before,
		"f220-raw-after.csv": after,
		"t40-warmup.csv":     warmup(noise(4)),
		"t40-u21-a.bin":      good,
		"t40-u21-b.bin":      stuck,
	} {
		if err := os.WriteFile(filepath.Join(folder, name), content, 0o644); err != nil {
			return err
		}
	}
	return nil
}

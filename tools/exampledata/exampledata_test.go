package main

import (
	"bytes"
	"context"
	"os"
	"path/filepath"
	"testing"

	"halfsplit/memory"
)

// The files in folder examples are those that are made here.
func TestExamplesAreMade(t *testing.T) {
	folder := t.TempDir()
	sheet, err := os.ReadFile("../../examples/f220.sheet.yaml")
	if err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(filepath.Join(folder, "f220.sheet.yaml"), sheet, 0o644); err != nil {
		t.Fatal(err)
	}
	if err := run(context.Background(), folder); err != nil {
		t.Fatal(err)
	}
	made, err := os.ReadDir(folder)
	if err != nil {
		t.Fatal(err)
	}
	for _, file := range made {
		want, err := os.ReadFile(filepath.Join(folder, file.Name()))
		if err != nil {
			t.Fatal(err)
		}
		got, err := os.ReadFile(filepath.Join("../../examples", file.Name()))
		if err != nil {
			t.Fatal(err)
		}
		if !bytes.Equal(got, want) {
			t.Errorf("%s is not what is made: go run ./tools/exampledata", file.Name())
		}
	}
}

// The two dumps differ in one data line only, which never moves in the second.
func TestProgram(t *testing.T) {
	good, stuck := program(noise(3))
	if s := memory.Sum(good); s.Sum8 != 0x40 {
		t.Errorf("the sum ends in %02X", s.Sum8)
	}
	for i := range good {
		if d := good[i] ^ stuck[i]; d&^(1<<3) != 0 || stuck[i]&(1<<3) != 0 {
			t.Fatalf("byte %d: %02X and %02X", i, good[i], stuck[i])
		}
	}
}

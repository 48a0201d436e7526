package main

import (
	"bytes"
	"context"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// What the trace commands print to be entered in a case is read by the case, and
// counts: the ripple as evidence, the runs for the proof.
func TestEntriesFitTheCase(t *testing.T) {
	output := func(arguments ...string) string {
		t.Helper()
		var out, complaints bytes.Buffer
		if code := run(context.Background(), arguments, &out, &complaints); code != 0 {
			t.Fatalf("%v: exit %d: %s", arguments, code, complaints.String())
		}
		return out.String()
	}
	entries := ""
	for _, text := range []string{
		output("trace", "ripple", "../../examples/p6-ripple.csv", "--rail", "TP+"),
		output("trace", "events", "../../examples/vt9-before.csv", "--channel", "+5 V", "--limit", "4.75..5.25V", "--temperature", "case"),
	} {
		_, list, found := strings.Cut(text, "To enter in the case\n")
		if !found {
			t.Fatalf("no entries in:\n%s", text)
		}
		entries += list
	}
	folder := t.TempDir()
	sheet, err := os.ReadFile("../../examples/p6.sheet.yaml")
	if err != nil {
		t.Fatal(err)
	}
	file := filepath.Join(folder, "x.case.yaml")
	log := "case: 1\nunit: {model: Corvane P6}\nsheet: p6.sheet.yaml\nlog:\n  - {safe: mains inlet}\n  - {safe: memory battery}\n  - {symptom: hum on everything, at: line out, reads: hum}\n"
	for name, text := range map[string]string{filepath.Join(folder, "p6.sheet.yaml"): string(sheet), file: log + entries} {
		if err := os.WriteFile(name, []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	found := output("case", file)
	for _, want := range []string{"TP+ reads 178 mV p-p", "From 3 failures before the repair"} {
		if !strings.Contains(found, want) {
			t.Errorf("the case does not use the entries; %q is missing in:\n%s", want, found)
		}
	}
}

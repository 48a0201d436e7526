package main

import (
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
)

// TestNothingAcknowledgedIsLost does what docs/reliability.md tells to do, with
// fewer kills. The program is built for itself, so that it runs as fast as what
// people use.
func TestNothingAcknowledgedIsLost(t *testing.T) {
	program := filepath.Join(t.TempDir(), "crash.exe")
	if out, err := exec.Command("go", "build", "-o", program, ".").CombinedOutput(); err != nil {
		t.Fatalf("%v\n%s", err, out)
	}
	out, err := exec.Command(program, "-kills", "200", "-random", "7").CombinedOutput()
	t.Logf("%s", out)
	if err != nil {
		t.Fatal(err)
	}
	if !strings.Contains(string(out), "200 kills") || strings.Contains(string(out), " 0 entries,") {
		t.Error("it did not do what it should")
	}
}

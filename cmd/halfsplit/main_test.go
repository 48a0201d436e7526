package main

import (
	"bytes"
	"context"
	"encoding/json"
	"flag"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/rogpeppe/go-internal/testscript"
)

var update = flag.Bool("update", false, "accept the printed output as it is")

func TestMain(m *testing.M) {
	testscript.Main(m, map[string]func(){"halfsplit": main})
}

// TestScripts runs the shell-like sessions in testdata/script: good and bad
// input, exit codes, messages.
func TestScripts(t *testing.T) {
	testscript.Run(t, testscript.Params{
		Dir:           "testdata/script",
		UpdateScripts: *update,
		Setup: func(env *testscript.Env) error {
			examples, err := filepath.Abs("../../examples")
			env.Setenv("EXAMPLES", examples)
			return err
		},
		Cmds: map[string]func(ts *testscript.TestScript, neg bool, args []string){
			// damage FILE changes one byte among the readings of a trace file.
			"damage": func(ts *testscript.TestScript, _ bool, args []string) {
				file := ts.MkAbs(args[0])
				b, err := os.ReadFile(file)
				ts.Check(err)
				const readings = 200 // beyond the head of a file with one channel
				b[readings] ^= 1
				ts.Check(os.WriteFile(file, b, 0o644))
			},
			// garbage FILE writes a megabyte that no person would type.
			"garbage": func(ts *testscript.TestScript, _ bool, args []string) {
				text := bytes.Repeat([]byte("[{: - & * \x00\xff\xfe% @`|>!\n\t? "), 1<<20/28)
				ts.Check(os.WriteFile(ts.MkAbs(args[0]), text, 0o644))
			},
		},
	})
}

// program builds the program as it is shipped, once for all tests: solving the
// circuits of the examples would take minutes under the race detector, which other
// tests have it under.
var program = sync.OnceValues(func() (path string, err error) {
	folder, err := os.MkdirTemp("", "halfsplit")
	if err != nil {
		return "", err
	}
	path = filepath.Join(folder, "halfsplit.exe")
	if text, err := exec.Command("go", "build", "-o", path, ".").CombinedOutput(); err != nil {
		return "", fmt.Errorf("%w\n%s", err, text)
	}
	return path, nil
})

// shipped runs the program as it is shipped and gives what it prints. What its
// circuits do is kept beside it for the other tests.
func shipped(t *testing.T, arguments ...string) []byte {
	t.Helper()
	return shippedIn(t, "", arguments...)
}

// shippedIn does so in a folder.
func shippedIn(t *testing.T, folder string, arguments ...string) []byte {
	t.Helper()
	path, err := program()
	if err != nil {
		t.Fatal(err)
	}
	var out, complaints bytes.Buffer
	command := exec.Command(path, arguments...)
	command.Dir = folder
	command.Stdout, command.Stderr = &out, &complaints
	command.Env = append(os.Environ(), "HALFSPLIT_CACHE="+filepath.Join(filepath.Dir(path), "circuits"))
	if err := command.Run(); err != nil {
		t.Fatalf("%v: %v: %s", arguments, err, complaints.String())
	}
	return out.Bytes()
}

// TestExamples compares the printed output of every example case with the text
// that was reviewed by eye. After a change, read the new output, then accept
// it with -update.
func TestExamples(t *testing.T) {
	cases, err := filepath.Glob("../../examples/*.case.yaml")
	if err != nil || len(cases) == 0 {
		t.Fatal("no examples", err)
	}
	for _, file := range cases {
		name := strings.TrimSuffix(filepath.Base(file), ".case.yaml")
		t.Run(name, func(t *testing.T) {
			out := shipped(t, "case", file)
			golden := filepath.Join("testdata", name+".golden")
			if *update {
				if err := os.WriteFile(golden, out, 0o644); err != nil {
					t.Fatal(err)
				}
			}
			want, err := os.ReadFile(golden)
			if err != nil {
				t.Fatal(err)
			}
			if diff := cmp.Diff(string(want), string(out)); diff != "" {
				t.Errorf("printed output changed (−reviewed +now):\n%s", diff)
			}
		})
	}
}

// TestJSON checks that what is printed for programs is one JSON value with the
// same suspects as the text, for every example.
func TestJSON(t *testing.T) {
	cases, err := filepath.Glob("../../examples/*.case.yaml")
	if err != nil || len(cases) == 0 {
		t.Fatal("no examples", err)
	}
	for _, file := range cases {
		t.Run(filepath.Base(file), func(t *testing.T) {
			out, text := shipped(t, "case", "--json", file), shipped(t, "case", file)
			var r struct {
				Suspects []struct{ Name string }
				Clear    float64 `json:"nothing_wrong_any_more"`
				Verdicts []struct {
					At         string
					Verdict    string
					Conformity *float64 `json:"probability_of_conformity"`
				}
			}
			if err := json.Unmarshal(out, &r); err != nil {
				t.Fatal(err)
			}
			if len(r.Suspects) == 0 && r.Clear < 0.99 || len(r.Verdicts) == 0 {
				t.Fatalf("%d suspects, %d verdicts, all clear with %g", len(r.Suspects), len(r.Verdicts), r.Clear)
			}
			for _, s := range r.Suspects {
				if !bytes.Contains(text, []byte(s.Name)) {
					t.Errorf("suspect %s is not in the text", s.Name)
				}
			}
			for _, v := range r.Verdicts {
				if !bytes.Contains(text, []byte(strings.ToUpper(v.Verdict))) || v.Conformity == nil {
					t.Errorf("%s: verdict %q is not in the text, or has no probability", v.At, v.Verdict)
				}
			}
		})
	}
}

// BenchmarkHelp is the start-up of the program to printed help, inside the
// process.
func BenchmarkHelp(b *testing.B) {
	for b.Loop() {
		var out bytes.Buffer
		if code := run(context.Background(), []string{"--help"}, &out, &out); code != 0 {
			b.Fatal(code)
		}
	}
}

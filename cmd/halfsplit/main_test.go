package main

import (
	"bytes"
	"context"
	"encoding/json"
	"flag"
	"os"
	"path/filepath"
	"strings"
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
			var out, complaints bytes.Buffer
			if code := run(context.Background(), []string{"case", file}, &out, &complaints); code != 0 {
				t.Fatalf("exit %d: %s", code, complaints.String())
			}
			golden := filepath.Join("testdata", name+".golden")
			if *update {
				if err := os.WriteFile(golden, out.Bytes(), 0o644); err != nil {
					t.Fatal(err)
				}
			}
			want, err := os.ReadFile(golden)
			if err != nil {
				t.Fatal(err)
			}
			if diff := cmp.Diff(string(want), out.String()); diff != "" {
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
			var out, text, complaints bytes.Buffer
			if code := run(context.Background(), []string{"case", "--json", file}, &out, &complaints); code != 0 {
				t.Fatalf("exit %d: %s", code, complaints.String())
			}
			var r struct {
				Suspects []struct{ Name string }
				Verdicts []struct {
					At         string
					Verdict    string
					Conformity *float64 `json:"probability_of_conformity"`
				}
			}
			if err := json.Unmarshal(out.Bytes(), &r); err != nil {
				t.Fatal(err)
			}
			if code := run(context.Background(), []string{"case", file}, &text, &complaints); code != 0 {
				t.Fatalf("exit %d: %s", code, complaints.String())
			}
			if len(r.Suspects) == 0 || len(r.Verdicts) == 0 {
				t.Fatalf("%d suspects, %d verdicts", len(r.Suspects), len(r.Verdicts))
			}
			for _, s := range r.Suspects {
				if !strings.Contains(text.String(), s.Name) {
					t.Errorf("suspect %s is not in the text", s.Name)
				}
			}
			for _, v := range r.Verdicts {
				if !strings.Contains(text.String(), strings.ToUpper(v.Verdict)) || v.Conformity == nil {
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

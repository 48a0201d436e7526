package signal_test

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"halfsplit/signal"
)

// TestFromWord: what each word speaks for most. Several states are named where
// the word cannot tell them apart. Common practice, no source.
func TestFromWord(t *testing.T) {
	for _, c := range []struct {
		word string
		want []signal.State
	}{
		{"good", []signal.State{signal.Good}},
		{"bad", []signal.State{signal.Absent, signal.Low, signal.High, signal.StuckLow, signal.StuckHigh, signal.Floating, signal.Clamped, signal.Wrong}},
		{"absent", []signal.State{signal.Absent}},
		{"idle", []signal.State{signal.StuckLow, signal.StuckHigh}},
		{"low", []signal.State{signal.Low}},
		{"high", []signal.State{signal.High}},
		{"stuck low", []signal.State{signal.StuckLow}},
		{"stuck high", []signal.State{signal.StuckHigh}},
		{"floating", []signal.State{signal.Floating}},
		{"half level", []signal.State{signal.Clamped}},
		{"clamped", []signal.State{signal.Clamped}},
		{"pulsing", []signal.State{signal.Wrong}},
		{"wrong rate", []signal.State{signal.Wrong}},
		{"hum", []signal.State{signal.Noisy}},
		{"clean", []signal.State{signal.Good}},
	} {
		l, ok := signal.FromWord(c.word, signal.Slip)
		if !ok {
			t.Errorf("%q is not known", c.word)
			continue
		}
		for s := range l {
			best := slices.Contains(c.want, signal.State(s))
			if is := l[s] == l.Best(); is != best {
				t.Errorf("%q: %v is among the likeliest: %v, want %v", c.word, signal.State(s), is, best)
			}
		}
	}
	// Every group of words is in the table above: fifteen meanings.
	if n := len(signal.Glossary()); n != 15 {
		t.Errorf("%d meanings, 15 are tested", n)
	}
}

// Good and right speak against every way of being wrong; every other word but
// "clean", which says nothing of the level, speaks against good.
func TestWordsSpeakForOrAgainstGood(t *testing.T) {
	for _, word := range signal.Words() {
		l, _ := signal.FromWord(word, signal.Slip)
		for s := signal.Absent; s < signal.States; s++ {
			if signal.Canonical(word) == "good" && l[signal.Good] < 5*l[s] {
				t.Errorf("%q speaks against %v only %.1f to 1", word, s, l[signal.Good]/l[s])
			}
		}
		switch signal.Canonical(word) {
		case "good", "clean":
		default:
			if l.Best() < 20*l[signal.Good] {
				t.Errorf("%q speaks against good only %.1f to 1", word, l.Best()/l[signal.Good])
			}
		}
	}
	clean, _ := signal.FromWord("clean", signal.Slip)
	if clean[signal.Noisy] > clean[signal.Good]/10 || clean[signal.Low] < clean[signal.Good]*0.8 {
		t.Errorf("clean must speak against noise and hardly against low: %v", clean)
	}
}

// Words that mean the same say the same, in whatever letters and spaces.
func TestSynonyms(t *testing.T) {
	seen := map[string]bool{}
	for _, group := range signal.Glossary() {
		words := strings.Split(group.Words, ", ")
		first, _ := signal.FromWord(words[0], signal.Slip)
		for _, word := range words {
			for _, spelling := range []string{word, strings.ToUpper(word), "  " + strings.ReplaceAll(word, " ", "   ") + "\t"} {
				l, ok := signal.FromWord(spelling, signal.Slip)
				if !ok || l != first || !signal.Known(spelling) {
					t.Errorf("%q does not say what %q says", spelling, words[0])
				}
				if got := signal.Canonical(spelling); got != words[0] {
					t.Errorf("%q is printed as %q, want %q", spelling, got, words[0])
				}
			}
			if seen[word] {
				t.Errorf("%q stands for two things", word)
			}
			seen[word] = true
			if word != strings.Join(strings.Fields(strings.ToLower(word)), " ") {
				t.Errorf("%q can never be found", word)
			}
		}
		if group.Meaning == "" {
			t.Errorf("%q has no meaning", words[0])
		}
	}
	all := signal.Words()
	if len(all) != len(seen) {
		t.Errorf("%d words are listed, %d are in the glossary", len(all), len(seen))
	}
	for _, word := range signal.Headwords() {
		if signal.Canonical(word) != word {
			t.Errorf("%q is a headword but is printed as %q", word, signal.Canonical(word))
		}
	}
	if len(signal.Headwords()) != len(signal.Glossary()) {
		t.Error("each meaning has one headword")
	}
}

func TestUnknownWord(t *testing.T) {
	if _, ok := signal.FromWord("flux", signal.Slip); ok || signal.Known("flux") || signal.Known("") {
		t.Error("flux is not a word of the bench")
	}
	if got := signal.Canonical("Flux"); got != "Flux" {
		t.Errorf("an unknown word comes back as %q", got)
	}
}

// The surer the reader, the further a word can be trusted; a reader who is
// always wrong says nothing.
func TestSlip(t *testing.T) {
	for _, word := range signal.Headwords() {
		ratio := math.Inf(1)
		for _, slip := range []float64{0.001, signal.PlainSlip, signal.Slip, 0.2, 1} {
			l, _ := signal.FromWord(word, slip)
			now := l.Best() / slices.Min(l[:])
			if now >= ratio {
				t.Errorf("%q with a slip of %v: the states differ by %.2f, with a smaller one by %.2f", word, slip, now, ratio)
			}
			ratio = now
		}
		if ratio != 1 {
			t.Errorf("%q: a reader who is always wrong still tells the states apart by %.2f", word, ratio)
		}
	}
}

// Every state has a word of its own, said more often in that state than in any
// other, and in every state some word is said.
func TestAnswers(t *testing.T) {
	answers := signal.Answers()
	for truth := signal.State(0); truth < signal.States; truth++ {
		sum := 0.0
		for word := range answers {
			if answers[word][truth] <= 0 {
				t.Errorf("%v is never said of what is %v; a slip can say anything", signal.State(word), truth)
			}
			sum += answers[word][truth]
		}
		if math.Abs(sum-1) > 1e-12 {
			t.Errorf("in the state %v the answers add up to %v", truth, sum)
		}
		if got := likeliest(answers[truth]); got != truth {
			t.Errorf("%v is said most often of what is %v", truth, got)
		}
		for word := range answers {
			if answers[word][truth] > answers[truth][truth] {
				t.Errorf("what is %v is called %v more often", truth, signal.State(word))
			}
		}
	}
}

// A line that should move does not. What may it be doing?
func ExampleFromWord() {
	l, known := signal.FromWord("no activity", signal.Slip)
	fmt.Println(known, signal.Canonical("no activity"))
	for _, s := range []signal.State{signal.Good, signal.StuckLow, signal.Floating} {
		fmt.Printf("%v: %.3f\n", s, l[s])
	}
	// Output:
	// true idle
	// good: 0.040
	// stuck low: 1.000
	// floating: 0.616
}

// What would a probe say of a line that is stuck low?
func ExampleAnswers() {
	for word, chance := range signal.Answers() {
		if p := chance[signal.StuckLow]; p > 0.1 {
			fmt.Printf("%v: %.0f %%\n", signal.State(word), 100*p)
		}
	}
	// Output:
	// absent: 26 %
	// low: 13 %
	// stuck low: 43 %
	// clamped: 17 %
}

func BenchmarkFromWord(b *testing.B) {
	b.ReportAllocs()
	for b.Loop() {
		signal.FromWord("Stuck High", signal.Slip)
	}
}

package findings

import (
	"fmt"
	"strings"

	"halfsplit/banks"
	"halfsplit/flow"
	"halfsplit/logbook"
	"halfsplit/memory"
	"halfsplit/signal"
)

// Memory is what a self-test's statement or failing accesses say of a memory.
type Memory struct {
	Line   int           `json:"line"`
	Answer *banks.Answer `json:"answer"`
}

// The costs of replacing memory chips, in minutes, and their service, where a
// case does not say. Common practice, no source.
var (
	chipCosts   = memory.SwapCosts{Teardown: 30, Swap: 6, Test: 3, Chip: swapWaste, Minute: 1}
	chipService = memory.Service{Years: 10, Horizon: 5}
)

// memorySlip is the chance that a test of the memory itself names a chip wrongly:
// less than for a reading, since no one reads it off. Common practice, no source.
const memorySlip = 0.002

// passSlip is the chance that a test of the memory passes although a chip is bad
// in what it does not cover, such as cells that forget or disturb each other.
// What ails all chips at once would have to be missed in each.
// Common practice, no source.
const passSlip = 0.05

// memory takes in what was said of a memory: each chip whose bits fail is a
// wrong output, and each other one a right one, unless the test stopped before
// it came to it. What kind of fault it looks like is reported beside.
func (w *work) memory(e *logbook.Entry) {
	q := banks.Question{Array: e.Memory.Text, Costs: chipCosts, Service: chipService}
	firstOnly, passes := false, false
	for _, says := range e.Says {
		s, err := memory.ParseStatement(says.Text)
		if err != nil {
			w.failAt(says, err)
			return
		}
		firstOnly, passes = firstOnly || s.FirstOnly, passes || s.Passes
		q.Says = append(q.Says, s)
	}
	if passes {
		w.memoryPasses(e)
		return
	}
	if len(e.Failures) > 0 {
		var lines []string
		for _, f := range e.Failures {
			lines = append(lines, f.Text)
		}
		q.Failures = strings.NewReader(strings.Join(lines, "\n"))
	}
	if e.March.Text != "" {
		m, err := memory.FindMarch(e.March.Text)
		if err != nil {
			w.failAt(e.March, err)
			return
		}
		q.Test.March = m
	}
	answer, err := banks.Ask(w.sheet, q)
	if err != nil {
		w.fail(e, err)
		return
	}
	w.report.Memories = append(w.report.Memories, Memory{e.Place.Line, answer})
	wrong, _ := signal.FromWord("wrong", memorySlip)
	good, _ := signal.FromWord("good", memorySlip)
	if e.Doubtful {
		wrong, good = wrong.Doubted(), good.Doubted()
	}
	scene := w.scene(e, flow.Scene{})
	m, _ := banks.Find(w.sheet, e.Memory.Text)
	failing := answer.Failing()
	for i := range answer.Diagnosis.Chips {
		bank := m.Banks[i/len(m.Banks[0].Chips)].Name.Text
		p := w.place(m.ChipSignal(bank, i%len(m.Banks[0].Chips)))
		l, word := good, "good"
		switch {
		case failing[i]:
			l, word = wrong, "wrong"
		case firstOnly:
			continue
		}
		if !p.ok {
			continue
		}
		w.evidence.Read(scene, flow.Reading{Net: p.net, Likelihood: l})
		w.note(e, fmt.Sprintf("%s is %s by the test of memory %s", p.name, word, e.Memory.Text), scene, p, goodness(l))
	}
}

// memoryPasses takes in that a test of a memory passed: the output of each chip
// is good as far as the test covers it.
func (w *work) memoryPasses(e *logbook.Entry) {
	m, err := banks.Find(w.sheet, e.Memory.Text)
	if err != nil {
		w.fail(e, err)
		return
	}
	good, _ := signal.FromWord("good", passSlip)
	if e.Doubtful {
		good = good.Doubted()
	}
	scene := w.scene(e, flow.Scene{})
	for _, bank := range m.Banks {
		for bit := range bank.Chips {
			if p := w.place(m.ChipSignal(bank.Name.Text, bit)); p.ok {
				w.evidence.Read(scene, flow.Reading{Net: p.net, Likelihood: good})
				w.note(e, fmt.Sprintf("%s is good: the test of memory %s passes", p.name, e.Memory.Text), scene, p, goodness(good))
			}
		}
	}
}

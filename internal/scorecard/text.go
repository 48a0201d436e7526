package scorecard

import (
	"fmt"
	"io"
	"strings"
	"text/tabwriter"

	"halfsplit/rehearsal"
)

// Text prints a rehearsal for people. Costs are minutes.
func Text(to io.Writer, r *rehearsal.Result) error {
	p := &printer{to: to}
	p.head(r)
	p.bounds(r)
	p.belief(&r.Scores[0])
	p.hidden(r)
	p.rest(r)
	return p.err
}

// Circuit is what the rehearsal of one solved circuit came to.
type Circuit struct {
	Name string `json:"circuit"`
	*rehearsal.Result
	Unseen   float64  `json:"share_that_shows_at_no_output"`
	Unsolved []string `json:"faults_without_a_solution,omitempty"`
}

// Text prints it for people.
func (c *Circuit) Text(to io.Writer) error {
	p := &printer{to: to}
	p.line("")
	p.line("Circuit %s, solved: units with every fault of every part, their good parts off within tolerance, read in figures.", c.Name)
	p.head(c.Result)
	p.line("Of all its faults, %.0f %% (by their odds) show at no output and are not brought in.", 100*c.Unseen)
	if len(c.Unsolved) > 0 {
		p.line("Not played, since the circuit has no solution with them: %s.", strings.Join(c.Unsolved, "; "))
	}
	p.line("The complaint leaves %.1f bits to find out, of which %.1f are left when suspects are named. Were figures known by their ranges only, no plan could find that out with less than %.1f min of tests.", c.Entropy, c.Scores[0].Left, c.Testing)
	p.belief(&c.Scores[1])
	p.hidden(c.Result)
	p.rest(c.Result)
	return p.err
}

// head prints what was played and how each strategy did.
func (p *printer) head(r *rehearsal.Result) {
	p.line("%d suspects, %d ways to be bad, %d tests within reach; %d faults hunted on paper with each strategy.", r.Suspects, r.Hypotheses, r.Tests, r.Trials)
	p.line("Shares and means are given with the range in which the true one lies with 95 %%.")
	p.line("")
	p.strategies(r)
	p.line("")
	p.line("Tests and their time are counted until suspects are named; the whole time goes on until the unit works.")
}

// printer writes lines and keeps the first error.
type printer struct {
	to  io.Writer
	err error
}

func (p *printer) line(format string, values ...any) {
	if p.err == nil {
		_, p.err = fmt.Fprintf(p.to, format+"\n", values...)
	}
}

// table prints rows in columns.
func (p *printer) table(rows [][]string) {
	if p.err != nil {
		return
	}
	columns := tabwriter.NewWriter(p.to, 0, 8, 2, ' ', 0)
	for _, row := range rows {
		fmt.Fprintln(columns, strings.TrimRight("  "+strings.Join(row, "\t"), "\t"))
	}
	p.err = columns.Flush()
}

func (p *printer) strategies(r *rehearsal.Result) {
	rows := [][]string{{"strategy", "tests", "9 of 10 within", "minutes of tests", "minutes in all", "first is bad", "one of three is", "good parts replaced"}}
	for _, s := range r.Scores {
		rows = append(rows, []string{
			s.Strategy, fmt.Sprintf("%.1f", s.Tests.Mean), fmt.Sprintf("%.0f", s.Tests.Most), fmt.Sprintf("%.0f", s.Testing.Mean),
			mean(s.Cost), percent(s.First), percent(s.Three), fmt.Sprintf("%.2f", s.Innocent.Mean),
		})
	}
	p.table(rows)
}

// mean writes a mean with its limits.
func mean(a rehearsal.Average) string {
	return fmt.Sprintf("%.0f (%.0f–%.0f)", a.Mean, a.Low, a.High)
}

// percent writes a share with its limits.
func percent(s rehearsal.Share) string {
	if s.Of == 0 {
		return "–"
	}
	return fmt.Sprintf("%.0f %% (%.0f–%.0f)", 100*s.Value, 100*s.Low, 100*s.High)
}

func (p *printer) bounds(r *rehearsal.Result) {
	first := r.Scores[0]
	p.line("The complaint leaves %.1f bits to find out, of which %.1f are left when suspects are named.", r.Entropy, first.Left)
	switch {
	case r.Known:
		p.line("The best of all plans would take %.1f min of tests to a name; halfsplit takes %.1f.", r.Optimum, first.Testing.Mean)
	default:
		p.line("No plan whatever could do with less than %.1f min of tests; halfsplit takes %.1f. The best of all plans lies in between; it has too many branches to be worked out.", r.Testing, first.Testing.Mean)
	}
}

func (p *printer) belief(s *rehearsal.Score) {
	p.line("")
	p.line("Can its probabilities be believed? Of the first suspect of %s, after each test:", s.Strategy)
	rows := [][]string{{"it said", "on average", "and was right", "times"}}
	for _, b := range s.Bins {
		rows = append(rows, []string{
			fmt.Sprintf("%.0f–%.0f %%", 100*b.From, 100*b.To), fmt.Sprintf("%.0f %%", 100*b.Stated), percent(b.Right), fmt.Sprint(b.Statements),
		})
	}
	p.table(rows)
	p.line("On average it is off by %.1f %%; so few hunts show %.1f %% by chance alone. When suspects are named: %.1f %%. Brier score %.3f.", 100*s.Error, 100*s.Chance, 100*s.Last, s.Brier)
}

func (p *printer) hidden(r *rehearsal.Result) {
	p.line("")
	p.line("Faults of parts that the sheet leaves out (played by leaving out one that it has), recognised as not described:")
	rows := [][]string{{"strategy", "before any part is replaced", "after at most one in vain", "good parts replaced"}}
	for _, s := range r.Hidden {
		rows = append(rows, []string{s.Strategy, percent(s.Beyond), percent(s.After), fmt.Sprintf("%.2f", s.Innocent.Mean)})
	}
	p.table(rows)
}

func (p *printer) rest(r *rehearsal.Result) {
	if len(r.Groups) > 0 {
		p.line("")
		p.line("No test within reach tells these apart:")
		for _, group := range r.Groups {
			p.line("  %s", strings.Join(group, ", "))
		}
	}
	if len(r.Missed) > 0 {
		p.line("")
		p.line("Most often not named first when bad alone:")
		var rows [][]string
		for _, m := range r.Missed {
			rows = append(rows, []string{m.Name, fmt.Sprintf("%d of %d", m.Bad.Count, m.Bad.Of)})
		}
		p.table(rows)
	}
}

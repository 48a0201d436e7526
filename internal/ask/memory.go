package ask

import (
	"strings"

	"halfsplit/banks"
	"halfsplit/memory"
	"halfsplit/quantity"
	"halfsplit/sheet"
)

// Memory asks which chip of a memory is at fault, and what to replace.
type Memory struct {
	Array     string   `placeholder:"NAME" help:"Which of the sheet's memories; needed when it has several."`
	Says      []string `placeholder:"TEXT" sep:"none" help:"What a self-test says, such as \"bit 3 at 4000-7FFF\", \"mask 08 bank 1\", \"first at 4A37 expected 55 read 54\"."`
	At        []string `placeholder:"ADDRESS" sep:"," help:"An address to look up, in hexadecimal."`
	Test      string   `placeholder:"MARCH" help:"The march test that found the failures, by name (\"March C-\") or by its elements."`
	Runs      int      `default:"1" placeholder:"N" help:"How often that test ran."`
	Batch     []string `placeholder:"MARK=CHIPS" sep:"none" help:"Chips of one marking and date, such as 8112=U10,U11; 8112/2=U10,U11 when two of it were found bad before."`
	Teardown  string   `default:"30min" placeholder:"TIME" help:"Time to take the unit apart and put it together again."`
	Swap      string   `default:"6min" placeholder:"TIME" help:"Time to replace one chip: less in a socket, more on a tight board."`
	Check     string   `default:"3min" placeholder:"TIME" help:"Time of one run of the memory test."`
	ChipPrice float64  `default:"8" placeholder:"PRICE" help:"What a chip is worth, in the money of --hour; when neither is given costs count in minutes, and a chip as eight."`
	Hour      float64  `default:"60" placeholder:"PRICE" help:"What an hour is worth."`
	Years     float64  `default:"10" placeholder:"YEARS" help:"Years that the chips have been in use."`
	Horizon   float64  `default:"5" placeholder:"YEARS" help:"Years for which further failures count."`
}

// Question reads the question.
func (m *Memory) Question() (banks.Question, error) {
	q := banks.Question{Array: m.Array, Service: memory.Service{Years: m.Years, Horizon: m.Horizon}}
	q.Costs.Chip, q.Costs.Minute = m.ChipPrice, m.Hour/60
	for _, o := range []struct {
		field, text string
		into        *float64
	}{{"teardown", m.Teardown, &q.Costs.Teardown}, {"swap", m.Swap, &q.Costs.Swap}, {"check", m.Check, &q.Costs.Test}} {
		t, err := quantity.ParseAs(o.text, quantity.Second)
		if err != nil {
			return q, Mistake{o.field, err}
		}
		if t.Value < 0 {
			return q, wrong(o.field, "%s cannot be below zero", t)
		}
		*o.into = t.Value / 60
	}
	for _, says := range m.Says {
		s, err := memory.ParseStatement(says)
		if err != nil {
			return q, wrong("says", "%w", err)
		}
		q.Says = append(q.Says, s)
	}
	for _, at := range m.At {
		address, ok := sheet.Address(strings.TrimSpace(at))
		if !ok {
			return q, wrong("at", "%.40q is no address; write it in hexadecimal, as in 3FFF", at)
		}
		q.At = append(q.At, address)
	}
	for _, text := range m.Batch {
		b, err := banks.ParseBatch(text)
		if err != nil {
			return q, wrong("batch", "%w", err)
		}
		q.Batches = append(q.Batches, b)
	}
	if m.Test != "" {
		march, err := memory.FindMarch(m.Test)
		if err != nil {
			return q, wrong("test", "%w", err)
		}
		if march.Name == "" {
			march.Name = march.String()
		}
		q.Test.March = march
	}
	if q.Test.Runs = m.Runs; m.Runs < 1 || m.Runs > 1_000_000 {
		return q, wrong("runs", "%d; write how often the test ran, 1 or more", m.Runs)
	}
	return q, nil
}

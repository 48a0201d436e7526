package watch

import (
	"encoding/json"
	"fmt"
	"io"
	"math"
	"time"

	"halfsplit/internal/plain"
	"halfsplit/quantity"
)

// value writes a reading.
func (f Field) value(unit quantity.Unit) string {
	if f.State != Measured {
		return string(f.State)
	}
	return number(f.Value, unit)
}

func number(v float64, unit quantity.Unit) string {
	switch {
	case math.IsNaN(v):
		return "–"
	case v == 0:
		return "0 " + string(unit)
	}
	return quantity.FormatDigits(v, unit, 6)
}

// verdict writes the verdict in a word, or nothing.
func (f Field) verdict() string {
	if f.Verdict == nil {
		return ""
	}
	return f.Verdict.Word.String()
}

// Lines writes one line for each reading, for a pipe or a file.
type Lines struct {
	To       io.Writer
	Channels []Channel
}

// Row writes the readings of a row.
func (l *Lines) Row(r Row) error {
	for i, f := range r.Fields {
		at := f.At
		if f.State == Missing {
			at = r.Time
		}
		line := fmt.Sprintf("%s  %s  %s", clock(at), l.Channels[i].Name, f.value(l.Channels[i].Unit))
		if v := f.verdict(); v != "" {
			line += "  " + v
		}
		if _, err := fmt.Fprintln(l.To, line); err != nil {
			return err
		}
	}
	return nil
}

// Note writes a note.
func (l *Lines) Note(n Note) error {
	_, err := fmt.Fprintf(l.To, "%s  %s: %s\n", clock(n.Time), n.Channel, oneLine(n.Text))
	return err
}

// clock writes the time of day.
func clock(t time.Time) string { return t.Format("15:04:05.000") }

// JSON writes one JSON value in a line for each reading and note.
type JSON struct {
	To       io.Writer
	Channels []Channel
}

type jsonReading struct {
	Time    string   `json:"time"`
	Meter   string   `json:"meter"`
	State   State    `json:"state"`
	Value   *float64 `json:"value"` // in the unit; null where there is none
	Unit    string   `json:"unit"`
	Verdict string   `json:"verdict,omitempty"`
	Chance  *float64 `json:"probability_of_conformity,omitempty"`
	U       *float64 `json:"standard_uncertainty,omitempty"`
	Low     *float64 `json:"low,omitempty"`
	High    *float64 `json:"high,omitempty"`
}

func finite(v float64) *float64 {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return nil
	}
	return &v
}

// Row writes the readings of a row.
func (j *JSON) Row(r Row) error {
	for i, f := range r.Fields {
		c, at := &j.Channels[i], f.At
		if f.State == Missing {
			at = r.Time
		}
		line := jsonReading{Time: at.UTC().Format(stampForm), Meter: c.Name, State: f.State, Value: finite(f.Value), Unit: string(c.Unit), Verdict: f.verdict()}
		if c.Limit != nil {
			line.Low, line.High = finite(c.Limit.Low), finite(c.Limit.High)
		}
		if v := f.Verdict; v != nil {
			line.Chance, line.U = finite(v.Conformity.Conforming), finite(v.Estimate.U)
		}
		if err := j.line(line); err != nil {
			return err
		}
	}
	return nil
}

// Note writes a note.
func (j *JSON) Note(n Note) error {
	return j.line(struct {
		Time  string `json:"time"`
		Meter string `json:"meter"`
		Note  string `json:"note"`
	}{n.Time.UTC().Format(stampForm), n.Channel, n.Text})
}

type jsonTally struct {
	Name         string   `json:"meter"`
	Readings     int      `json:"readings"`
	Lowest       *float64 `json:"lowest"`
	Highest      *float64 `json:"highest"`
	Mean         *float64 `json:"mean"`
	Within       int      `json:"within"`
	Close        int      `json:"too_close_to_call"`
	Outside      int      `json:"outside"`
	Overloads    int      `json:"overloads"`
	Missing      int      `json:"missing"`
	FirstOutside string   `json:"first_outside,omitempty"`
}

// End writes the sums.
func (j *JSON) End(t *Tally, file string) error {
	end := struct {
		Rows   int         `json:"rows"`
		Trace  string      `json:"trace,omitempty"`
		Meters []jsonTally `json:"meters"`
	}{Rows: t.Rows, Trace: file}
	for _, c := range t.Channels {
		one := jsonTally{Name: c.Name, Readings: c.Readings, Lowest: finite(c.Lowest), Highest: finite(c.Highest), Mean: finite(c.Mean),
			Within: c.Within, Close: c.Close, Outside: c.Outside, Overloads: c.Overloads, Missing: c.Missing}
		if !c.FirstOutside.IsZero() {
			one.FirstOutside = c.FirstOutside.UTC().Format(stampForm)
		}
		end.Meters = append(end.Meters, one)
	}
	return j.line(end)
}

func (j *JSON) line(v any) error {
	e := json.NewEncoder(j.To)
	e.SetEscapeHTML(false)
	return e.Encode(v)
}

// Sum writes the sums as a table.
func Sum(to io.Writer, t *Tally, channels []Channel, file string) error {
	p := plain.To(to)
	where := ""
	if file != "" {
		where = ", in " + file
	}
	p.Line("Watched for %s: %d rows%s", quantity.FormatDuration(math.Round(t.To.Sub(t.From).Seconds())), t.Rows, where)
	rows := [][]string{{"", "readings", "lowest", "highest", "mean", "within", "too close", "outside", "overload", "missing"}}
	for i, c := range t.Channels {
		unit := channels[i].Unit
		row := []string{c.Name, fmt.Sprint(c.Readings), number(c.Lowest, unit), number(c.Highest, unit), number(c.Mean, unit)}
		if channels[i].Limit == nil {
			row = append(row, "–", "–", "–")
		} else {
			row = append(row, fmt.Sprint(c.Within), fmt.Sprint(c.Close), fmt.Sprint(c.Outside))
		}
		rows = append(rows, append(row, fmt.Sprint(c.Overloads), fmt.Sprint(c.Missing)))
	}
	p.Table(rows)
	for _, c := range t.Channels {
		if !c.FirstOutside.IsZero() {
			p.Line("%s was first outside at %s, %s into the watch", c.Name, clock(c.FirstOutside), quantity.FormatDuration(math.Round(c.FirstOutside.Sub(t.From).Seconds())))
		}
	}
	return p.Err()
}

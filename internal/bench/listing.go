package bench

import (
	"context"
	"encoding/csv"
	"fmt"
	"io"
	"iter"
	"strconv"
	"strings"
	"time"

	"halfsplit/internal/record"
)

// Lister is where lists are found.
type Lister interface {
	Records
	Units(ctx context.Context, f record.UnitFilter) (record.List[record.UnitRow], error)
	Jobs(ctx context.Context, f record.JobFilter) (record.List[record.JobRow], error)
	Entries(ctx context.Context, f record.EntryFilter) (record.List[record.Entry], error)
	Stocks(ctx context.Context, f record.StockFilter) (record.List[record.Stock], error)
	Bins(ctx context.Context) ([]record.Bin, error)
	Needs(ctx context.Context, job record.ID) ([]record.Need, error)
	Orders(ctx context.Context) ([]record.Order, error)
	Sheets(ctx context.Context) ([]record.Sheet, error)
	Swaps(ctx context.Context) iter.Seq2[record.SwapRow, error]
}

// Chosen says which rows of a list are wanted; what does not apply to a list is
// not looked at.
type Chosen struct {
	Text     string
	Standing record.Standing
	Stage    record.Stage
	Open     bool // units and jobs with work to do; needs that are wanted
	Unit     record.ID
	Job      record.ID
	Verb     string
	Short    bool // stock below its least
}

// Listing is a list to print or to save: every row has a cell for each heading.
type Listing struct {
	Header []string
	Rows   [][]string
}

// listings are the lists by name.
var listings = []struct {
	name, of string
	list     func(ctx context.Context, r Lister, c Chosen) (*Listing, error)
}{
	{"units", "the collection", listUnits},
	{"jobs", "work done and to do", listJobs},
	{"entries", "logbooks", listEntries},
	{"swaps", "parts that were changed", listSwaps},
	{"stock", "the parts drawer", listStock},
	{"needs", "parts that jobs need", listNeeds},
	{"orders", "what was ordered", listOrders},
	{"sheets", "service sheets", listSheets},
	{"instruments", "meters and their calibration", listInstruments},
}

// Lists names the lists, each with what it holds.
func Lists() (names, of []string) {
	for _, l := range listings {
		names, of = append(names, l.name), append(of, l.of)
	}
	return names, of
}

// List gives a whole list by its name.
func List(ctx context.Context, r Lister, name string, c Chosen) (*Listing, error) {
	for _, l := range listings {
		if l.name == name {
			return l.list(ctx, r, c)
		}
	}
	names, _ := Lists()
	return nil, fmt.Errorf("there is no list %q; there are: %s", name, strings.Join(names, ", "))
}

// CSV writes the list for a spreadsheet (RFC 4180).
func (l *Listing) CSV(to io.Writer) error {
	w := csv.NewWriter(to)
	w.UseCRLF = true
	if err := w.Write(l.Header); err != nil {
		return err
	}
	return w.WriteAll(l.Rows)
}

// Objects gives each row as an object, for a program.
func (l *Listing) Objects() []map[string]string {
	list := make([]map[string]string, len(l.Rows))
	for i, r := range l.Rows {
		list[i] = map[string]string{}
		for n, cell := range r {
			if cell != "" {
				list[i][l.Header[n]] = cell
			}
		}
	}
	return list
}

// Empty reports whether no row has anything in a column.
func (l *Listing) Empty(column int) bool {
	for _, r := range l.Rows {
		if r[column] != "" {
			return false
		}
	}
	return true
}

// all goes through every page of a list.
func all[T any](page func(record.Page) (record.List[T], error), each func(*T)) error {
	at := record.Page{Limit: 500}
	for {
		list, err := page(at)
		if err != nil {
			return err
		}
		for i := range list.Items {
			each(&list.Items[i])
		}
		if at.After = list.Next; at.After == "" {
			return nil
		}
	}
}

func (l *Listing) row(cells ...string) { l.Rows = append(l.Rows, cells) }

func listUnits(ctx context.Context, r Lister, c Chosen) (*Listing, error) {
	l := &Listing{Header: []string{"code", "maker", "model", "serial", "year", "standing", "place", "owner", "sheet", "open jobs", "jobs", "last on"}}
	f := record.UnitFilter{Text: c.Text, Standing: c.Standing, OpenJobs: c.Open}
	return l, all(func(p record.Page) (record.List[record.UnitRow], error) { f.Page = p; return r.Units(ctx, f) }, func(u *record.UnitRow) {
		l.row(u.Code, u.Maker, u.Model, u.Serial, number(int64(u.Year)), string(u.Standing), u.Place, u.Owner, u.Sheet, strconv.Itoa(u.OpenJobs), strconv.Itoa(u.Jobs), string(u.LastOn))
	})
}

func listJobs(ctx context.Context, r Lister, c Chosen) (*Listing, error) {
	l := &Listing{Header: []string{"job", "unit", "name", "title", "stage", "outcome", "opened", "closed", "entries", "minutes", "cost"}}
	f := record.JobFilter{Text: c.Text, Stage: c.Stage, Unit: c.Unit}
	if c.Open {
		f.Open = &c.Open
	}
	return l, all(func(p record.Page) (record.List[record.JobRow], error) { f.Page = p; return r.Jobs(ctx, f) }, func(j *record.JobRow) {
		l.row(id(j.ID), j.UnitCode, j.UnitName, j.Title, string(j.Stage), string(j.Outcome), date(j.Opened), date(j.Closed),
			strconv.Itoa(j.Entries), strconv.FormatFloat(j.Seconds/60, 'f', 0, 64), hundredths(j.Cost))
	})
}

func listEntries(ctx context.Context, r Lister, c Chosen) (*Listing, error) {
	l := &Listing{Header: []string{"job", "entry", "when", "who", "what", "says", "minutes", "cost", "corrects", "corrected by"}}
	f := record.EntryFilter{Text: c.Text, Job: c.Job, Unit: c.Unit, Verb: c.Verb}
	return l, all(func(p record.Page) (record.List[record.Entry], error) { f.Page = p; return r.Entries(ctx, f) }, func(e *record.Entry) {
		l.row(id(e.Job), e.Name(), written(e.At), e.Who, e.Verb, Said(e), strconv.FormatFloat(e.Seconds/60, 'f', 0, 64), hundredths(e.Cost), id(e.Corrects), id(e.CorrectedBy))
	})
}

func listSwaps(ctx context.Context, r Lister, _ Chosen) (*Listing, error) {
	l := &Listing{Header: []string{"job", "when", "part", "kind", "family", "maker", "batch", "was", "how", "measured", "in", "in maker", "in batch"}}
	for s, err := range r.Swaps(ctx) {
		if err != nil {
			return nil, err
		}
		l.row(id(s.Job), date(s.At), s.Part, s.Kind, s.OutFamily, s.OutMaker, s.OutBatch, string(s.Condition), s.Mode, s.Measured, s.InMarking, s.InMaker, s.InBatch)
	}
	return l, nil
}

func listStock(ctx context.Context, r Lister, c Chosen) (*Listing, error) {
	l := &Listing{Header: []string{"bin", "part", "count", "least", "maker", "batch", "price", "origin", "note"}}
	bins, err := r.Bins(ctx)
	if err != nil {
		return nil, err
	}
	code := map[record.ID]string{}
	for _, b := range bins {
		code[b.ID] = b.Code
	}
	f := record.StockFilter{Text: c.Text, Short: c.Short}
	return l, all(func(p record.Page) (record.List[record.Stock], error) { f.Page = p; return r.Stocks(ctx, f) }, func(s *record.Stock) {
		l.row(code[s.Bin], s.Part, strconv.Itoa(s.Count), number(int64(s.Least)), s.Maker, s.Batch, hundredths(s.Price), s.Origin, s.Note)
	})
}

func listNeeds(ctx context.Context, r Lister, c Chosen) (*Listing, error) {
	l := &Listing{Header: []string{"job", "part", "for", "count", "progress", "note"}}
	needs, err := r.Needs(ctx, c.Job)
	for _, n := range needs {
		if c.Open && n.Progress != record.Wanted {
			continue
		}
		l.row(id(n.Job), n.Part, n.For, strconv.Itoa(n.Count), string(n.Progress), n.Note)
	}
	return l, err
}

func listOrders(ctx context.Context, r Lister, _ Chosen) (*Listing, error) {
	l := &Listing{Header: []string{"supplier", "number", "placed", "arrived", "part", "count", "price", "job"}}
	orders, err := r.Orders(ctx)
	for _, o := range orders {
		for _, line := range o.Lines {
			l.row(o.Supplier, o.Number, string(o.Placed), string(o.Arrived), line.Part, strconv.Itoa(line.Count), hundredths(line.Price), id(line.Job))
		}
	}
	return l, err
}

func listSheets(ctx context.Context, r Lister, _ Chosen) (*Listing, error) {
	l := &Listing{Header: []string{"sheet", "version", "of", "made", "note"}}
	sheets, err := r.Sheets(ctx)
	for _, s := range sheets {
		l.row(s.Name, strconv.Itoa(s.Version), s.Title, date(s.Created), s.Note)
	}
	return l, err
}

func listInstruments(ctx context.Context, r Lister, _ Chosen) (*Listing, error) {
	l := &Listing{Header: []string{"instrument", "accuracy", "calibrated", "due", "address", "note"}}
	instruments, err := r.Instruments(ctx)
	for _, m := range instruments {
		l.row(m.Name, inner(m.Line), string(m.Calibrated), string(m.Due), m.Address, m.Note)
	}
	return l, err
}

// id is a number of a record, "" for none.
func id(n record.ID) string { return number(int64(n)) }

// number is a number, "" for zero.
func number(n int64) string {
	if n == 0 {
		return ""
	}
	return strconv.FormatInt(n, 10)
}

// hundredths is an amount of money without its currency, "" for none.
func hundredths(n int64) string {
	if n == 0 {
		return ""
	}
	return fmt.Sprintf("%d.%02d", n/100, n%100)
}

// Money reads an amount of money, as in 4.20 or 4,20, in hundredths.
func Money(text string) (int64, error) {
	whole, part, _ := strings.Cut(strings.Replace(strings.TrimSpace(text), ",", ".", 1), ".")
	units, err := strconv.ParseInt(whole, 10, 64)
	cents, bad := strconv.ParseUint((part + "00")[:2], 10, 64)
	if err != nil || bad != nil || len(part) > 2 || units < 0 || units > 1e12 {
		return 0, fmt.Errorf("%q is no amount of money; write it as in 4.20", text)
	}
	return units*100 + int64(cents), nil
}

func date(t time.Time) string {
	if t.IsZero() {
		return ""
	}
	return t.Format("2006-01-02")
}

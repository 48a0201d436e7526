package web

import (
	"fmt"
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"strings"
	"time"

	"halfsplit/findings"
	"halfsplit/internal/bench"
	"halfsplit/internal/record"
	"halfsplit/internal/web/look"
)

// entriesMost is how many entries stand on a page.
const entriesMost = 100

// logRow is an entry as the logbook shows it.
type logRow struct {
	record.Entry
	Said        string
	Verdicts    []findings.Verdict
	Unfit       string // why it is not reasoned with
	CorrectedBy string // name of the entry that corrects it
	Corrects    string // name of the entry that it corrects
}

// logScreen shows the logbook.
func (s *Server) logScreen(r *http.Request) (View, error) {
	v, err := s.workOf(r)
	if err != nil {
		return View{}, err
	}
	in, err := Read(r)
	if err != nil {
		return View{}, err
	}
	settings, err := s.records.Settings(r.Context())
	if err != nil {
		return View{}, err
	}
	photos, err := s.records.Photos(r.Context(), 0, v.Job.ID)
	if err != nil {
		return View{}, err
	}
	from, _ := strconv.Atoi(in.Text("from"))                               // what is no number is the beginning
	if id, err := strconv.ParseInt(in.Text("entry"), 10, 64); err == nil { // the page on which it stands
		if i := slices.IndexFunc(v.Log, func(e record.Entry) bool { return e.ID == record.ID(id) }); i >= 0 {
			from = (len(v.Log) - 1 - i) / entriesMost * entriesMost
		}
	}
	rows, older := v.rows(in.Text("verb"), in.Text("text"), max(0, from))
	return View{Title: "Logbook", Place: "/collection", Back: v.back(), Body: logScreenPage(v, rows, older, in, settings.Currency, photosByID(photos))}, nil
}

func photosByID(list []record.Photo) map[record.ID]record.Photo {
	all := map[record.ID]record.Photo{}
	for _, p := range list {
		all[p.ID] = p
	}
	return all
}

// rows are entries of the logbook, the newest first, from the given one on; older
// is where the next page begins, 0 when there is none.
func (v *jobView) rows(verb, text string, from int) (rows []logRow, older int) {
	names := map[record.ID]string{}
	for i := range v.Log {
		names[v.Log[i].ID] = v.Log[i].Name()
	}
	verdicts := map[record.ID][]findings.Verdict{}
	unfit := map[record.ID]string{}
	if v.Work != nil {
		for _, d := range v.verdicts() {
			id := v.Work.Entry(d.Line)
			verdicts[id] = append(verdicts[id], d)
		}
		for _, u := range v.Work.Unfit {
			unfit[u.Entry] = u.Why
		}
	}
	if v.Said != nil && v.Work != nil {
		for _, u := range v.Said.Unused {
			if id := v.Work.Entry(u.Line); unfit[id] == "" {
				unfit[id] = u.Why
			}
		}
	}
	at := 0
	for i := len(v.Log) - 1; i >= 0; i-- {
		e := v.Log[i]
		if verb != "" && e.Verb != verb {
			continue
		}
		said := bench.Said(&e)
		if text != "" && !strings.Contains(strings.ToLower(said+" "+e.Who+" "+e.Name()), strings.ToLower(text)) {
			continue
		}
		if at++; at <= from {
			continue
		}
		if len(rows) == entriesMost {
			return rows, from + entriesMost
		}
		rows = append(rows, logRow{e, said, verdicts[e.ID], unfit[e.ID], names[e.CorrectedBy], names[e.Corrects]})
	}
	return rows, 0
}

// stamp writes when something was done.
func stamp(at time.Time) string { return at.Local().Format("2006-01-02 15:04") }

// money writes an amount.
func money(hundredths int64, currency string) string {
	return strings.TrimSpace(fmt.Sprintf("%d.%02d %s", hundredths/100, hundredths%100, currency))
}

// verbOptions are the kinds of entry to look for.
func verbOptions() []look.Option {
	options := []look.Option{{Value: "", Text: "all entries"}}
	for _, k := range entryKinds {
		options = append(options, look.Option{Value: k.Verb, Text: k.Name})
	}
	return options
}

// entryName is what the entry on a line of the case is called; empty when none
// stands there.
func (v *jobView) entryName(line int) string {
	work := v.Work
	if v.Found != nil {
		work = v.Found.Casework // lines are those of the case that was reasoned over
	}
	if work == nil {
		return ""
	}
	id := work.Entry(line)
	for i := range v.Log {
		if v.Log[i].ID == id {
			return v.Log[i].Name()
		}
	}
	return ""
}

// olderPath leads to the next page of the logbook.
func olderPath(v *jobView, in *Input, from int) string {
	q := url.Values{"from": {strconv.Itoa(from)}}
	for _, name := range []string{"verb", "text"} {
		if text := in.Text(name); text != "" {
			q.Set(name, text)
		}
	}
	return v.path("/log?" + q.Encode())
}

// swapSaid tells of a swap what its line does not.
func swapSaid(s record.Swap) string {
	said := s.Part + ": what came out was " + string(s.Condition)
	for _, more := range []struct{ lead, text string }{{"", s.Mode}, {"measured ", s.Measured}, {"made by ", s.OutMaker}, {"dated ", s.OutBatch}} {
		if more.text != "" {
			said += ", " + more.lead + more.text
		}
	}
	return said + "."
}

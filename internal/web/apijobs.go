package web

import (
	"context"
	"net/http"
	"time"

	"github.com/danielgtaylor/huma/v2"

	"halfsplit/findings"
	"halfsplit/internal/bench"
	"halfsplit/internal/record"
)

// JobAsked names a job.
type JobAsked struct {
	Job int64 `path:"job" minimum:"1"`
}

type entriesAsked struct {
	JobAsked
	PageOf
	Verb string `query:"verb" maxLength:"40" doc:"Only entries that do this: measure, swap, note ..."`
	Text string `query:"text" maxLength:"300" doc:"Words in any of its texts."`
}

// EntryGiven is an entry as a program writes it.
type EntryGiven struct {
	Line     string    `json:"line" minLength:"1" maxLength:"20000" doc:"One entry of a case file in short form (docs/case.md)." example:"{measure: TP3, reads: 4.62 V}"`
	At       time.Time `json:"at,omitempty" doc:"When it was done; now when not given."`
	Who      string    `json:"who,omitempty" maxLength:"300"`
	Seconds  float64   `json:"seconds,omitempty" minimum:"0" doc:"The time it took."`
	Cost     int64     `json:"cost,omitempty" minimum:"0" doc:"Money spent, in hundredths of the currency."`
	Corrects int64     `json:"corrects,omitempty" minimum:"0" doc:"The entry of the same job that it replaces."`
	Traces   []int64   `json:"traces,omitempty" maxItems:"50" doc:"Traces that belong to it."`
}

func (g *EntryGiven) entry(job int64, key string) *record.Entry {
	e := &record.Entry{Job: record.ID(job), Key: key, Line: g.Line, At: g.At, Who: g.Who, Seconds: g.Seconds, Cost: g.Cost, Corrects: record.ID(g.Corrects)}
	for _, t := range g.Traces {
		e.Traces = append(e.Traces, record.ID(t))
	}
	return e
}

type entryWritten struct {
	JobAsked
	Body struct {
		Key string `json:"key" minLength:"8" maxLength:"200" doc:"Made by whoever sends it: an entry sent twice with one key is kept once."`
		EntryGiven
	}
}

type entryJudged struct {
	JobAsked
	Body EntryGiven
}

// entryAnswer is an entry with what it was judged.
type entryAnswer struct {
	Entry   record.Entry       `json:"entry"`
	Words   string             `json:"words" doc:"The entry, told in words."`
	Ruled   []findings.Verdict `json:"verdicts" doc:"Of the readings in the entry."`
	Hazards []findings.Hazard  `json:"hazards" doc:"Of the job as it then stands."`
}

func entryAnswerOf(e *record.Entry, r *findings.Report, line int) entryAnswer {
	a := entryAnswer{Entry: *e, Words: bench.Said(e), Ruled: []findings.Verdict{}, Hazards: []findings.Hazard{}}
	if r == nil {
		return a
	}
	for _, v := range r.Verdicts {
		if v.Line == line {
			a.Ruled = append(a.Ruled, v)
		}
	}
	a.Hazards = append(a.Hazards, r.Hazards...)
	return a
}

type findingsAsked struct {
	JobAsked
	Wait int `query:"wait" minimum:"0" maximum:"30" doc:"Seconds to wait until the job as it now stands is reasoned over."`
}

// jobFindings is what is known of a job.
type jobFindings struct {
	Fresh    bool             `json:"fresh" doc:"Whether the report is of the job as it now stands."`
	Going    bool             `json:"going" doc:"Whether it is being reasoned over."`
	Progress bench.Progress   `json:"progress"`
	Report   *findings.Report `json:"report" doc:"The last that was found; null while nothing is."`
	Unfit    []bench.Unfit    `json:"unfit" doc:"Entries that do not go together with the sheet."`
}

// apiJobs are the questions about one job, and what a program writes into it.
func (s *Server) apiJobs(api huma.API) {
	questionFor(api, http.MethodGet, "/jobs/{job}", "get-job", "Jobs", "A job", "",
		func(ctx context.Context, in *JobAsked) (*answered[record.Job], error) {
			j, err := s.records.Job(ctx, record.ID(in.Job))
			return &answered[record.Job]{j}, err
		})
	questionFor(api, http.MethodGet, "/jobs/{job}/entries", "list-entries", "Jobs", "Its logbook", "A page of the entries, the first first.",
		func(ctx context.Context, in *entriesAsked) (*answered[record.List[record.Entry]], error) {
			if _, err := s.records.Job(ctx, record.ID(in.Job)); err != nil {
				return nil, err
			}
			list, err := s.records.Entries(ctx, record.EntryFilter{Job: record.ID(in.Job), Verb: in.Verb, Text: in.Text, Page: in.page()})
			return &answered[record.List[record.Entry]]{list}, err
		})
	questionFor(api, http.MethodPost, "/jobs/{job}/entries", "write-entry", "Jobs", "Write into its logbook", "An entry goes in once it is found right: its line can be read, what it names is on the sheet, and no hazard holds it up. One that was written before with the same key is given back as it stands.",
		func(ctx context.Context, in *entryWritten) (*answered[entryAnswer], error) {
			e := in.Body.entry(in.Job, in.Body.Key)
			r, line, err := s.bench.Write(ctx, e)
			if err != nil {
				return nil, err
			}
			s.hub.Publish(topic(record.KindJob, e.Job))
			return &answered[entryAnswer]{entryAnswerOf(e, r, line)}, nil
		})
	questionFor(api, http.MethodPost, "/jobs/{job}/judge", "judge-entry", "Jobs", "Judge a reading", "What an entry would be judged, without writing it.",
		func(ctx context.Context, in *entryJudged) (*answered[entryAnswer], error) {
			e := in.Body.entry(in.Job, "")
			if e.At.IsZero() {
				e.At = s.now()
			}
			r, line, err := s.bench.Judge(ctx, e)
			if err != nil {
				return nil, err
			}
			return &answered[entryAnswer]{entryAnswerOf(e, r, line)}, nil
		})
	questionFor(api, http.MethodGet, "/jobs/{job}/findings", "get-findings", "Jobs", "What is believed of it", "Suspects, verdicts, the next tests, hazards and the proof. Solving circuits takes a while: what was known before is given at once, and wait waits for more.", s.apiFindings)
}

func (s *Server) apiFindings(ctx context.Context, in *findingsAsked) (*answered[jobFindings], error) {
	id := record.ID(in.Job)
	limit := min(time.Duration(in.Wait)*time.Second, longestWait)
	deadline := time.NewTimer(limit)
	defer deadline.Stop()
	for {
		last, fresh, progress, ended, err := s.bench.Latest(ctx, id)
		if err != nil {
			return nil, err
		}
		if !fresh && ended != nil && limit > 0 {
			select {
			case <-ended:
				continue
			case <-deadline.C:
				limit = 0
				continue
			case <-ctx.Done():
				return nil, ctx.Err()
			}
		}
		f := jobFindings{Fresh: fresh, Going: ended != nil, Progress: progress, Unfit: []bench.Unfit{}}
		if last != nil {
			f.Report = last.Report
			f.Unfit = append(f.Unfit, last.Unfit...)
		}
		return &answered[jobFindings]{f}, nil
	}
}

package web

import (
	"context"
	"fmt"
	"net/http"

	"github.com/danielgtaylor/huma/v2"

	"halfsplit/internal/record"
)

type tracesFound struct {
	Traces []record.Trace `json:"traces"`
}

type windowAsked struct {
	Trace   int64    `path:"trace" minimum:"1"`
	Channel []string `query:"channel,explode" maxItems:"8" doc:"Channels, by name or by number from 1; the first eight when not given."`
	From    float64  `query:"from" doc:"Seconds on the clock of the trace."`
	To      float64  `query:"to" doc:"The whole trace when neither from nor to is given."`
	Points  int      `query:"points" minimum:"2" maximum:"4000" default:"1000" doc:"About how many stretches each channel is given as; each reading by itself where there are no more."`
}

// Resolve finds windows that cannot be.
func (w *windowAsked) Resolve(huma.Context) []error {
	if !(w.From < w.To) && !(w.From == 0 && w.To == 0) {
		return []error{&huma.ErrorDetail{Message: fmt.Sprintf("ends at %g s, which is not after its beginning at %g s", w.To, w.From), Location: "query.to", Value: w.To}}
	}
	return nil
}

var _ huma.Resolver = (*windowAsked)(nil)

// apiTraces are the questions about traces.
func (s *Server) apiTraces(api huma.API) {
	questionFor(api, http.MethodGet, "/jobs/{job}/traces", "list-traces", "Traces", "Traces of a job", "",
		func(ctx context.Context, in *JobAsked) (*answered[tracesFound], error) {
			if _, err := s.records.Job(ctx, record.ID(in.Job)); err != nil {
				return nil, err
			}
			list, err := s.records.Traces(ctx, record.ID(in.Job))
			return &answered[tracesFound]{tracesFound{append([]record.Trace{}, list...)}}, err
		})
	questionFor(api, http.MethodGet, "/traces/{trace}", "get-trace", "Traces", "A trace", "Its channels and how long it is.",
		func(ctx context.Context, in *struct {
			Trace int64 `path:"trace" minimum:"1"`
		}) (*answered[*traceHead], error) {
			h, err := s.traceOf(ctx, record.ID(in.Trace))
			return &answered[*traceHead]{h}, err
		})
	questionFor(api, http.MethodGet, "/traces/{trace}/window", "get-window", "Traces", "A stretch of a trace", "The lowest and highest reading of each part of it, so that no dropout of a single reading is lost, however long the trace is.",
		func(ctx context.Context, in *windowAsked) (*answered[*traceWindow], error) {
			from, to := in.From, in.To
			if from == 0 && to == 0 {
				h, err := s.traceOf(ctx, record.ID(in.Trace))
				if err != nil {
					return nil, err
				}
				from, to = h.Begin, h.End
			}
			w, err := s.windowOf(ctx, record.ID(in.Trace), in.Channel, from, to, min(in.Points, pointsMost))
			return &answered[*traceWindow]{w}, err
		})
}

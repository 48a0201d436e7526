package web

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"net/http"
	"path"
	"reflect"
	"strings"

	"github.com/danielgtaylor/huma/v2"
	"github.com/danielgtaylor/huma/v2/adapters/humago"

	"halfsplit/form"
	"halfsplit/internal/ask"
	"halfsplit/internal/bench"
	"halfsplit/internal/record"
	"halfsplit/internal/report"
	"halfsplit/part/replacement"
	"halfsplit/sheet"
)

// api serves the questions for programs, under /api, behind the same guards as the
// screens. What there is stands in /api/openapi.json, and as a page at /api.
func (s *Server) api(on *http.ServeMux) {
	config := huma.DefaultConfig("halfsplit", "1")
	config.DocsPath = ""     // its page would load scripts from elsewhere
	config.SchemasPath = ""  // they stand in the document
	config.CreateHooks = nil // links made from what the client says its host is
	config.Info.Description = "The bench for programs of your own. A request comes from a paired device: it carries the device's token as Authorization: Bearer, or the cookie of its browser. Errors are problem+json (RFC 9457) and name every field that is wrong."
	config.Components.Schemas = huma.NewMapRegistry("#/components/schemas/", schemaName)
	config.Components.SecuritySchemes = map[string]*huma.SecurityScheme{
		"token":  {Type: "http", Scheme: "bearer", Description: "The token of a paired device."},
		"cookie": {Type: "apiKey", In: "cookie", Name: tokenCookie, Description: "As the browser of a paired device sends it."},
	}
	config.Security = []map[string][]string{{"token": {}}, {"cookie": {}}}
	api := humago.NewWithPrefix(on, "/api", config)
	s.asked = api.OpenAPI()
	questionFor(api, http.MethodPost, "/sheet/check", "check-sheet", "Tools", "Check a service sheet",
		"Every mistake is given with its line and column, counted from 1, and what would be right.",
		func(_ context.Context, in *sheetCheckInput) (*sheetCheckOutput, error) {
			return &sheetCheckOutput{checkSheet(in.Body.Text)}, nil
		})
	questionFor(api, http.MethodPost, "/capacitor", "judge-capacitor", "Tools", "Judge a capacitor", "Figures are written as on the bench, such as 4700 uF, 80 mohm, 42y.", judgeCapacitor)
	if s.records == nil {
		return
	}
	s.apiRecords(api)
	s.apiJobs(api)
	s.apiTraces(api)
}

// questionFor adds a question: what it is called, under which heading it is listed, and
// what answers it.
func questionFor[I, O any](api huma.API, method, path, id, heading, summary, description string, answer func(context.Context, *I) (*O, error)) {
	o := huma.Operation{OperationID: id, Method: method, Path: path, Tags: []string{heading}, Summary: summary, Description: description,
		MaxBodyBytes: bodyLimit, Errors: []int{http.StatusUnauthorized, http.StatusForbidden, http.StatusNotFound, http.StatusUnprocessableEntity}}
	huma.Register(api, o, func(ctx context.Context, in *I) (*O, error) {
		out, err := answer(ctx, in)
		if err != nil {
			return nil, problemOf(err)
		}
		return out, nil
	})
}

// schemaName names a type in the document, with its package, since several
// packages have a Report.
func schemaName(t reflect.Type, hint string) string {
	for t.Kind() == reflect.Pointer {
		t = t.Elem()
	}
	name := huma.DefaultSchemaNamer(t, hint)
	if folder := path.Base(t.PkgPath()); folder != "." && folder != "web" && folder != "v2" {
		name = strings.ToUpper(folder[:1]) + folder[1:] + name
	}
	return name
}

// problemOf makes an error into an answer: every field that is wrong where it is
// one of what was asked, and no more than that it failed where it is the
// program's own.
func problemOf(err error) error {
	var status huma.StatusError
	var wrong bench.Wrong
	var invalid record.Invalid
	var problems form.Problems
	var stale *record.Stale
	var channel channelError
	switch {
	case errors.As(err, &status):
		return err
	case errors.Is(err, record.ErrNotFound):
		return huma.Error404NotFound("there is nothing by this number in the records")
	case errors.Is(err, bench.ErrNoSheet):
		return huma.Error409Conflict(err.Error())
	case errors.As(err, &stale):
		return huma.Error409Conflict(err.Error())
	case errors.As(err, &wrong):
		var details []error
		for _, w := range wrong {
			details = append(details, &huma.ErrorDetail{Message: w, Location: "body.line"})
		}
		return huma.Error422UnprocessableEntity("the entry cannot go into the logbook; nothing was written", details...)
	case errors.As(err, &invalid):
		var details []error
		for _, w := range invalid {
			details = append(details, &huma.ErrorDetail{Message: w.Message, Location: "body." + w.Field})
		}
		return huma.Error422UnprocessableEntity("some fields cannot be right; nothing was written", details...)
	case errors.As(err, &problems):
		var details []error
		for _, p := range problems.Sorted() {
			details = append(details, &huma.ErrorDetail{Message: p.Error(), Location: fmt.Sprintf("body.text:%d:%d", p.Line, p.Column)})
		}
		return huma.Error422UnprocessableEntity("the text cannot be read", details...)
	case errors.As(err, &channel):
		return huma.Error422UnprocessableEntity("the window cannot be shown", &huma.ErrorDetail{Message: err.Error(), Location: "query.channel"})
	case bench.IsBadInput(err):
		return huma.Error422UnprocessableEntity(err.Error())
	}
	return failure{err}
}

// failure is an error of the program, whose words are for the log alone.
type failure struct{ error }

// GetStatus gives the status to answer with.
func (failure) GetStatus() int { return http.StatusInternalServerError }

// MarshalJSON writes the answer, which says no more than that it failed.
func (failure) MarshalJSON() ([]byte, error) {
	return json.Marshal(&huma.ErrorModel{Title: http.StatusText(http.StatusInternalServerError), Status: http.StatusInternalServerError, Detail: "The bench could not do this; its log says more."})
}

// ContentType is that of a problem.
func (failure) ContentType(string) string { return "application/problem+json" }

// problem answers a program that was refused before its question was read.
func problem(w http.ResponseWriter, status int, text string) {
	w.Header().Set("Content-Type", "application/problem+json")
	w.WriteHeader(status)
	json.NewEncoder(w).Encode(&huma.ErrorModel{Title: http.StatusText(status), Status: status, Detail: text})
}

type sheetCheckInput struct {
	Body struct {
		Text string `json:"text" doc:"The sheet." maxLength:"500000"`
	}
}

type sheetCheckOutput struct{ Body sheetChecked }

// sheetChecked is what was found in a sheet.
type sheetChecked struct {
	Title    string         `json:"title" doc:"Maker and model, as far as the sheet could be read."`
	Problems []sheetProblem `json:"problems" doc:"In the order of the lines; empty when the sheet is in order."`
}

type sheetProblem struct {
	Line    int    `json:"line" doc:"Counted from 1; 0 when not known."`
	Column  int    `json:"column" doc:"In characters, counted from 1; 0 when not known."`
	Message string `json:"message"`
	Hint    string `json:"hint,omitempty" doc:"What would be right."`
}

// checkSheet checks a sheet.
func checkSheet(text string) sheetChecked {
	found := sheetChecked{Problems: []sheetProblem{}}
	s, err := sheet.Parse("sheet", []byte(text))
	var problems form.Problems
	switch {
	case errors.As(err, &problems):
		for _, p := range problems.Sorted() {
			found.Problems = append(found.Problems, sheetProblem{p.Line, p.Column, p.Message, p.Hint})
		}
	case err != nil:
		found.Problems = append(found.Problems, sheetProblem{Message: err.Error()})
	default:
		found.Title = titleOfSheet(s)
	}
	return found
}

type capacitorInput struct {
	Body struct {
		Part        string `json:"part" doc:"As it is marked." example:"4700 uF 35 V electrolytic" maxLength:"300"`
		Capacitance string `json:"capacitance,omitempty" maxLength:"100"`
		ESR         string `json:"esr,omitempty" maxLength:"100"`
		Loss        string `json:"loss,omitempty" maxLength:"100"`
		Frequency   string `json:"frequency,omitempty" maxLength:"100"`
		Leakage     string `json:"leakage,omitempty" maxLength:"100"`
		Volts       string `json:"volts,omitempty" maxLength:"100" doc:"Voltage of the leakage."`
		Accuracy    string `json:"accuracy,omitempty" default:"2%" maxLength:"100" doc:"Of the meter."`
		How         string `json:"how,omitempty" enum:"in circuit,out of circuit" doc:"In circuit when not given."`
		Age         string `json:"age,omitempty" maxLength:"100" example:"42y"`
	}
}

type capacitorOutput struct{ Body *report.CapacitorSheet }

func judgeCapacitor(ctx context.Context, in *capacitorInput) (*capacitorOutput, error) {
	n, err := ask.PartOf(in.Body.Part, replacement.Part{Kind: replacement.Capacitor})
	if err != nil {
		return nil, unprocessable("part", err)
	}
	b := in.Body
	q := ask.Capacitor{Capacitance: b.Capacitance, ESR: b.ESR, Loss: b.Loss, Frequency: b.Frequency, Leakage: b.Leakage, Volts: b.Volts, Accuracy: b.Accuracy, How: b.How, Age: b.Age}
	answer, err := q.Judge(ctx, n)
	if err != nil {
		return nil, unprocessable("part", err)
	}
	return &capacitorOutput{answer.Report}, nil
}

// unprocessable answers a mistake of the question at its field; any other error
// is one of the program.
func unprocessable(field string, err error) error {
	var m ask.Mistake
	switch {
	case errors.As(err, &m):
		field, err = m.Field, m.Err
	case !ask.IsMistake(err):
		return err
	}
	return huma.Error422UnprocessableEntity("the question cannot be answered", &huma.ErrorDetail{Message: err.Error(), Location: "body." + field})
}

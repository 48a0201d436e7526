package web

import (
	"context"
	"errors"
	"net/http"

	"github.com/danielgtaylor/huma/v2"
	"github.com/danielgtaylor/huma/v2/adapters/humago"

	"halfsplit/form"
	"halfsplit/internal/ask"
	"halfsplit/internal/report"
	"halfsplit/part/replacement"
	"halfsplit/sheet"
)

// api serves the questions for programs, under /api, behind the same guards as the
// screens. What there is stands in /api/openapi.json.
func (s *Server) api(on *http.ServeMux) {
	config := huma.DefaultConfig("halfsplit", "1")
	config.DocsPath = ""     // its page would load scripts from elsewhere
	config.CreateHooks = nil // links made from what the client says its host is
	api := humago.NewWithPrefix(on, "/api", config)
	huma.Register(api, huma.Operation{
		OperationID: "check-sheet", Method: http.MethodPost, Path: "/sheet/check", Summary: "Check a service sheet",
		Description: "Every mistake is given with its line and column, counted from 1, and what would be right.", MaxBodyBytes: bodyLimit,
	}, func(_ context.Context, in *sheetCheckInput) (*sheetCheckOutput, error) {
		return &sheetCheckOutput{checkSheet(in.Body.Text)}, nil
	})
	huma.Register(api, huma.Operation{
		OperationID: "judge-capacitor", Method: http.MethodPost, Path: "/capacitor", Summary: "Judge a capacitor",
		Description: "Figures are written as on the bench, such as 4700 uF, 80 mohm, 42y.", MaxBodyBytes: bodyLimit,
	}, judgeCapacitor)
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

package web

import (
	"context"
	"errors"
	"fmt"
	"net/http"
	"strings"

	"halfsplit/internal/bench"
	"halfsplit/internal/record"
	"halfsplit/internal/web/look"
	"halfsplit/library"
)

// sheetChoices are the sheets to choose from, and none.
func (s *Server) sheetChoices(ctx context.Context) []look.Option {
	return append([]look.Option{{Value: "", Text: "none yet"}}, s.sheetOptions(ctx)...)
}

// chooseSheet gives a job the sheet that was chosen; the job is not saved yet.
func (s *Server) chooseSheet(ctx context.Context, j *record.Job, choice string) error {
	if choice == "" {
		return nil
	}
	if name, ok := strings.CutPrefix(choice, ofLibrary); ok {
		text, read, err := library.Open(name)
		if err != nil {
			return bench.Wrong{err.Error()}
		}
		return s.bench.GiveSheet(ctx, j, name+".sheet.yaml", text, read)
	}
	found, err := s.records.SheetNamed(ctx, choice)
	if errors.Is(err, record.ErrNotFound) {
		return bench.Wrong{fmt.Sprintf("there is no sheet %q any more; choose another", choice)}
	}
	j.Sheet = found.ID
	return err
}

// giveSheet gives the job of a request a sheet.
func (s *Server) giveSheet(r *http.Request) (View, error) {
	v, err := s.workOf(r)
	if err != nil {
		return View{}, err
	}
	in, err := Read(r)
	if err != nil {
		return View{}, err
	}
	choice := in.Need("sheet", "Choose the sheet of the unit, or the nearest circuit of the library.")
	if in.OK() {
		if err = s.chooseSheet(r.Context(), &v.Job, choice); err == nil {
			err = s.records.SaveJob(r.Context(), &v.Job)
		}
		switch {
		case err == nil:
			return View{Go: v.path(""), Said: "The sheet is given. What was read so far is judged against it."}, nil
		case told(in, "sheet", err):
		default:
			return View{}, err
		}
	}
	return s.jobView(r.Context(), v, in)
}

// newJob asks what the job is.
func (s *Server) newJob(r *http.Request) (View, error) {
	return s.newJobView(r, blank())
}

func (s *Server) newJobView(r *http.Request, in *Input) (View, error) {
	id, err := number(r, "unit")
	if err != nil {
		return View{}, err
	}
	u, err := s.records.Unit(r.Context(), id)
	if err != nil {
		return View{}, missing(err)
	}
	return View{Title: "A new job", Place: "/collection", Back: look.Link{Text: u.Code + " " + u.Name(), Path: fmt.Sprintf("/units/%d", u.ID)},
		Body: newJobPage(&u, s.sheetChoices(r.Context()), in), Status: in.Status()}, nil
}

// openJob opens a job on a unit.
func (s *Server) openJob(r *http.Request) (View, error) {
	id, err := number(r, "unit")
	if err != nil {
		return View{}, err
	}
	u, err := s.records.Unit(r.Context(), id)
	if err != nil {
		return View{}, missing(err)
	}
	in, err := Read(r)
	if err != nil {
		return View{}, err
	}
	j := record.Job{Unit: u.ID, Stage: record.Intake, Title: in.Need("title", "Give it a few words, such as: shuts down when warm."), Complaint: in.Text("complaint"), DoneWhen: in.Text("done")}
	if sure := in.share("sure"); sure != nil {
		j.Sure = *sure
	}
	if in.OK() {
		if err = s.chooseSheet(r.Context(), &j, in.Text("sheet")); err == nil {
			err = s.records.SaveJob(r.Context(), &j)
		}
		switch {
		case err == nil:
			said := "The job is open."
			if j.Complaint != "" {
				e := &record.Entry{Job: j.ID, Key: in.Key(), At: s.now(), Who: in.Text("who"), Line: bench.Line(bench.Field{Key: "symptom", Value: oneLine(j.Complaint)})}
				if _, _, err := s.bench.Write(r.Context(), e); err != nil {
					s.log.Warn("first entry", "job", j.ID, "error", err)
					said = "The job is open. The complaint could not be put into the logbook; add it there."
				}
			}
			return View{Go: fmt.Sprintf("/jobs/%d", j.ID), Said: said}, nil
		case told(in, "title", err):
		default:
			return View{}, err
		}
	}
	return s.newJobView(r, in)
}

// oneLine puts a text on one line.
func oneLine(text string) string { return strings.Join(strings.Fields(text), " ") }

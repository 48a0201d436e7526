package web

import (
	"context"
	"errors"
	"fmt"
	"net/http"
	"slices"
	"strconv"
	"strings"

	"halfsplit/findings"
	"halfsplit/hazard"
	"halfsplit/internal/bench"
	"halfsplit/internal/record"
	"halfsplit/internal/web/look"
)

// jobPages are the screens of a job, from its opening to its hand-back.
func (s *Server) jobPages() []Page {
	if s.records == nil {
		return nil
	}
	return slices.Concat([]Page{
		{"GET /units/{unit}/jobs/new", s.newJob, ""},
		{"POST /units/{unit}/jobs", s.openJob, ""},
		{"GET /jobs/{job}", s.jobScreen, ""},
		{"POST /jobs/{job}/stage", s.moveJob, ""},
		{"POST /jobs/{job}/think", s.think, ""},
		{"POST /jobs/{job}/sheet", s.giveSheet, ""},
		{"GET /jobs/{job}/reading", s.readingScreen, ""},
		{"POST /jobs/{job}/reading", s.takeReading, ""},
		{"GET /jobs/{job}/log", s.logScreen, ""},
		{"GET /jobs/{job}/log/add", s.addScreen, ""},
		{"POST /jobs/{job}/log", s.addEntry, ""},
		{"GET /jobs/{job}/suspects", s.suspectsScreen, ""},
		{"GET /jobs/{job}/hazards", s.hazardsScreen, ""},
		{"POST /jobs/{job}/hazards", s.answerHazard, ""},
	}, s.jobProofPages(), s.jobPicturePages())
}

// jobView is a job as its screens show it.
type jobView struct {
	Unit record.Unit
	Job  record.Job
	Log  []record.Entry

	Work     *bench.Casework  // nil without a sheet
	Said     *findings.Report // what each entry says by itself; nil without a sheet
	Found    *bench.Reasoned  // the last that was found; nil while nothing is
	Fresh    bool             // whether that is of the job as it now stands
	Going    bool             // whether it is being reasoned over
	Progress bench.Progress
	Stopped  bool
	Trouble  string // why it could not be reasoned over
}

// path gives the path of a screen of the job.
func (v *jobView) path(rest string) string { return fmt.Sprintf("/jobs/%d%s", v.Job.ID, rest) }

// topic is what the screens of the job follow.
func (v *jobView) topic() string { return topic(record.KindJob, v.Job.ID) }

// thinking is the topic of the progress of the reasoning.
func (v *jobView) thinking() string { return fmt.Sprintf("reasoning/%d", v.Job.ID) }

// back leads to the job.
func (v *jobView) back() look.Link { return look.Link{Text: v.Job.Title, Path: v.path("")} }

// report is the last that was found, or nil.
func (v *jobView) report() *findings.Report {
	if v.Found == nil {
		return nil
	}
	return v.Found.Report
}

// verdicts are the judgements of readings, of the job as it now stands.
func (v *jobView) verdicts() []findings.Verdict {
	if v.Said == nil {
		return nil
	}
	return v.Said.Verdicts
}

// hazards are those of the job as it now stands.
func (v *jobView) hazards() []findings.Hazard {
	if v.Said == nil {
		return nil
	}
	return v.Said.Hazards
}

// held are the hazards that hold the job up before power.
func (v *jobView) held() []findings.Hazard {
	var list []findings.Hazard
	for _, h := range v.hazards() {
		if hazard.Kind(h.Kind).Kills() && !h.Answered && !h.Accepted {
			list = append(list, h)
		}
	}
	return list
}

// number reads a number of a record from the path.
func number(r *http.Request, name string) (record.ID, error) {
	id, err := strconv.ParseInt(r.PathValue(name), 10, 64)
	if err != nil || id <= 0 {
		return 0, ErrNotFound
	}
	return record.ID(id), nil
}

// missing turns a record that is not there into a page that is not there.
func missing(err error) error {
	if errors.Is(err, record.ErrNotFound) {
		return ErrNotFound
	}
	return err
}

// jobOf reads the job of a request with its logbook, without its sheet.
func (s *Server) jobOf(r *http.Request) (*jobView, error) {
	id, err := number(r, "job")
	if err != nil {
		return nil, err
	}
	v := &jobView{}
	if v.Job, err = s.records.Job(r.Context(), id); err != nil {
		return nil, missing(err)
	}
	if v.Unit, err = s.records.Unit(r.Context(), v.Job.Unit); err != nil {
		return nil, err
	}
	v.Log, err = s.records.Log(r.Context(), id)
	return v, err
}

// workOf reads the job of a request, its sheet, and what is known of it without
// waiting.
func (s *Server) workOf(r *http.Request) (*jobView, error) {
	v, err := s.jobOf(r)
	if err != nil || v.Job.Sheet == 0 {
		return v, err
	}
	s.thoughts.mutex.Lock()
	halted, stopped := s.thoughts.stopped[v.Job.ID]
	if stopped && halted.standing != v.standing() {
		delete(s.thoughts.stopped, v.Job.ID)
		stopped = false
	}
	s.thoughts.mutex.Unlock()
	if stopped {
		v.Stopped, v.Found = true, halted.last
	} else {
		var ended <-chan struct{}
		v.Found, v.Fresh, v.Progress, ended, err = s.bench.Latest(r.Context(), v.Job.ID)
		if err != nil {
			s.log.Warn("reasoning", "job", v.Job.ID, "error", err)
			v.Trouble = sentence(err.Error())
		}
		if ended != nil {
			v.Going = true
			s.watch(v.Job.ID, ended)
		}
	}
	if v.Fresh {
		v.Work, v.Said = v.Found.Casework, v.Found.Report
		return v, nil
	}
	if v.Work, err = s.bench.Casework(r.Context(), v.Job.ID); err != nil {
		v.Work, v.Trouble = nil, sentence(err.Error()) // a sheet that cannot be read does not hide the job
		return v, nil
	}
	if v.Said, err = findings.Judge(v.Work.Case, v.Work.Sheet); err != nil {
		v.Said, v.Trouble = nil, sentence(err.Error())
	}
	return v, nil
}

// tab is a screen of a job in the row above it.
type tab struct{ Name, Path string }

// tabs are the screens of a job.
func (v *jobView) tabs() []tab {
	list := []tab{{"Now", ""}, {"Read", "/reading"}, {"Logbook", "/log"}, {"Suspects", "/suspects"}, {"Photos", "/photos"}, {"Traces", "/traces"}}
	if v.Work != nil && len(v.Work.Sheet.Circuits) > 0 {
		list = append(list, tab{"Circuit", "/circuit"})
	}
	if v.Work != nil && len(v.Work.Sheet.Memories) > 0 {
		list = append(list, tab{"Memory", "/memory"})
	}
	return append(list, tab{"Hazards", "/hazards"}, tab{"Proof", "/proof"}, tab{"Hand back", "/handback"})
}

// steps are the stations of the flow.
func (v *jobView) steps() []look.Step {
	where := map[record.Stage]string{record.MakeSafe: "/hazards", record.Measure: "/reading", record.Suspects: "/suspects", record.Repair: "/log/add?verb=swap", record.Prove: "/proof", record.HandBack: "/handback"}
	at := slices.Index(record.Stages(), v.Job.Stage)
	var list []look.Step
	for i, stage := range record.Stages() {
		step := look.Step{Name: string(stage), Path: v.path(where[stage]), Done: i < at || !v.Job.IsOpen(), Here: i == at && v.Job.IsOpen()}
		if stage == record.Intake {
			step.Path = fmt.Sprintf("/units/%d", v.Unit.ID)
		}
		list = append(list, step)
	}
	return list
}

// nextStage is the stage after the present one; empty at the end.
func (v *jobView) nextStage() record.Stage {
	stages := record.Stages()
	if i := slices.Index(stages, v.Job.Stage); i >= 0 && i+1 < len(stages) {
		return stages[i+1]
	}
	return ""
}

// jobScreen answers where the job is, what is next, what is believed.
func (s *Server) jobScreen(r *http.Request) (View, error) {
	v, err := s.workOf(r)
	if err != nil {
		return View{}, err
	}
	return s.jobView(r.Context(), v, blank())
}

func (s *Server) jobView(ctx context.Context, v *jobView, in *Input) (View, error) {
	var sheets []look.Option
	if v.Job.Sheet == 0 {
		sheets = s.sheetChoices(ctx)
	}
	soaks, err := s.records.Soaks(ctx, v.Job.ID)
	if err != nil {
		return View{}, err
	}
	return View{Title: v.Job.Title, Place: "/collection", Back: look.Link{Text: v.Unit.Code + " " + v.Unit.Name(), Path: fmt.Sprintf("/units/%d", v.Unit.ID)},
		Body: jobPage(v, v.next(), running(soaks), s.now(), sheets, in), Status: in.Status()}, nil
}

// told puts an error of what was typed beside a field; it tells whether the error
// was one.
func told(in *Input, field string, err error) bool {
	var wrong bench.Wrong
	var invalid record.Invalid
	var stale *record.Stale
	switch {
	case errors.As(err, &wrong):
		for i, w := range wrong {
			wrong[i] = sentence(w)
		}
		in.Wrong(field, strings.Join(wrong, " "))
	case errors.As(err, &invalid):
		for _, w := range invalid {
			in.Wrong(field, sentence(w.Message))
		}
	case errors.As(err, &stale):
		in.Wrong(field, "This was changed on another screen meanwhile. Look at what stands there now, and send it again.")
	case bench.IsBadInput(err):
		in.Wrong(field, sentence(err.Error()))
	default:
		return false
	}
	return true
}

// moveJob moves a job to a stage of the flow.
func (s *Server) moveJob(r *http.Request) (View, error) {
	v, err := s.workOf(r)
	if err != nil {
		return View{}, err
	}
	in, err := Read(r)
	if err != nil {
		return View{}, err
	}
	to := record.Stage(in.Need("stage", "Choose a stage."))
	if in.OK() {
		was := v.Job.Stage
		if err = s.bench.MoveTo(r.Context(), &v.Job, to); err == nil {
			err = s.records.SaveJob(r.Context(), &v.Job)
		}
		if err == nil {
			return View{Go: v.path(""), Said: "Now at: " + string(to) + "."}, nil
		}
		v.Job.Stage = was
		if !told(in, "stage", err) {
			return View{}, err
		}
	}
	return s.jobView(r.Context(), v, in)
}

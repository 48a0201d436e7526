package web

import (
	"archive/zip"
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"net/http"
	"slices"
	"strings"
	"time"

	"halfsplit/internal/bench"
	"halfsplit/internal/paper"
	"halfsplit/internal/record"
	"halfsplit/internal/web/look"
)

// handbackScreen closes a job and hands out its report.
func (s *Server) handbackScreen(r *http.Request) (View, error) {
	v, err := s.workOf(r)
	if err != nil {
		return View{}, err
	}
	return s.handbackView(r.Context(), v, blank())
}

func (s *Server) handbackView(ctx context.Context, v *jobView, in *Input) (View, error) {
	document, err := s.report(ctx, v, false)
	if err != nil {
		return View{}, err
	}
	return View{Title: "Hand back", Place: "/collection", Back: v.back(), Body: handbackPage(v, sections(document), in), Status: in.Status()}, nil
}

// closeJob closes a job with its outcome, or opens it again.
func (s *Server) closeJob(r *http.Request) (View, error) {
	v, err := s.workOf(r)
	if err != nil {
		return View{}, err
	}
	in, err := Read(r)
	if err != nil {
		return View{}, err
	}
	before, said := v.Job, "The job is closed. Its report can be handed out."
	switch in.Text("do") {
	case "open":
		v.Job.Outcome, v.Job.Closed, said = record.Open, time.Time{}, "The job is open again."
	default:
		outcome := record.Outcome(in.Need("outcome", "Say how it ended."))
		if outcome != "" && !slices.Contains(record.Outcomes(), outcome) {
			in.Wrong("outcome", "Choose one of the list.")
		}
		v.Job.Outcome, v.Job.Reason, v.Job.Lesson = outcome, in.Text("reason"), in.Text("lesson")
		if outcome != record.Repaired && outcome != "" {
			in.Need("reason", "Say why, so that the next one to look at it knows.")
		}
		if in.OK() {
			if err := s.bench.MoveTo(r.Context(), &v.Job, record.HandBack); err != nil && outcome == record.Repaired {
				if !told(in, "outcome", err) {
					return View{}, err
				}
			}
		}
	}
	if in.OK() {
		if err = s.records.SaveJob(r.Context(), &v.Job); err == nil {
			return View{Go: v.path("/handback"), Said: said}, nil
		}
		if !told(in, "outcome", err) {
			return View{}, err
		}
	}
	v.Job = before
	return s.handbackView(r.Context(), v, in)
}

// report makes the hand-back report of a job; with its pictures only where it is
// written out.
func (s *Server) report(ctx context.Context, v *jobView, pictures bool) (*paper.Document, error) {
	settings, err := s.records.Settings(ctx)
	if err != nil {
		return nil, err
	}
	source := paper.Source{Settings: settings, Unit: v.Unit, Job: v.Job, Log: v.Log, Said: map[record.ID]string{}, Made: s.now(), EntryAt: func(int) record.ID { return 0 }}
	for i := range v.Log {
		source.Said[v.Log[i].ID] = bench.Said(&v.Log[i])
	}
	switch {
	case v.Found != nil:
		source.Findings, source.EntryAt = v.Found.Report, v.Found.Entry
	case v.Said != nil:
		source.Findings, source.EntryAt = v.Said, v.Work.Entry
	}
	photos, err := s.records.Photos(ctx, 0, v.Job.ID)
	if err != nil {
		return nil, err
	}
	for i, p := range photos {
		one := paper.Photo{Name: fmt.Sprintf("photo-%d.jpg", i+1), Media: p.Media, Width: p.Width, Height: p.Height, Caption: p.Caption}
		if pictures {
			if one.Data, err = s.fileOf(ctx, p.File); err != nil {
				return nil, err
			}
		}
		for _, spot := range p.Spots {
			one.Spots = append(one.Spots, paper.Spot{Name: spot.Name, X: spot.X, Y: spot.Y})
		}
		source.Photos = append(source.Photos, one)
	}
	return paper.Report(source), nil
}

// fileOf reads a kept file.
func (s *Server) fileOf(ctx context.Context, hash record.Hash) ([]byte, error) {
	file, _, err := s.records.OpenFile(ctx, hash)
	if err != nil {
		return nil, err
	}
	defer file.Close()
	return io.ReadAll(file)
}

// sections are the headings of a report.
func sections(d *paper.Document) []string {
	var list []string
	for _, b := range d.Blocks {
		if h, ok := b.(paper.Heading); ok {
			list = append(list, string(h))
		}
	}
	return list
}

// reportFile writes the report as a page, as paper or for a write-up.
func (s *Server) reportFile(r *http.Request) (View, error) {
	v, err := s.workOf(r)
	if err != nil {
		return View{}, err
	}
	in, err := Read(r)
	if err != nil {
		return View{}, err
	}
	if v.Going { // the report is of the job as it stands
		wait, stop := context.WithTimeout(r.Context(), 40*time.Second)
		defer stop()
		found, err := s.bench.Reason(wait, v.Job.ID)
		switch {
		case err == nil:
			v.Found, v.Work, v.Said = found, found.Casework, found.Report
		case errors.Is(err, context.DeadlineExceeded):
			return View{}, Refused(http.StatusServiceUnavailable, "It is still being worked out what the last entries mean, and the report would lack it. Try again in a minute, or stop the reasoning on the page of the job.")
		}
	}
	document, err := s.report(r.Context(), v, true)
	if err != nil {
		return View{}, err
	}
	if kept := in.All("with"); len(kept) > 0 {
		for _, h := range sections(document) {
			if !slices.Contains(kept, h) {
				document.Leave(h)
			}
		}
	}
	name := fileName(v.Unit.Code + " " + v.Job.Title)
	var b bytes.Buffer
	file := &File{Name: name + ".pdf", Kind: "application/pdf"}
	switch in.Text("as") {
	case "pdf":
		err = document.PDF(&b)
	case "markdown":
		file.Name, file.Kind = name+".zip", "application/zip"
		err = document.Markdown(&b, name)
	default:
		file.Name, file.Kind = "", "text/html; charset=utf-8"
		err = document.HTML(&b)
	}
	file.Content = b.Bytes()
	return View{File: file}, err
}

// caseFile gives the job as a case file with its sheet, in a zip.
func (s *Server) caseFile(r *http.Request) (View, error) {
	v, err := s.jobOf(r)
	if err != nil {
		return View{}, err
	}
	c, err := s.bench.ExportCase(r.Context(), v.Job.ID)
	if errors.Is(err, bench.ErrNoSheet) {
		return View{}, Refused(http.StatusConflict, "A case file goes with a service sheet, and this job has none yet.")
	}
	if err != nil {
		return View{}, err
	}
	var b bytes.Buffer
	z := zip.NewWriter(&b)
	for _, f := range []struct {
		name string
		text []byte
	}{{c.Name, c.Text}, {c.SheetName, c.SheetText}} {
		w, err := z.CreateHeader(&zip.FileHeader{Name: f.name, Method: zip.Deflate, Modified: v.Job.Changed})
		if err == nil {
			_, err = w.Write(f.text)
		}
		if err != nil {
			return View{}, err
		}
	}
	if err := z.Close(); err != nil {
		return View{}, err
	}
	return View{File: &File{Name: fileName(v.Unit.Code+" "+v.Job.Title) + "-case.zip", Kind: "application/zip", Content: b.Bytes()}}, nil
}

// fileName makes a file name of words.
func fileName(words string) string {
	name := strings.Map(func(c rune) rune {
		switch {
		case c >= 'a' && c <= 'z', c >= '0' && c <= '9':
			return c
		case c >= 'A' && c <= 'Z':
			return c + 'a' - 'A'
		}
		return '-'
	}, words)
	for strings.Contains(name, "--") {
		name = strings.ReplaceAll(name, "--", "-")
	}
	name = strings.Trim(name[:min(len(name), 60)], "-")
	if name == "" {
		return "job"
	}
	return name
}

// outcomeOptions are the ways a job may end.
func outcomeOptions() []look.Option {
	list := []look.Option{{Value: "", Text: "choose"}}
	for _, o := range record.Outcomes() {
		list = append(list, look.Option{Value: string(o), Text: string(o)})
	}
	return list
}

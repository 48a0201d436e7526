package web

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"io"
	"math"
	"mime/multipart"
	"net/http"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"halfsplit/internal/record"
	"halfsplit/trace"
	"halfsplit/trace/column"
)

// bring sends a file as a trace of the job.
func (b *jobBench) bring(t *testing.T, name string, content []byte, fields ...string) *http.Response {
	t.Helper()
	var body bytes.Buffer
	form := multipart.NewWriter(&body)
	for i := 0; i < len(fields); i += 2 {
		if err := form.WriteField(fields[i], fields[i+1]); err != nil {
			t.Fatal(err)
		}
	}
	if name != "" {
		part, err := form.CreateFormFile("file", name)
		if err != nil {
			t.Fatal(err)
		}
		if _, err := part.Write(content); err != nil {
			t.Fatal(err)
		}
	}
	if err := form.Close(); err != nil {
		t.Fatal(err)
	}
	return request(t, b.http, b.token, "POST", b.path+"/traces", &body, func(r *http.Request) { r.Header.Set("Content-Type", form.FormDataContentType()) })
}

// example reads an example file.
func example(t *testing.T, name string) []byte {
	t.Helper()
	content, err := os.ReadFile("../../examples/" + name)
	if err != nil {
		t.Fatal(err)
	}
	return content
}

// lookedThrough asks what happened in a trace and waits until that is known.
func (b *jobBench) lookedThrough(t *testing.T, path string) string {
	t.Helper()
	for range 300 {
		if page := b.get(t, path); !strings.Contains(page, "Looking through") {
			return page
		}
		time.Sleep(100 * time.Millisecond)
	}
	t.Fatal("it is still being looked through after half a minute")
	return ""
}

// A logger's table of the terminal that shuts down when warm is brought in, looked
// through, and a run of it written into the logbook with the trace beside it.
func TestTraceFromFileToLogbook(t *testing.T) {
	b := benchOfCase(t, threeChips)
	has(t, b.get(t, b.path+"/traces"), "a recording never looks away")
	source := example(t, "vt9-before.csv")
	answer := b.bring(t, "vt9-before.csv", source, "note", "clip leads at C12")
	if answer.StatusCode != http.StatusSeeOther {
		t.Fatalf("bringing it in answers %s:\n%s", answer.Status, bodyOf(t, answer))
	}
	at := answer.Header.Get("Location")
	list, err := b.records.Traces(t.Context(), b.job)
	if err != nil || len(list) != 1 {
		t.Fatalf("kept are %v, %v", list, err)
	}
	kept := list[0]
	if kept.Name != "vt9-before" || kept.Note != "clip leads at C12" || len(kept.Channels) != 2 || kept.Rows < 100 {
		t.Errorf("kept as %+v", kept)
	}
	as, _, err := b.records.OpenFile(t.Context(), kept.Source)
	if err != nil {
		t.Fatal(err)
	}
	defer as.Close()
	if text, err := io.ReadAll(as); err != nil || !bytes.Equal(text, source) {
		t.Errorf("the file as it came is not kept byte by byte: %v", err)
	}
	has(t, b.get(t, at), "What happened in it?", "Nothing was asked yet", "bundle-traces.js")
	asked := at + "?channel=" + strings.ReplaceAll(kept.Channels[0], "+", "%2B") + "&limits=4.75..5.25+V&thermometer=case"
	page := b.lookedThrough(t, strings.ReplaceAll(asked, " ", "+"))
	has(t, page, "For the logbook", "Write this into the logbook", "It fails at", "°C")
	lines := hiddenValues(page, "line")
	if len(lines) == 0 {
		t.Fatal("no run is offered")
	}
	before := len(b.log(t))
	for range 2 { // sent twice, since no answer came
		status, to, page := b.post(t, at+"/entry", "channel", kept.Channels[0], "limits", "4.75..5.25 V", "thermometer", "case", "line", lines[0], "key", "run-one-of-it")
		if status != http.StatusSeeOther || !strings.HasPrefix(to, at) {
			t.Fatalf("writing a run answers %d:\n%s", status, page)
		}
	}
	log := b.log(t)
	last := log[len(log)-1]
	if len(log) != before+1 || len(last.Traces) != 1 || last.Traces[0] != kept.ID || last.Verb != "failed" && last.Verb != "soak" {
		t.Errorf("%d entries were written, the last is %+v", len(log)-before, last)
	}
	if status, _, page := b.post(t, at+"/entry", "channel", kept.Channels[0], "line", "{nonsense: 3}", "key", "another-key"); status != http.StatusUnprocessableEntity || len(b.log(t)) != len(log) {
		t.Errorf("a line that is no entry answers %d:\n%.500s", status, page)
	}
}

// hiddenValues gives the values of the hidden fields of a name.
func hiddenValues(page, name string) []string {
	var list []string
	for _, part := range strings.Split(page, `name="`+name+`" value="`)[1:] {
		value, _, _ := strings.Cut(part, `"`)
		list = append(list, strings.NewReplacer("&#34;", `"`, "&amp;", "&", "&#39;", "'").Replace(value))
	}
	return list
}

func TestTracesThatCannotBeBroughtIn(t *testing.T) {
	b := benchOfCase(t, threeChips)
	for _, c := range []struct {
		name, file, content string
		fields              []string
		says                string
	}{
		{"no file", "", "", nil, "Choose the file"},
		{"an empty file", "empty.csv", "", nil, ""},
		{"a letter", "letter.txt", "Dear Ilse,\nthe counter works again.\n", nil, ""},
		{"a picture", "picture.csv", "\x89PNG\r\n\x1a\n\x00\x00\x00\rIHDR", nil, ""},
		{"a time between readings of zero", "ok.csv", "t,V\n0,1\n1,2\n", []string{"interval", "0 s"}, "more than zero"},
		{"a time between readings in volts", "ok.csv", "t,V\n0,1\n1,2\n", []string{"interval", "3 V"}, ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			answer := b.bring(t, c.file, []byte(c.content), c.fields...)
			page := bodyOf(t, answer)
			if answer.StatusCode != http.StatusUnprocessableEntity || !strings.Contains(page, `class="problem"`) || !strings.Contains(page, c.says) {
				t.Errorf("answers %s; want 422 with what is wrong beside the field", answer.Status)
			}
			if strings.Contains(page, os.TempDir()+string(filepath.Separator)+"trace-") {
				t.Error("the page tells where on the disk it was tried")
			}
		})
	}
	if list, err := b.records.Traces(t.Context(), b.job); err != nil || len(list) != 0 {
		t.Errorf("kept are %v, %v", list, err)
	}
	for _, path := range []string{"/traces/7", "/traces/0", "/traces/x", "/jobs/9/traces"} {
		if answer := request(t, b.http, b.token, "GET", path, nil, nil); answer.StatusCode != http.StatusNotFound {
			t.Errorf("GET %s: %s, want 404", path, answer.Status)
		}
	}
}

// madeTrace keeps a trace of so many readings a millisecond apart of a +5 V rail
// and of the case: it warms up, has ripple, and drops out for a single reading at
// each of the places given.
func madeTrace(t testing.TB, records Records, job record.ID, rows int, drops ...int) *record.Trace {
	t.Helper()
	name := filepath.Join(t.TempDir(), "long")
	out, err := os.Create(name)
	if err != nil {
		t.Fatal(err)
	}
	head := trace.Head{Channels: []trace.Channel{{Name: "+5", Unit: "V"}, {Name: "case", Unit: "°C"}}, Interval: 1e-3}
	w, err := column.NewWriter(out, head)
	if err != nil {
		t.Fatal(err)
	}
	const piece = 1 << 16
	dropped := map[int]bool{}
	for _, d := range drops {
		dropped[d] = true
	}
	noise := uint32(1)
	block := &trace.Block{Values: [][]float64{make([]float64, 0, piece), make([]float64, 0, piece)}}
	for i := range rows {
		warm := 1 - math.Exp(-3*float64(i)/float64(rows))
		noise = noise*1664525 + 1013904223
		v := 5.03 - 0.04*warm + 0.004*math.Sin(float64(i)*0.628) + 0.002*(float64(noise)/(1<<32)-0.5)
		if dropped[i] {
			v = 0.4
		}
		block.Values[0] = append(block.Values[0], v)
		block.Values[1] = append(block.Values[1], 21+30*warm)
		if len(block.Values[0]) == piece || i == rows-1 {
			if err := w.Append(block); err != nil {
				t.Fatal(err)
			}
			block.Values[0], block.Values[1] = block.Values[0][:0], block.Values[1][:0]
		}
	}
	if err := w.Close(); err != nil {
		t.Fatal(err)
	}
	if _, err := out.Seek(0, io.SeekStart); err != nil {
		t.Fatal(err)
	}
	file, err := records.PutFile(t.Context(), out, traceMedia, traceKept)
	if err != nil {
		t.Fatal(err)
	}
	if err := out.Close(); err != nil {
		t.Fatal(err)
	}
	one := &record.Trace{Job: job, Name: "made", File: file.Hash, Channels: head.Names(), Rows: int64(rows), Seconds: float64(rows) / 1000, Taken: time.Date(1991, 4, 2, 9, 0, 0, 0, time.UTC)}
	if err := records.SaveTrace(t.Context(), one); err != nil {
		t.Fatal(err)
	}
	return one
}

// Whatever the window, the single reading that dropped out is in it, and no window
// has more points than were asked for.
func TestWindowLosesNoDropout(t *testing.T) {
	b := benchOfCase(t, threeChips)
	one := madeTrace(t, b.records, b.job, 300_000, 123_456)
	for _, c := range []struct {
		from, to float64
		points   int
		has      bool
	}{
		{0, 0, 1000, true}, {0, 300, 500, true}, {100, 150, 1000, true}, {123.4, 123.5, 50, true}, {123.4561, 124, 300, false}, {0, 123, 1000, false}, {200, 300, 700, false},
	} {
		text := b.get(t, fmt.Sprintf("/api/traces/%d/window?from=%g&to=%g&points=%d&channel=%%2B5&channel=2", one.ID, c.from, c.to, c.points))
		var w traceWindow
		if err := json.Unmarshal([]byte(text), &w); err != nil {
			t.Fatal(err)
		}
		if len(w.Channels) != 2 || w.Channels[0].Name != "+5" || w.Channels[1].Name != "case" {
			t.Fatalf("the channels are %.200s", text)
		}
		rail := w.Channels[0]
		if n := len(rail.From); n == 0 || n > 2*c.points+4 || len(rail.To) != n || len(rail.Low) != n || len(rail.High) != n {
			t.Errorf("%v to %v: %d, %d, %d, %d points for %d", c.from, c.to, n, len(rail.To), len(rail.Low), len(rail.High), c.points)
		}
		lowest := math.Inf(1)
		for i := range rail.Low {
			lowest = min(lowest, *rail.Low[i])
			if *rail.Low[i] > *rail.High[i] || rail.From[i] > rail.To[i] || i > 0 && rail.From[i] <= rail.To[i-1] {
				t.Fatalf("%v to %v: point %d is out of order", c.from, c.to, i)
			}
		}
		if (lowest < 1) != c.has {
			t.Errorf("from %v to %v the lowest is %g; that the dropout is seen should be %t", c.from, c.to, lowest, c.has)
		}
	}
	for path, want := range map[string]int{
		"/window?from=5&to=4": 422, "/window?channel=nothing": 422, "/window?points=1": 422, "/window?points=9999": 422, "/window?from=x": 422, "/window?from=NaN": 422,
	} {
		if answer := request(t, b.http, b.token, "GET", fmt.Sprintf("/api/traces/%d%s", one.ID, path), nil, nil); answer.StatusCode != want {
			t.Errorf("%s answers %s, want %d", path, answer.Status, want)
		}
	}
}

// Of the files of many traces only a few stay open.
func TestFewTraceFilesStayOpen(t *testing.T) {
	b := benchOfCase(t, threeChips)
	for i := range openMost + 3 {
		one := madeTrace(t, b.records, b.job, 1000+i)
		b.get(t, fmt.Sprintf("/api/traces/%d", one.ID))
	}
	if n := len(b.Server.traces.list); n != openMost {
		t.Errorf("%d files are open, want %d", n, openMost)
	}
	first, err := b.Server.windowOf(t.Context(), 1, nil, 0, 1, 100)
	if err != nil || len(first.Channels) != 2 {
		t.Errorf("a file that was closed is not opened again: %v", err)
	}
	b.Server.traces.close()
	if n := len(b.Server.traces.list); n != 0 {
		t.Errorf("%d files are open at the end", n)
	}
}

// What is looked for can be stopped, and what was found is not kept for ever.
func TestSearchOfATraceIsBounded(t *testing.T) {
	b := benchOfCase(t, threeChips)
	one := madeTrace(t, b.records, b.job, 5000, 2500)
	for i := range searchesKept + 5 {
		<-b.searchOf(question{trace: one.ID, channel: "+5", limits: fmt.Sprintf("4.%d..5.25 V", 10+i)}, *one).ended
	}
	if n := len(b.searches.known); n > searchesKept || n != len(b.searches.order) {
		t.Errorf("%d searches are kept, %d in order", n, len(b.searches.order))
	}
	b.searches.turn.Lock() // another goes on
	q := question{trace: one.ID, channel: "+5"}
	waiting := b.searchOf(q, *one)
	has(t, b.get(t, fmt.Sprintf("/traces/%d?channel=%%2B5", one.ID)), "Looking through", "waiting for its turn", "Stop")
	if status, to, _ := b.post(t, fmt.Sprintf("/traces/%d/stop", one.ID), "channel", "+5"); status != http.StatusSeeOther || to != fmt.Sprintf("/traces/%d", one.ID) {
		t.Errorf("stopping answers %d to %s", status, to)
	}
	b.searches.turn.Unlock()
	<-waiting.ended
	if waiting.problem != context.Canceled {
		t.Errorf("it ended with %v", waiting.problem)
	}
}

// A window of a trace of ten million readings, as the viewer asks for it: two
// channels, three times what is in view.
func BenchmarkWindowOfTenMillion(b *testing.B) {
	records, work, job := openCase(b, threeChips)
	s := New(Options{Records: records, Bench: work})
	one := madeTrace(b, records, job.ID, 10_000_000)
	for _, span := range []float64{10_000, 1000, 100, 1} {
		b.Run(fmt.Sprintf("%gs", span), func(b *testing.B) {
			from := 0.0
			for b.Loop() {
				w, err := s.windowOf(b.Context(), one.ID, nil, from, from+span, 2100)
				if err != nil {
					b.Fatal(err)
				}
				if _, err := json.Marshal(w); err != nil {
					b.Fatal(err)
				}
				if from += span / 3; from+span > 10_000 {
					from = 0
				}
			}
		})
	}
}

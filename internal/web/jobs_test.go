package web

import (
	"context"
	"fmt"
	"net/http"
	"net/http/httptest"
	"net/url"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"halfsplit/internal/bench"
	"halfsplit/internal/record"
	"halfsplit/internal/store"
)

// jobBench is a bench with one job in it, as a case file tells it.
type jobBench struct {
	*Server
	http    *httptest.Server
	records *store.Store
	bench   *bench.Bench
	token   string
	job     record.ID
	path    string
}

func openCase(t testing.TB, name string) (*store.Store, *bench.Bench, *record.Job) {
	t.Helper()
	records, err := store.Open(t.TempDir(), store.Options{})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { records.Close() })
	file, err := bench.ReadCase(filepath.Join("../../examples", name+".case.yaml"))
	if err != nil {
		t.Fatal(err)
	}
	work := bench.New(records, bench.Options{})
	job, err := work.ImportCase(t.Context(), *file, 0)
	if err != nil {
		t.Fatal(err)
	}
	return records, work, job
}

func benchOfCase(t *testing.T, name string) *jobBench {
	t.Helper()
	records, work, job := openCase(t, name)
	s, server, token := benchOf(t, Options{Records: records, Bench: work})
	t.Cleanup(func() { work.Cancel(job.ID) })
	return &jobBench{s, server, records, work, token, job.ID, fmt.Sprintf("/jobs/%d", job.ID)}
}

// settled waits until the reasoning has ended.
func (b *jobBench) settled(t *testing.T) {
	t.Helper()
	ctx, stop := context.WithTimeout(t.Context(), time.Minute)
	defer stop()
	if _, err := b.bench.Reason(ctx, b.job); err != nil {
		t.Fatal(err)
	}
}

// get gives a page, which must be there.
func (b *jobBench) get(t *testing.T, path string) string {
	t.Helper()
	answer := request(t, b.http, b.token, "GET", path, nil, nil)
	text := bodyOf(t, answer)
	if answer.StatusCode != http.StatusOK {
		t.Fatalf("GET %s: %s\n%s", path, answer.Status, text)
	}
	return text
}

// post sends a form, and gives the status, where it leads, and the page.
func (b *jobBench) post(t *testing.T, path string, fields ...string) (status int, to, page string) {
	t.Helper()
	values := url.Values{}
	for i := 0; i < len(fields); i += 2 {
		values.Add(fields[i], fields[i+1])
	}
	answer := request(t, b.http, b.token, "POST", path, strings.NewReader(values.Encode()), nil)
	return answer.StatusCode, answer.Header.Get("Location"), bodyOf(t, answer)
}

func (b *jobBench) log(t *testing.T) []record.Entry {
	t.Helper()
	log, err := b.records.Log(t.Context(), b.job)
	if err != nil {
		t.Fatal(err)
	}
	return log
}

// has fails when a page lacks words; runs of spaces count as one.
func has(t *testing.T, page string, words ...string) {
	t.Helper()
	flat := strings.Join(strings.Fields(page), " ")
	for _, w := range words {
		if !strings.Contains(flat, w) {
			if i := strings.Index(flat, "<main"); i >= 0 {
				flat = flat[i:]
			}
			t.Errorf("the page lacks %q:\n%.3000s", w, flat)
			return
		}
	}
}

// The terminal with three bad memory chips, whose findings take less than a
// second.
const threeChips = "vt9-three-chips"

func TestJobPage(t *testing.T) {
	b := benchOfCase(t, threeChips)
	b.settled(t)
	page := b.get(t, b.path)
	has(t, page, "Read main bank 1 bit 2", "Take this reading", "saves about 16 min", "What each answer would mean", "Something not described",
		"U20", "dynamic ram", "measure, step 3 of 7", "self-test")
	for _, tab := range []string{"/reading", "/log", "/log/add", "/suspects", "/hazards", "/proof", "/handback"} {
		if text := b.get(t, b.path+tab); strings.Contains(text, "%!") {
			t.Errorf("%s: a badly written value on the page", tab)
		}
	}
	for _, path := range []string{"/jobs/99", "/jobs/0", "/jobs/x", "/units/99/jobs/new", b.path + "/log/add?corrects=e99", b.path + "/reading?done=99"} {
		if answer := request(t, b.http, b.token, "GET", path, nil, nil); answer.StatusCode != http.StatusNotFound {
			t.Errorf("GET %s: %s, want not found", path, answer.Status)
		}
	}
}

func TestOpeningAJob(t *testing.T) {
	b := benchOfCase(t, threeChips)
	b.get(t, "/units/1/jobs/new")
	status, _, page := b.post(t, "/units/1/jobs", "complaint", "hums", "sure", "120 %")
	if status != http.StatusUnprocessableEntity {
		t.Errorf("a job without a title: status %d", status)
	}
	has(t, page, "Give it a few words", "more than 0 %", ">hums<")
	status, to, page := b.post(t, "/units/1/jobs", "title", "hums", "complaint", "It hums\nwhen cold.", "key", "k1")
	if status != http.StatusSeeOther {
		t.Fatalf("opening a job: %d\n%s", status, page)
	}
	has(t, b.get(t, to), "Choose a service sheet", "It hums when cold.")
	status, _, page = b.post(t, to+"/sheet", "sheet", "no-such-sheet")
	if status != http.StatusUnprocessableEntity || !strings.Contains(page, "there is no sheet") && !strings.Contains(page, "There is no sheet") {
		t.Errorf("a sheet that is not there: status %d", status)
	}
	if status, _, page = b.post(t, to+"/sheet", "sheet", "library/series-pass"); status != http.StatusSeeOther {
		t.Fatalf("a sheet of the library: %d\n%s", status, page)
	}
	has(t, b.get(t, to+"/hazards"), "It is made safe")
}

// A hazard that can kill holds the job up until it is answered, or accepted with
// a reason.
func TestGates(t *testing.T) {
	b := benchOfCase(t, threeChips)
	_, to, _ := b.post(t, "/units/1/jobs", "title", "again", "sheet", "vt9")
	has(t, b.get(t, to), "Make safe: ", "can kill")
	status, _, page := b.post(t, to+"/stage", "stage", "measure")
	if status != http.StatusUnprocessableEntity {
		t.Fatalf("moved on past a hazard that can kill: %d", status)
	}
	has(t, page, "is not answered")
	if status, _, _ = b.post(t, to+"/soak"); status != http.StatusUnprocessableEntity {
		t.Errorf("a soak run began before it was safe: %d", status)
	}
	status, _, page = b.post(t, to+"/hazards", "hazard", "hot chassis", "do", "accept", "why", "")
	if status != http.StatusUnprocessableEntity {
		t.Errorf("accepted without a reason: %d", status)
	}
	has(t, page, "Give the reason")
	status, _, page = b.post(t, to+"/hazards", "hazard", "the cat", "do", "safe", "why", "put out")
	if status != http.StatusUnprocessableEntity {
		t.Errorf("a hazard that is not there: %d\n%s", status, page)
	}
	for _, h := range []string{"hot chassis", "mains filter capacitor", "picture tube"} {
		if status, _, page = b.post(t, to+"/hazards", "hazard", h, "do", "safe", "why", "looked after"); status != http.StatusSeeOther {
			t.Fatalf("answering %s: %d\n%s", h, status, page)
		}
	}
	if status, _, page = b.post(t, to+"/stage", "stage", "measure"); status != http.StatusSeeOther {
		t.Errorf("held up though all is answered: %d\n%s", status, page)
	}
	if status, _, _ = b.post(t, to+"/stage", "stage", "somewhere"); status != http.StatusUnprocessableEntity {
		t.Errorf("moved to a stage that is none: %d", status)
	}
}

func TestReadings(t *testing.T) {
	b := benchOfCase(t, threeChips)
	b.settled(t)
	has(t, b.get(t, b.path+"/reading"), "What would tell most", "main bank 1 bit 2", "TP1", "last: 5.04 V", "should be 5 V (4.75 V to 5.25 V)")
	has(t, b.get(t, b.path+"/reading?at=TP1"), "Should be 5 V (4.75 V to 5.25 V)", "not said")
	before := len(b.log(t))
	for _, c := range []struct{ typed, verdict string }{
		{"4.99", "badge pass"},
		{"4,62 V", "badge fail"},
		{"5.24", "badge close"},
		{"4.9.9", "class=\"problem\""},
	} {
		has(t, b.get(t, b.path+"/reading?at=TP1&with=DMM&reads="+url.QueryEscape(c.typed)), c.verdict)
	}
	if n := len(b.log(t)); n != before {
		t.Fatalf("judging wrote %d entries", n-before)
	}
	status, _, page := b.post(t, b.path+"/reading", "at", "TP1", "reads", "4.9.9", "on", "12", "key", "a")
	if status != http.StatusUnprocessableEntity {
		t.Errorf("a reading that is none: %d", status)
	}
	has(t, page, `value="4.9.9"`, `value="12"`, "aria-invalid")
	status, _, page = b.post(t, b.path+"/reading", "at", "TP99", "reads", "5 V", "key", "b")
	if status != http.StatusUnprocessableEntity {
		t.Errorf("a place that is not on the sheet: %d", status)
	}
	has(t, page, "TP99")
	var to string
	for range 2 { // the button was pressed twice, or the phone sent it again
		if status, to, page = b.post(t, b.path+"/reading", "at", "TP1", "reads", "5.24", "with", "DMM", "on", "12", "without", "video amplifier", "doubtful", "yes", "key", "c", "waited", "3600"); status != http.StatusSeeOther {
			t.Fatalf("a reading: %d\n%s", status, page)
		}
	}
	log := b.log(t)
	if len(log) != before+1 {
		t.Fatalf("sent twice, the reading stands %d times in the logbook", len(log)-before)
	}
	if age := time.Since(log[before].At); age < 50*time.Minute || age > 70*time.Minute {
		t.Errorf("a reading that waited an hour is dated %v ago", age)
	}
	has(t, b.get(t, to), "Just written", "too close to call", "What would settle it")
	if status, _, page = b.post(t, b.path+"/reading", "at", "+12", "reads", "absent", "warm", "yes", "key", "d"); status != http.StatusSeeOther {
		t.Errorf("a word: %d\n%s", status, page)
	}
	has(t, b.get(t, b.path+"/reading?at=TP2"), `value="72 min"`) // counted on from 12 min an hour ago
}

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
	"halfsplit/logbook"
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
	ctx, stop := context.WithTimeout(t.Context(), 4*time.Minute)
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
		"U20", "dynamic ram", ", step 3 of 7, now", "self-test")
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

func TestLogbookInInk(t *testing.T) {
	b := benchOfCase(t, threeChips)
	for _, c := range []struct {
		name   string
		fields []string
		status int
		says   string
	}{
		{"a kind that is none", []string{"verb", "wish", "subject", "x"}, 422, "not known"},
		{"nothing said", []string{"verb", "note", "subject", ""}, 422, "is missing"},
		{"a part that is not there", []string{"verb", "swap", "subject", "U999"}, 422, "U999"},
		{"minutes that are none", []string{"verb", "note", "subject", "x", "took", "soon"}, 422, "Write the minutes"},
		{"money that is none", []string{"verb", "note", "subject", "x", "cost", "much"}, 422, "class=\"problem\""},
		{"a day that is none", []string{"verb", "note", "subject", "x", "when", "yesterday"}, 422, "2026-03-02 10:40"},
		{"starts that are none", []string{"verb", "cold starts", "subject", "several"}, 422, "class=\"problem\""},
		{"an entry that is not there corrected", []string{"verb", "note", "subject", "x", "corrects", "e99"}, 404, "nothing at this address"},
	} {
		before := len(b.log(t))
		status, _, page := b.post(t, b.path+"/log", c.fields...)
		if status != c.status {
			t.Errorf("%s: status %d, want %d", c.name, status, c.status)
		}
		has(t, page, c.says)
		if n := len(b.log(t)); n != before {
			t.Errorf("%s: %d entries were written", c.name, n-before)
		}
	}
	status, to, page := b.post(t, b.path+"/log", "verb", "test", "subject", "C12", "how", "out of circuit", "capacitance", "1400 uF", "esr", "0.3 ohm", "frequency", "100 kHz", "seen", "bulged, leaked", "took", "10", "cost", "1,20", "who", "Maren", "key", "t")
	if status != http.StatusSeeOther {
		t.Fatalf("a test of a capacitor: %d\n%s", status, page)
	}
	log := b.log(t)
	e := log[len(log)-1]
	if e.Seconds != 600 || e.Cost != 120 || e.Who != "Maren" || e.Verb != "test" {
		t.Errorf("took, cost, who, verb: %v %v %q %q", e.Seconds, e.Cost, e.Who, e.Verb)
	}
	has(t, b.get(t, strings.Split(to, "#")[0]), "C12", "Maren", "10 min", "1.20")
	status, _, page = b.post(t, b.path+"/log", "verb", "swap", "subject", "U21, U22", "old", "dated 8109", "new", "dated 8309", "condition", "failed", "mode", "stuck bit", "in-batch", "8309", "key", "s")
	if status != http.StatusSeeOther {
		t.Fatalf("a swap: %d\n%s", status, page)
	}
	log = b.log(t)
	e = log[len(log)-1]
	if len(e.Swaps) != 2 || e.Swaps[1].Part != "U22" || e.Swaps[1].Condition != record.ConditionFailed || e.Swaps[1].Kind != "dynamic ram" || e.Swaps[0].InBatch != "8309" {
		t.Errorf("the swap is kept as %+v", e.Swaps)
	}
	has(t, b.get(t, b.path+"/log/add?corrects="+e.Name()), "U21, U22", "stuck bit", "dated 8109", "It stays legible")
	for i, want := range []int{http.StatusSeeOther, http.StatusUnprocessableEntity} { // a second correction of the same entry is refused
		if status, _, page = b.post(t, b.path+"/log", "verb", "swap", "subject", "U21", "corrects", e.Name(), "condition", "failed", "key", fmt.Sprint("r", i)); status != want {
			t.Errorf("correction %d: %d\n%s", i, status, page)
		}
	}
	has(t, b.get(t, b.path+"/log"), "<del>", "Corrected by", "Corrects")
	has(t, b.get(t, b.path+"/log?verb=swap&text=U21"), "Corrected by")
	// Every kind has its form.
	for _, k := range entryKinds {
		has(t, b.get(t, b.path+"/log/add?verb="+url.QueryEscape(k.Verb)), k.Subject)
	}
}

// What stands in the form of a correction makes the same entry again.
func TestCorrectionBeginsWithWhatWasSaid(t *testing.T) {
	for _, name := range []string{threeChips, "p6-hum-and-voice-four", "vt9-shuts-down", "vt9-dark-when-warm"} {
		records, _, job := openCase(t, name)
		log, err := records.Log(t.Context(), job.ID)
		if err != nil {
			t.Fatal(err)
		}
		for _, one := range log {
			read, err := logbook.ParseEntry(one.Line)
			if err != nil {
				t.Fatal(err)
			}
			in := blank()
			for key, value := range valuesOf(read) {
				in.values[fieldName(key)] = []string{value}
			}
			again := entryOf(&jobView{}, kindOf(one.Verb), in)
			if bench.Said(again) != bench.Said(&one) {
				t.Errorf("%s, %s corrected without a change says %q, not %q", name, one.Name(), bench.Said(again), bench.Said(&one))
			}
		}
	}
}

func TestSoakRun(t *testing.T) {
	now := clockAt(time.Now())
	b := benchOfCase(t, threeChips)
	b.Server.now = now.read
	b.get(t, b.path+"/proof")
	status, _, page := b.post(t, b.path+"/soak", "temperature", "warmish")
	if status != http.StatusUnprocessableEntity {
		t.Errorf("a temperature that is none: %d\n%s", status, page)
	}
	for range 2 {
		if status, _, page = b.post(t, b.path+"/soak", "temperature", "38 °C", "note", "case closed"); status != http.StatusSeeOther {
			t.Fatalf("beginning: %d\n%s", status, page)
		}
	}
	soaks, err := b.records.Soaks(t.Context(), b.job)
	if err != nil || len(soaks) != 1 {
		t.Fatalf("begun twice, %d soak runs go on: %v", len(soaks), err)
	}
	now.pass(45 * time.Minute)
	has(t, b.get(t, b.path+"/proof"), "0:45:00", "A soak run goes on", "38 °C")
	has(t, b.get(t, b.path), "0:45:00")
	before := len(b.log(t))
	end := fmt.Sprintf("%s/soak/%d", b.path, soaks[0].ID)
	for range 2 {
		if status, _, page = b.post(t, end, "do", "clean"); status != http.StatusSeeOther {
			t.Fatalf("ending: %d\n%s", status, page)
		}
	}
	log := b.log(t)
	if len(log) != before+1 || !strings.Contains(log[before].Line, "2700 s") || log[before].Verb != "soak" {
		t.Errorf("the run is written as %+v", log[before:])
	}
	if status, _, _ = b.post(t, b.path+"/soak/99", "do", "clean"); status != http.StatusNotFound {
		t.Errorf("a run that is not there: %d", status)
	}
	if status, _, page = b.post(t, b.path+"/starts", "starts", "five"); status != http.StatusUnprocessableEntity {
		t.Errorf("starts that are no number: %d\n%s", status, page)
	}
	if status, _, page = b.post(t, b.path+"/starts", "starts", "5", "key", "c"); status != http.StatusSeeOther {
		t.Errorf("cold starts: %d\n%s", status, page)
	}
}

func TestHandingBack(t *testing.T) {
	b := benchOfCase(t, threeChips)
	b.settled(t)
	if status, _, _ := b.post(t, b.path+"/handback"); status != http.StatusUnprocessableEntity {
		t.Errorf("closed without an outcome: %d", status)
	}
	status, _, page := b.post(t, b.path+"/handback", "outcome", "beyond repair", "reason", "", "lesson", "look at the date codes first")
	if status != http.StatusUnprocessableEntity {
		t.Errorf("given up without a reason: %d", status)
	}
	has(t, page, "look at the date codes first", "Say why")
	if status, _, page = b.post(t, b.path+"/handback", "outcome", "repaired", "reason", "three chips of bank 1", "lesson", "look at the date codes first"); status != http.StatusSeeOther {
		t.Fatalf("closing: %d\n%s", status, page)
	}
	has(t, b.get(t, b.path), "Closed: repaired")
	has(t, b.get(t, b.path+"/handback"), "Open it again", "three chips of bank 1")
	for as, begins := range map[string]string{"html": "<!", "pdf": "%PDF-", "markdown": "PK"} {
		text := b.get(t, b.path+"/report?as="+as)
		if !strings.HasPrefix(strings.TrimSpace(text), begins) {
			t.Errorf("as %s the report begins with %q", as, text[:min(20, len(text))])
		}
	}
	if text := b.get(t, b.path+"/report?as=html&with=Safety"); strings.Contains(text, ">Logbook<") || !strings.Contains(text, ">Safety<") {
		t.Error("the report does not hold what was chosen")
	}
	if text := b.get(t, b.path+"/case"); !strings.HasPrefix(text, "PK") {
		t.Error("the case file is no zip")
	}
	if status, _, _ = b.post(t, b.path+"/handback", "do", "open"); status != http.StatusSeeOther {
		t.Errorf("opening again: %d", status)
	}
	if j, err := b.records.Job(t.Context(), b.job); err != nil || !j.IsOpen() {
		t.Errorf("the job is not open again: %v", err)
	}
}

// Stopped reasoning stays stopped until it is let go on, or the job changes.
func TestStoppingTheReasoning(t *testing.T) {
	b := benchOfCase(t, "p6-hum-and-voice-four") // its circuits take seconds
	has(t, b.get(t, b.path), "Working it out", "Stop it")
	if status, _, _ := b.post(t, b.path+"/think", "do", "stop"); status != http.StatusSeeOther {
		t.Fatalf("stopping: %d", status)
	}
	has(t, b.get(t, b.path), "The reasoning was stopped", "Let it go on")
	b.post(t, b.path+"/think", "do", "go on")
	has(t, b.get(t, b.path), "Stop it")
}

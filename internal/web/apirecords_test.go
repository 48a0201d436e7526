package web

import (
	"encoding/json"
	"fmt"
	"net/http"
	"regexp"
	"strings"
	"testing"

	"halfsplit/internal/record"
)

// program sends a question as a program does, with the token of its device.
func (b *jobBench) program(t *testing.T, token, method, path, body string, edit func(*http.Request)) (status int, kind string, answer map[string]any) {
	t.Helper()
	got := request(t, b.http, "", method, path, strings.NewReader(body), func(r *http.Request) {
		r.Header = http.Header{}
		if token != "" {
			r.Header.Set("Authorization", "Bearer "+token)
		}
		if body != "" {
			r.Header.Set("Content-Type", "application/json")
		}
		if edit != nil {
			edit(r)
		}
	})
	text := bodyOf(t, got)
	if err := json.Unmarshal([]byte(text), &answer); err != nil {
		t.Fatalf("%s %s answers %s, which is no JSON object: %v\n%.300s", method, path, got.Status, err, text)
	}
	return got.StatusCode, got.Header.Get("Content-Type"), answer
}

// Who may ask: a paired device, by its token or from its own pages, and nobody else.
func TestProgramsThatMayNotAsk(t *testing.T) {
	b := benchOfCase(t, threeChips)
	shut := secret()
	now := b.now()
	if err := b.devices.SaveDevice(t.Context(), &record.Device{Name: "sold", Token: hashOf(shut), Created: now, Revoked: now}); err != nil {
		t.Fatal(err)
	}
	entry := `{"key": "a-key-of-mine", "line": "{note: stored in a loft}"}`
	for _, c := range []struct {
		name, token, method, path, body string
		edit                            func(*http.Request)
		want                            int
	}{
		{name: "a token", token: b.token, method: "GET", path: "/api/jobs", want: 200},
		{name: "a token that writes", token: b.token, method: "POST", path: "/api" + b.path + "/entries", body: entry, want: 200},
		{name: "the cookie of its own pages", method: "POST", path: "/api" + b.path + "/entries", body: entry, want: 200, edit: func(r *http.Request) {
			r.AddCookie(&http.Cookie{Name: tokenCookie, Value: b.token})
			r.Header.Set("Origin", b.http.URL)
			r.Header.Set("Sec-Fetch-Site", "same-origin")
		}},
		{name: "no token", method: "GET", path: "/api/jobs", want: 401},
		{name: "no token, the document", method: "GET", path: "/api/openapi.json", want: 401},
		{name: "no token, a path that is not there", method: "GET", path: "/api/no/such", want: 401},
		{name: "a made-up token", token: secret(), method: "GET", path: "/api/jobs", want: 401},
		{name: "a device that was shut out", token: shut, method: "GET", path: "/api/jobs", want: 401},
		{name: "a device that was shut out, writing", token: shut, method: "POST", path: "/api" + b.path + "/entries", body: entry, want: 401},
		{name: "no token, writing", method: "POST", path: "/api" + b.path + "/entries", body: entry, want: 403},
		{name: "a cookie without where it comes from", method: "POST", path: "/api" + b.path + "/entries", body: entry, want: 403, edit: func(r *http.Request) {
			r.AddCookie(&http.Cookie{Name: tokenCookie, Value: b.token})
		}},
		{name: "a page of another site with the cookie", method: "POST", path: "/api" + b.path + "/entries", body: entry, want: 403, edit: func(r *http.Request) {
			r.AddCookie(&http.Cookie{Name: tokenCookie, Value: b.token})
			r.Header.Set("Origin", "https://attacker.example")
		}},
		{name: "a page of another site with the token", token: b.token, method: "POST", path: "/api" + b.path + "/entries", body: entry, want: 403, edit: func(r *http.Request) {
			r.Header.Set("Origin", "https://attacker.example")
		}},
		{name: "a page of another site that reads", token: b.token, method: "GET", path: "/api/jobs", want: 403, edit: func(r *http.Request) {
			r.Header.Set("Origin", "https://attacker.example")
		}},
		{name: "another name of this machine", token: b.token, method: "GET", path: "/api/jobs", want: 421, edit: func(r *http.Request) { r.Host = "attacker.example" }},
		{name: "a path that is not there", token: b.token, method: "GET", path: "/api/no/such", want: 404},
		{name: "a way that is not there", token: b.token, method: "DELETE", path: "/api/jobs/1", want: 404},
	} {
		t.Run(c.name, func(t *testing.T) {
			status, kind, answer := b.program(t, c.token, c.method, c.path, c.body, c.edit)
			if status != c.want {
				t.Errorf("answers %d %v, want %d", status, answer, c.want)
			}
			if status >= 400 && (kind != "application/problem+json" || answer["status"] != float64(status) || answer["detail"] == "") {
				t.Errorf("the problem is %q %v", kind, answer)
			}
		})
	}
}

// An entry sent again with its key, because no answer came, is written once.
func TestEntryOfAProgramIsWrittenOnce(t *testing.T) {
	b := benchOfCase(t, threeChips)
	before := len(b.log(t))
	var ids []any
	for range 3 {
		status, _, answer := b.program(t, b.token, "POST", "/api"+b.path+"/entries", `{"key": "same-key-twice", "line": "{measure: TP1, reads: 5.02 V}", "who": "logger"}`, nil)
		if status != 200 {
			t.Fatalf("answers %d %v", status, answer)
		}
		ids = append(ids, answer["entry"].(map[string]any)["id"])
		if verdicts := answer["verdicts"].([]any); len(verdicts) != 1 || verdicts[0].(map[string]any)["word"] != "within limits" && !strings.HasPrefix(fmt.Sprint(verdicts[0].(map[string]any)["verdict"]), "within") {
			t.Errorf("the verdicts are %v", verdicts)
		}
	}
	log := b.log(t)
	if len(log) != before+1 || log[len(log)-1].Who != "logger" || ids[0] != ids[1] || ids[1] != ids[2] {
		t.Errorf("%d entries were written, by the numbers %v", len(log)-before, ids)
	}
	status, _, answer := b.program(t, b.token, "POST", "/api"+b.path+"/judge", `{"line": "{measure: TP1, reads: 3.1 V}"}`, nil)
	if status != 200 || len(answer["verdicts"].([]any)) != 1 || len(b.log(t)) != len(log) {
		t.Errorf("judging answers %d %v; nothing is to be written", status, answer)
	}
}

// Bad input is answered with every field that is wrong, and nothing is written.
func TestBadInputOfPrograms(t *testing.T) {
	b := benchOfCase(t, threeChips)
	before := len(b.log(t))
	for _, c := range []struct {
		name, method, path, body string
		status                   int
		at                       []string // places named
	}{
		{"no JSON", "POST", b.path + "/entries", "{", 400, nil},
		{"nothing", "POST", b.path + "/entries", "{}", 422, []string{"body", "body"}},
		{"several fields", "POST", b.path + "/entries", `{"key": "short", "line": "", "seconds": -1, "cost": "much", "at": "yesterday"}`, 422, []string{"body.key", "body.line", "body.seconds", "body.cost", "body.at"}},
		{"an unknown field", "POST", b.path + "/entries", `{"key": "long-enough", "line": "{note: x}", "colour": "red"}`, 422, []string{"body.colour"}},
		{"a line that is no entry", "POST", b.path + "/entries", `{"key": "long-enough", "line": "{measure: }"}`, 422, []string{"body.line"}},
		{"a place that is not on the sheet", "POST", b.path + "/entries", `{"key": "long-enough", "line": "{measure: TP99, reads: 5 V}"}`, 422, []string{"body.line"}},
		{"two lines", "POST", b.path + "/judge", `{"line": "{note: a}\n{note: b}"}`, 422, []string{"body.line"}},
		{"a job that is not there", "POST", "/jobs/99/entries", `{"key": "long-enough", "line": "{note: x}"}`, 404, nil},
		{"a number that is none", "GET", "/jobs/x", "", 422, []string{"path.job"}},
		{"a unit that is not there", "GET", "/units/99", "", 404, nil},
		{"a list that is not there", "GET", "/lists/everything", "", 422, []string{"path.list"}},
		{"a stage that is not there", "GET", "/jobs?stage=lunch", "", 422, []string{"query.stage"}},
		{"more than a page holds", "GET", "/jobs?limit=9999&after=", "", 422, []string{"query.limit"}},
		{"a window that ends before it begins", "GET", "/traces/1/window?from=3&to=2", "", 422, []string{"query.to"}},
		{"no words to search for", "GET", "/search", "", 422, []string{"query.text"}},
		{"a capacitor", "POST", "/capacitor", `{"part": "4700 uF 35 V electrolytic", "esr": "much"}`, 422, []string{"body.esr"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			status, kind, answer := b.program(t, b.token, c.method, "/api"+c.path, c.body, nil)
			if status != c.status || kind != "application/problem+json" {
				t.Fatalf("answers %d %q %v, want %d", status, kind, answer, c.status)
			}
			details, _ := answer["errors"].([]any)
			for _, at := range c.at {
				found := false
				for _, d := range details {
					found = found || d.(map[string]any)["location"] == at && d.(map[string]any)["message"] != ""
				}
				if !found {
					t.Errorf("%s is not named among %v", at, details)
				}
			}
		})
	}
	if n := len(b.log(t)) - before; n != 0 {
		t.Errorf("%d entries were written", n)
	}
}

// Every question answers what the document says that it does, and stands on the page.
func TestDocumentForPrograms(t *testing.T) {
	b := benchOfCase(t, threeChips)
	b.settled(t)
	madeTrace(t, b.records, b.job, 1000)
	_, _, doc := b.program(t, b.token, "GET", "/api/openapi.json", "", nil)
	if v, _ := doc["openapi"].(string); !strings.HasPrefix(v, "3.1") {
		t.Errorf("the document is of OpenAPI %q, want 3.1", v)
	}
	text, err := json.Marshal(doc)
	if err != nil {
		t.Fatal(err)
	}
	schemas := doc["components"].(map[string]any)["schemas"].(map[string]any)
	for _, ref := range regexp.MustCompile(`"\$ref":"([^"]*)"`).FindAllStringSubmatch(string(text), -1) {
		name, ok := strings.CutPrefix(ref[1], "#/components/schemas/")
		if _, there := schemas[name]; !ok || !there {
			t.Errorf("%s leads nowhere", ref[1])
		}
	}
	paths := doc["paths"].(map[string]any)
	for _, want := range []string{"/api/units", "/api/units/{unit}", "/api/jobs", "/api/jobs/{job}", "/api/jobs/{job}/entries", "/api/jobs/{job}/judge", "/api/jobs/{job}/findings",
		"/api/lists", "/api/lists/{list}", "/api/search", "/api/upkeep", "/api/learned", "/api/jobs/{job}/traces", "/api/traces/{trace}", "/api/traces/{trace}/window", "/api/capacitor", "/api/sheet/check"} {
		if paths[want] == nil && paths[strings.TrimPrefix(want, "/api")] == nil {
			t.Errorf("the document has no %s", want)
		}
	}
	page := b.get(t, "/api")
	seen := map[any]bool{}
	fill := strings.NewReplacer("{unit}", "1", "{job}", fmt.Sprint(b.job), "{trace}", "1", "{list}", "jobs")
	for at, item := range paths {
		full := "/api" + strings.TrimPrefix(at, "/api")
		for method, one := range item.(map[string]any) {
			o := one.(map[string]any)
			if seen[o["operationId"]] || o["operationId"] == "" || o["summary"] == "" || len(o["responses"].(map[string]any)) < 2 {
				t.Errorf("%s %s is described as %v", method, at, o)
			}
			seen[o["operationId"]] = true
			for _, name := range regexp.MustCompile(`\{(\w+)\}`).FindAllStringSubmatch(at, -1) {
				if !strings.Contains(fmt.Sprint(o["parameters"]), "name:"+name[1]+" ") && !strings.Contains(fmt.Sprint(o["parameters"]), "name:"+name[1]+"]") {
					t.Errorf("%s %s does not describe %s: %v", method, at, name[1], o["parameters"])
				}
			}
			if !strings.Contains(page, strings.ToUpper(method)+" "+full) {
				t.Errorf("%s %s is not on the page", method, full)
			}
			if method != "get" {
				continue
			}
			path := fill.Replace(full)
			if strings.HasSuffix(path, "/search") {
				path += "?text=terminal"
			}
			if status, _, answer := b.program(t, b.token, "GET", path, "", nil); status != 200 {
				t.Errorf("GET %s answers %d %v", path, status, answer)
			}
		}
	}
	_, _, found := b.program(t, b.token, "GET", "/api"+b.path+"/findings?wait=20", "", nil)
	report, _ := found["report"].(map[string]any)
	if found["fresh"] != true || len(report["suspects"].([]any)) == 0 {
		t.Errorf("the findings are fresh: %v, with %v", found["fresh"], report["suspects"])
	}
}

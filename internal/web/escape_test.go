package web

import (
	"net/http"
	"net/url"
	"regexp"
	"strings"
	"testing"
)

// hostile is what an attacker would type.
const hostile = `"'><script>alert(1)</script><img src=x onerror=alert(1)>`

// names finds the fields of the forms of a page.
var names = regexp.MustCompile(`<(?:input|textarea|select)[^>]* name="([^"]+)"`)

// Whatever stands in any field of any form, no page gives it back as a script: in
// the queries of all screens, and in what is sent to the editor and the builder of
// sheets and to the pairing of a phone.
func TestNothingTypedBecomesScript(t *testing.T) {
	records, work := exampleRecords(t)
	s, server, token := benchOf(t, Options{Records: records, Bench: work})
	s.tries = newMeter(s.now, 1e6, 1e6)
	clean := func(method, path string, answer *http.Response) {
		t.Helper()
		text := bodyOf(t, answer)
		if strings.Contains(text, "<script>alert") || strings.Contains(text, "<img src=x") {
			t.Errorf("%s %s gives the script back", method, path)
		}
		if answer.StatusCode >= 500 {
			t.Errorf("%s %s answers %s", method, path, answer.Status)
		}
	}
	seen := 0
	for _, page := range s.Pages() {
		if page.Example == "" {
			continue
		}
		path, _, _ := strings.Cut(page.Example, "?")
		form := bodyOf(t, request(t, server, token, "GET", path, nil, nil))
		all := url.Values{}
		for _, field := range names.FindAllStringSubmatch(form, -1) {
			one := url.Values{field[1]: {hostile}}
			all.Set(field[1], hostile)
			clean("GET", path, request(t, server, token, "GET", path+"?"+one.Encode(), nil, nil))
			seen++
		}
		clean("GET", path, request(t, server, token, "GET", path+"?"+all.Encode(), nil, nil))
		clean("GET", path+"/x", request(t, server, token, "GET", path+"/"+url.PathEscape(hostile), nil, nil))
	}
	if seen < 60 {
		t.Errorf("only %d fields were found", seen)
	}
	code := s.door.offer(false, s.now().Add(codeFor))
	sheet := "sheet: 1\nmodel: {maker: '" + strings.ReplaceAll(hostile, "'", "''") + "', name: \"<script>alert(1)</script>\"}\ncircuits:\n  '<script>alert(1)</script>':\n    ground: gnd\n    parts:\n" +
		"      - {part: <script>alert(1)</script>, kind: resistor, value: 1k, nodes: ['<img src=x>', gnd]}\n      - {part: R2, kind: resistor, value: 1k, nodes: ['<img src=x>', gnd], type: <script>alert(1)</script>}\n"
	for path, values := range map[string]url.Values{
		"/sheets/check": {"text": {sheet}, "name": {hostile}, "note": {hostile}},
		"/sheets":       {"text": {sheet}, "name": {"hostile"}, "note": {hostile}},
		"/sheets/build": {"model.maker": {hostile}, "rails.0.rail": {hostile}, "parts.0.part": {hostile}, "circuit.name": {hostile}, "circuit.0.part": {hostile}},
		"/pair":         {"code": {code}, "name": {hostile}},
	} {
		clean("POST", path, request(t, server, token, "POST", path, strings.NewReader(values.Encode()), nil))
	}
	for _, path := range []string{"/library", "/sheets/hostile", "/settings/devices", "/tools/hazards?sheet=hostile"} {
		clean("GET", path, request(t, server, token, "GET", path, nil, nil))
	}
}

package web

import (
	"encoding/json"
	"net/http"
	"strings"
	"testing"
)

// The questions for programs: answers, mistakes at their fields, the guards, and a
// description that loads nothing from elsewhere.
func TestAPI(t *testing.T) {
	_, server, token := benchOf(t, Options{})
	post := func(path, body string, edit func(*http.Request)) (int, map[string]any) {
		t.Helper()
		answer := request(t, server, "", "POST", path, strings.NewReader(body), func(r *http.Request) {
			r.Header.Set("Content-Type", "application/json")
			r.Header.Del("Origin")
			r.Header.Del("Sec-Fetch-Site")
			r.Header.Set("Authorization", "Bearer "+token)
			if edit != nil {
				edit(r)
			}
		})
		var found map[string]any
		if text := bodyOf(t, answer); strings.HasPrefix(text, "{") {
			if err := json.Unmarshal([]byte(text), &found); err != nil {
				t.Fatal(err)
			}
		}
		return answer.StatusCode, found
	}
	if status, found := post("/api/capacitor", `{"part": "4700 uF 35 V electrolytic", "capacitance": "900 uF", "how": "out of circuit"}`, nil); status != 200 || found["condition"] != "spent" {
		t.Errorf("900 of 4700 uF: %d, %v; want spent", status, found["condition"])
	}
	if status, found := post("/api/capacitor", `{"part": "4700 uF 35 V electrolytic", "esr": "3 V"}`, nil); status != 422 || !strings.Contains(toText(found), "body.esr") {
		t.Errorf("an esr in volts: %d, %v; want 422 at body.esr", status, found)
	}
	status, found := post("/api/sheet/check", `{"text": "sheet: 1\nrails:\n  - {rail: +5, nominal: 5 bananas}\n"}`, nil)
	if status != 200 || !strings.Contains(toText(found), `"line":3`) {
		t.Errorf("a sheet with a mistake in line 3: %d, %v", status, found)
	}
	if status, found := post("/api/sheet/check", `{"text": "sheet: 1\nmodel: {maker: Ostrel, name: VT-9}\n"}`, nil); status != 200 || found["title"] != "Ostrel VT-9" {
		t.Errorf("a sheet in order: %d, %v", status, found)
	}
	if status, _ := post("/api/sheet/check", `{"text": "`+strings.Repeat("x", bodyLimit)+`"}`, nil); status != 413 {
		t.Errorf("an oversized body: %d, want 413", status)
	}
	if status, _ := post("/api/capacitor", `{}`, func(r *http.Request) { r.Header.Set("Authorization", "Bearer "+secret()) }); status != 401 {
		t.Errorf("a made-up token: %d, want 401", status)
	}
	if status, _ := post("/api/capacitor", `{}`, func(r *http.Request) { r.Header.Set("Origin", "https://attacker.example") }); status != 403 {
		t.Errorf("another page: %d, want 403", status)
	}
	description := bodyOf(t, request(t, server, token, "GET", "/api/openapi.json", nil, nil))
	if !strings.Contains(description, "judge-capacitor") {
		t.Error("the description lacks the capacitor")
	}
	for _, path := range []string{"/api/docs", "/docs"} {
		if answer := request(t, server, token, "GET", path, nil, nil); answer.StatusCode != 404 {
			t.Errorf("%s answers %s, want 404", path, answer.Status)
		}
	}
}

func toText(v any) string {
	b, err := json.Marshal(v)
	if err != nil {
		return err.Error()
	}
	return string(b)
}

package web

import (
	"net/url"
	"regexp"
	"strings"
	"testing"
)

// What is typed into the rows becomes a sheet in order; a mistake is shown at its
// cell, with all that was typed.
func TestBuildSheet(t *testing.T) {
	_, server, token := benchOf(t, Options{})
	values := url.Values{
		"model.maker": {"Ferrand"}, "model.name": {"220"}, "rails.0.rail": {"+12"}, "rails.0.nominal": {"12 V"}, "rails.0.limits": {"±5 %"},
		"testpoints.0.point": {"TP1"}, "testpoints.0.signal": {"+12"}, "circuit.name": {"supply"}, "circuit.ground": {"gnd"}, "circuit.reach": {"in, out"},
		"rows.circuit":   {"3"},
		"circuit.0.part": {"C1"}, "circuit.0.kind": {"electrolytic"}, "circuit.0.value": {"4700 uF 25 V"}, "circuit.0.nodes": {"in, gnd"},
		"circuit.2.part": {"R2"}, "circuit.2.kind": {"resistor"}, "circuit.2.value": {"1k"}, "circuit.2.nodes": {"out, gnd"},
		"circuit.1.part": {"R1"}, "circuit.1.kind": {"resistor"}, "circuit.1.value": {"4R7"}, "circuit.1.nodes": {"in, out"},
	}
	post := func() (int, string) {
		answer := request(t, server, token, "POST", "/sheets/build", strings.NewReader(values.Encode()), nil)
		return answer.StatusCode, bodyOf(t, answer)
	}
	status, text := post()
	if status != 200 || !strings.Contains(text, "- {part: R1, kind: resistor, value: 4R7, nodes: [in, out]}") || !strings.Contains(text, "in order") {
		t.Fatalf("answered %d, with %q and the sheet %.400q", status, problems.FindAllString(text, -1), text[max(0, strings.Index(text, "data-editor")):])
	}
	if !strings.Contains(text, `data-part="R1"`) {
		t.Error("the circuit is not drawn")
	}
	values.Set("circuit.1.value", "4R7 bananas")
	values.Set("rails.0.limits", "±5 bananas")
	status, text = post()
	if status != 422 {
		t.Fatalf("with mistakes: %d, want 422", status)
	}
	for _, field := range []string{"circuit-1-value", "rails-0-limits"} {
		if !strings.Contains(text, `id="field-`+field+`-problem"`) {
			t.Errorf("the mistake is not shown at %s", field)
		}
	}
	if !strings.Contains(text, `value="4R7 bananas"`) {
		t.Error("what was typed is lost")
	}
	values.Set("more", "parts")
	if status, text = post(); status != 200 || !strings.Contains(text, `name="parts.2.part"`) {
		t.Errorf("one more row: %d", status)
	}
}

var problems = regexp.MustCompile(`-problem">.*?</p>`)

package web

import (
	"slices"
	"strings"
	"testing"
)

// Every page of the handbook is in the guide, and every link within it leads
// somewhere.
func TestGuideIsWhole(t *testing.T) {
	_, server, token := benchOf(t, Options{})
	var listed []string
	for _, part := range guideParts() {
		listed = append(listed, part.names...)
	}
	for name, c := range chapters() {
		if !slices.Contains(listed, name) {
			t.Errorf("the page %s is in no part of the guide", name)
		}
		if answer := request(t, server, token, "GET", "/guide/"+name, nil, nil); answer.StatusCode != 200 {
			t.Errorf("the page %s answers %s", name, answer.Status)
		}
		for _, mark := range []string{`href="/guide/`, `src="/guide/`} {
			for _, rest := range strings.Split(c.html, mark)[1:] {
				to, _, _ := strings.Cut(rest, `"`)
				to, section, _ := strings.Cut(to, "#")
				if answer := request(t, server, token, "GET", "/guide/"+to, nil, nil); answer.StatusCode != 200 {
					t.Errorf("%s leads to %s, which answers %s", name, to, answer.Status)
				}
				if section != "" && !strings.Contains(chapters()[to].html, `id="`+section+`"`) {
					t.Errorf("%s leads to %s#%s, which is no heading there", name, to, section)
				}
			}
		}
		if strings.Contains(c.html, "<script") || strings.Contains(c.html, "style=") {
			t.Errorf("the page %s brings a script or a style", name)
		}
	}
}

// HTML that stands in a page is not passed on.
func TestGuideLeavesHTMLOut(t *testing.T) {
	c, err := chapterOf("x", []byte("# A\n\n<script>alert(1)</script>\n\ntext <img src=x onerror=alert(1)> [a](javascript:alert(1))\n"))
	if err != nil {
		t.Fatal(err)
	}
	for _, bad := range []string{"<script", "<img", "javascript:"} {
		if strings.Contains(c.html, bad) {
			t.Errorf("%s is passed on: %s", bad, c.html)
		}
	}
}

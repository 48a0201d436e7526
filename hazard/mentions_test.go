package hazard_test

import (
	"testing"

	"halfsplit/hazard"
)

// A hazard mentions a part by its list of parts, or as a word of its name or place; C9
// is not C90.
func TestMentions(t *testing.T) {
	h := hazard.Item{Name: "filter C90", Where: "beside B1, on the inlet", Parts: []string{"C91"}}
	for part, want := range map[string]bool{"C90": true, "B1": true, "C91": true, "C9": false, "B": false, "": false, "inlet": true} {
		if h.Mentions(part) != want {
			t.Errorf("mentions %q: %v", part, !want)
		}
	}
}

package flow_test

import (
	"fmt"
	"testing"
)

func TestHelpingCount(t *testing.T) {
	m := compiled(t, terminal())
	e := terminalEvidence(m)
	n, sets := 0, 0
	best := []int{}
	for f := range m.Candidates {
		l := e.LogLikelihood([]int{f})
		if l > e.LogLikelihood(nil)+1 {
			best = append(best, f)
		}
	}
	for _, f := range best {
		sets++
		for _, h := range e.Helping([]int{f}) {
			if h {
				n++
			}
		}
	}
	fmt.Println("helping", n, "of", sets*len(m.Candidates), "sets", sets)
}

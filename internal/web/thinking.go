package web

import (
	"fmt"
	"net/http"
	"sync"
	"time"

	"halfsplit/internal/bench"
	"halfsplit/internal/record"
)

// thoughts are what the screens know of the reasoning over jobs, beside what the
// bench knows: which jobs are watched until the reasoning ends, and which were
// stopped, as they stood then.
type thoughts struct {
	mutex   sync.Mutex
	watched map[record.ID]<-chan struct{}
	stopped map[record.ID]halt
}

// halt is a job over which the reasoning was stopped.
type halt struct {
	standing string
	last     *bench.Reasoned
}

// standing tells one state of a job from another.
func (v *jobView) standing() string {
	return fmt.Sprintf("%d entries, sheet %d", len(v.Log), v.Job.Sheet)
}

// watch tells the screens of a job how far the reasoning has come, and when it
// has ended.
func (s *Server) watch(job record.ID, ended <-chan struct{}) {
	s.thoughts.mutex.Lock()
	defer s.thoughts.mutex.Unlock()
	if s.thoughts.watched == nil {
		s.thoughts.watched, s.thoughts.stopped = map[record.ID]<-chan struct{}{}, map[record.ID]halt{}
	}
	if s.thoughts.watched[job] == ended {
		return
	}
	s.thoughts.watched[job] = ended
	go func() {
		beat := time.NewTicker(2 * time.Second)
		defer beat.Stop()
		for {
			select {
			case <-ended:
				s.thoughts.mutex.Lock()
				if s.thoughts.watched[job] == ended {
					delete(s.thoughts.watched, job)
				}
				s.thoughts.mutex.Unlock()
				s.hub.Publish(topic(record.KindJob, job), fmt.Sprintf("reasoning/%d", job))
				return
			case <-beat.C:
				s.hub.Publish(fmt.Sprintf("reasoning/%d", job))
			case <-s.stopping:
				return
			}
		}
	}()
}

// think stops the reasoning over a job, or lets it go on.
func (s *Server) think(r *http.Request) (View, error) {
	v, err := s.jobOf(r)
	if err != nil {
		return View{}, err
	}
	in, err := Read(r)
	if err != nil {
		return View{}, err
	}
	said := "It is worked out again."
	if in.Text("do") == "stop" {
		last, _, _, _, err := s.bench.Latest(r.Context(), v.Job.ID)
		if err != nil {
			last = nil // there is none yet
		}
		s.thoughts.mutex.Lock()
		if s.thoughts.stopped == nil {
			s.thoughts.watched, s.thoughts.stopped = map[record.ID]<-chan struct{}{}, map[record.ID]halt{}
		}
		s.thoughts.stopped[v.Job.ID] = halt{v.standing(), last}
		s.thoughts.mutex.Unlock()
		s.bench.Cancel(v.Job.ID)
		said = "Stopped. What was known before is still shown."
	} else {
		s.thoughts.mutex.Lock()
		delete(s.thoughts.stopped, v.Job.ID)
		s.thoughts.mutex.Unlock()
	}
	s.hub.Publish(v.topic())
	return View{Go: v.path(""), Said: said}, nil
}

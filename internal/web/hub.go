package web

import (
	"fmt"
	"net/http"
	"slices"
	"strconv"
	"sync"
	"time"
)

// Limits of the live updates.
const (
	listenersMost = 200              // screens that follow at once
	topicsMost    = 32               // topics of one screen
	pulse         = 20 * time.Second // between signs of life
)

// Hub tells screens that something has changed. A topic names what: "job/12",
// "collection", "devices". It carries no content: a screen that follows a topic
// fetches its own parts anew, through all guards.
//
// Each change has a number, higher than all before it, also than those before the
// program was started anew. A page carries the number at which it was made, so
// that a screen that begins to follow hears what changed in between.
type Hub struct {
	mutex     sync.Mutex
	listeners map[*listener]struct{}
	start     int64            // number before the first change
	count     int64            // number of the last change
	last      map[string]int64 // of each topic
}

type listener struct {
	topics  []string
	changed chan string
}

// NewHub makes a hub that nobody follows yet.
func NewHub() *Hub {
	start := time.Now().UnixMilli()
	return &Hub{listeners: map[*listener]struct{}{}, start: start, count: start, last: map[string]int64{}}
}

// At gives the number of the last change.
func (h *Hub) At() int64 {
	h.mutex.Lock()
	defer h.mutex.Unlock()
	return h.count
}

// Publish tells all screens that follow one of the topics. It never waits: a
// screen that is too slow to take more has refreshes of its own waiting.
func (h *Hub) Publish(topics ...string) {
	h.mutex.Lock()
	defer h.mutex.Unlock()
	h.count++
	for _, topic := range topics {
		h.last[topic] = h.count
	}
	for l := range h.listeners {
		for _, topic := range topics {
			if !slices.Contains(l.topics, topic) {
				continue
			}
			select {
			case l.changed <- topic:
			default:
			}
		}
	}
}

// follow begins to listen, and gives the topics that changed since a number; nil
// when too many do.
func (h *Hub) follow(topics []string, since int64) (l *listener, missed []string) {
	h.mutex.Lock()
	defer h.mutex.Unlock()
	if len(h.listeners) >= listenersMost {
		return nil, nil
	}
	l = &listener{topics, make(chan string, 2*topicsMost)}
	h.listeners[l] = struct{}{}
	for _, topic := range topics {
		if since < h.start || h.last[topic] > since {
			missed = append(missed, topic)
		}
	}
	return l, missed
}

func (h *Hub) leave(l *listener) {
	h.mutex.Lock()
	defer h.mutex.Unlock()
	delete(h.listeners, l)
}

// live streams the topics that a screen follows as server-sent events.
func (s *Server) live(w http.ResponseWriter, r *http.Request) {
	topics := r.URL.Query()["topic"]
	if len(topics) == 0 || len(topics) > topicsMost {
		http.Error(w, fmt.Sprintf("Name 1 to %d topics.", topicsMost), http.StatusBadRequest)
		return
	}
	since, err := strconv.ParseInt(r.URL.Query().Get("since"), 10, 64)
	if err != nil {
		http.Error(w, "Say since which change, as in since=0.", http.StatusBadRequest)
		return
	}
	l, missed := s.hub.follow(topics, since)
	if l == nil {
		http.Error(w, "Too many screens follow the bench.", http.StatusServiceUnavailable)
		return
	}
	defer s.hub.leave(l)
	control := http.NewResponseController(w)
	send := func(text string) bool {
		if err := control.SetWriteDeadline(time.Now().Add(10 * time.Second)); err != nil {
			return false
		}
		if _, err := fmt.Fprint(w, text); err != nil {
			return false
		}
		return control.Flush() == nil
	}
	w.Header().Set("Content-Type", "text/event-stream")
	if !send("retry: 2000\nevent: open\ndata: \n\n") {
		return
	}
	for _, topic := range missed {
		if !send("data: " + topic + "\n\n") {
			return
		}
	}
	beat := time.NewTicker(pulse)
	defer beat.Stop()
	for {
		text := ": \n\n"
		select {
		case <-r.Context().Done():
			return
		case <-s.stopping:
			return
		case topic := <-l.changed:
			text = "data: " + topic + "\n\n"
		case <-beat.C:
			if d, err := s.devices.DeviceByToken(r.Context(), DeviceOf(r.Context()).Token); err != nil || !d.Revoked.IsZero() {
				return // shut out meanwhile
			}
		}
		if !send(text) {
			return
		}
	}
}

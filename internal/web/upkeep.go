package web

import (
	"bytes"
	"context"
	"encoding/json"
	"net/http"
	"slices"
	"strconv"
	"sync"
	"time"

	"halfsplit/experience"
	"halfsplit/internal/bench"
	"halfsplit/internal/record"
	"halfsplit/internal/web/look"
	"halfsplit/upkeep"
)

// upkeepScreens are the preventive queue and what the bench has learned.
func (s *Server) upkeepScreens() []Page {
	return []Page{
		{"GET /upkeep", s.upkeep, "/upkeep"},
		{"GET /upkeep/learned", s.learned, "/upkeep/learned"},
		{"POST /upkeep/learned", s.takeReport, ""},
		{"GET /upkeep/learned.json", s.sendReport, ""},
	}
}

func upkeepTabs() []look.Link {
	return []look.Link{{Text: "Which is next", Path: "/upkeep"}, {Text: "What was learned", Path: "/upkeep/learned"}}
}

// queue is the ranked collection as of a change of the records.
type queue struct {
	mu      sync.Mutex
	change  int64
	day     string
	places  []upkeep.Place
	terms   upkeep.Terms
	took    time.Duration // to rank
	running bool          // whether it is ranked anew behind the screens
}

// patience is how long somebody waits for the collection to be ranked anew; when
// the last time took longer, the last ranks are shown until the new ones are there.
const patience = 50 * time.Millisecond

// ranked ranks the collection, anew when something has changed since.
func (s *Server) ranked(ctx context.Context) ([]upkeep.Place, upkeep.Terms, error) {
	last, err := s.records.LastChange(ctx)
	if err != nil {
		return nil, upkeep.Terms{}, err
	}
	day := s.now().Format("2006-01-02")
	q := &s.queue
	q.mu.Lock()
	defer q.mu.Unlock()
	switch {
	case q.places != nil && q.change == last && q.day == day:
	case q.places != nil && q.took > patience:
		if !q.running {
			q.running = true
			go s.rankAgain(context.WithoutCancel(ctx), last, day)
		}
	default:
		if err := q.take(s.rank(ctx, last, day)); err != nil {
			return nil, upkeep.Terms{}, err
		}
	}
	return q.places, q.terms, nil
}

// rankAgain ranks behind the screens, and tells them when it is done.
func (s *Server) rankAgain(ctx context.Context, last int64, day string) {
	anew, err := s.rank(ctx, last, day)
	s.queue.mu.Lock()
	s.queue.running = false
	err = s.queue.take(anew, err)
	s.queue.mu.Unlock()
	if err != nil {
		s.log.Error("the collection could not be ranked", "error", err)
		return
	}
	s.hub.Publish("queue")
}

// rank ranks the collection.
func (s *Server) rank(ctx context.Context, last int64, day string) (*queue, error) {
	anew := &queue{change: last, day: day}
	start := time.Now()
	var err error
	anew.places, anew.terms, err = bench.Queue(ctx, s.records, s.now())
	anew.took = time.Since(start)
	if err != nil && len(anew.places) > 0 {
		s.log.Warn("units left out of the queue", "error", err)
		err = nil
	}
	return anew, err
}

// take puts new ranks in the place of the last ones.
func (q *queue) take(anew *queue, err error) error {
	if err == nil {
		q.change, q.day, q.places, q.terms, q.took = anew.change, anew.day, anew.places, anew.terms, anew.took
	}
	return err
}

// next is a unit in the queue with its reasons.
type next struct {
	upkeep.Place
	upkeep.Assessment
	unit record.ID
}

// onScreen is how many units of the queue are shown at once.
const onScreen = 25

// upkeep shows the queue.
func (s *Server) upkeep(r *http.Request) (View, error) {
	in, err := Read(r)
	if err != nil {
		return View{}, err
	}
	from := max(0, in.whole("from", "")-1)
	places, terms, err := s.ranked(r.Context())
	if err != nil {
		return View{}, err
	}
	list, err := s.reasons(r.Context(), places, terms, from, onScreen)
	if err != nil {
		return View{}, err
	}
	return View{Title: "Upkeep", Place: "/upkeep", Body: upkeepPage(list, len(places), from)}, nil
}

// reasons assesses some units of the queue.
func (s *Server) reasons(ctx context.Context, places []upkeep.Place, terms upkeep.Terms, from, most int) ([]next, error) {
	var list []next
	for i := from; i < len(places) && i < from+most; i++ {
		a, err := upkeep.Assess(places[i].Unit, terms)
		if err != nil {
			return nil, err
		}
		u, err := s.records.UnitByCode(ctx, places[i].Unit.ID)
		if err != nil {
			continue // it was renamed or passed on in this moment
		}
		list = append(list, next{places[i], a, u.ID})
	}
	return list, nil
}

// learned shows the rates.
func (s *Server) learned(r *http.Request) (View, error) {
	return s.learnedView(r, blank())
}

func (s *Server) learnedView(r *http.Request, in *Input) (View, error) {
	book, err := bench.Learned(r.Context(), s.records, s.now())
	if err != nil {
		return View{}, err
	}
	tally := book.Tally()
	var list []experience.Estimate
	for _, key := range tally.Sorts() {
		e, err := tally.Estimate(key)
		if err != nil {
			return View{}, err
		}
		list = append(list, e)
	}
	slices.SortStableFunc(list, func(a, b experience.Estimate) int { return b.Count.Failed - a.Count.Failed })
	reports, err := s.records.Reports(r.Context())
	if err != nil {
		return View{}, err
	}
	return View{Title: "What was learned", Place: "/upkeep", Body: learnedPage(list, reports, in), Status: in.Status()}, nil
}

// reportLimit bounds the counts that another bench sends.
const reportLimit = 8 << 20

// takeReport takes the counts of another bench in.
func (s *Server) takeReport(r *http.Request) (View, error) {
	in, err := Read(r)
	if err != nil {
		return View{}, err
	}
	file, header, err := r.FormFile("report")
	if err != nil {
		in.Wrong("report", "Choose the file that the other bench sent.")
		return s.learnedView(r, in)
	}
	defer file.Close()
	var text bytes.Buffer
	if n, err := text.ReadFrom(http.MaxBytesReader(nil, file, reportLimit)); err != nil || n == 0 {
		in.Wrong("report", "The file is empty or longer than 8 MB.")
		return s.learnedView(r, in)
	}
	err = bench.TakeReport(r.Context(), s.records, header.Filename, text.Bytes(), s.now())
	switch {
	case bench.IsBadInput(err):
		in.Wrong("report", sentence(err.Error()))
		return s.learnedView(r, in)
	case err != nil:
		return View{}, err
	}
	return View{Go: "/upkeep/learned", Said: "The counts of the other bench are taken in."}, nil
}

// sendReport gives the counts of this bench, to be sent to others.
func (s *Server) sendReport(r *http.Request) (View, error) {
	book, err := bench.Own(r.Context(), s.records, s.now())
	if err != nil {
		return View{}, err
	}
	text, err := json.Marshal(book)
	if err != nil {
		return View{}, err
	}
	return View{File: &File{Name: "counts.json", Kind: "application/json", Content: text}}, nil
}

// times is a factor in words.
func times(f float64) string { return strconv.FormatFloat(f, 'g', 2, 64) + "×" }

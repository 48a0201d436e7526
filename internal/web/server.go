package web

import (
	"context"
	"errors"
	"log/slog"
	"net"
	"net/http"
	"time"

	"github.com/danielgtaylor/huma/v2"

	"halfsplit/internal/bench"
	"halfsplit/internal/web/assets"
)

// Options are what a server is made of. The zero value serves this computer alone
// and forgets its devices when it ends.
type Options struct {
	Log     *slog.Logger     // nothing is logged when nil
	Records Records          // what the screens show; without them only the tools, the library and the guide are served
	Bench   *bench.Bench     // what works with them; needed with records
	Devices Devices          // with the records when nil, or in memory
	Hosts   []string         // names by which it may be called, beside localhost and the addresses of this machine
	Phones  func() []string  // addresses at which a phone reaches it, such as "http://192.168.1.7:8765"; none when nil
	Now     func() time.Time // the clock when nil
	Unpaced bool             // answers one client as often as it asks, for measuring
}

// Server is the bench as a web server.
type Server struct {
	log      *slog.Logger
	records  Records
	bench    *bench.Bench
	queue    queue
	devices  Devices
	hosts    hosts
	phones   func() []string
	now      func() time.Time
	rate     *meter
	tries    *meter // attempts to get in
	door     *door
	hub      *Hub
	thoughts thoughts
	stopping chan struct{}
	traces   traceFiles
	searches searches
	meters   meterWatch
	asked    *huma.OpenAPI // what programs can ask
	handler  http.Handler
}

// New makes a server.
func New(o Options) *Server {
	s := &Server{log: o.Log, records: o.Records, bench: o.Bench, devices: o.Devices, now: o.Now, phones: o.Phones, hub: NewHub(), stopping: make(chan struct{})}
	if s.log == nil {
		s.log = slog.New(slog.DiscardHandler)
	}
	if s.devices == nil && s.records != nil {
		s.devices = s.records
	}
	if s.devices == nil {
		s.devices = &MemoryDevices{}
	}
	if s.now == nil {
		s.now = time.Now
	}
	if s.phones == nil {
		s.phones = func() []string { return nil }
	}
	s.hosts = hosts{o.Hosts, ownAddresses}
	s.rate, s.tries = newMeter(s.now, rateBurst, rateSteady), newMeter(s.now, 10, 0.1)
	if o.Unpaced {
		s.rate = newMeter(s.now, 1e9, 1e9)
	}
	s.door = &door{now: s.now}
	s.handler = s.routes()
	return s
}

// Hub gives the hub by which screens are told of changes.
func (s *Server) Hub() *Hub { return s.hub }

// Handler gives the whole bench with its guards.
func (s *Server) Handler() http.Handler { return s.handler }

// routes puts the guards around the screens.
func (s *Server) routes() http.Handler {
	inside := http.NewServeMux()
	for _, page := range s.Pages() {
		inside.Handle(page.Pattern, s.screen(page.Screen))
	}
	inside.HandleFunc("GET /live", s.live)
	if s.records != nil {
		inside.HandleFunc("GET /meters/live", s.meterStream)
	}
	s.api(inside)
	inside.Handle("/", s.screen(func(*http.Request) (View, error) { return View{}, ErrNotFound }))

	outside := http.NewServeMux()
	outside.Handle("GET "+assets.Prefix, assets.Handler())
	outside.Handle("GET /enter", s.screen(s.enter))
	outside.Handle("GET /pair", s.screen(s.pairing))
	outside.Handle("POST /pair", s.screen(s.pair))
	outside.Handle("/", s.known(inside))
	return s.recorded(headers(s.paced(s.sameSite(bounded(outside)))))
}

// Serve answers on a listener until the context ends; then it lets running
// requests end, for five seconds at most.
func (s *Server) Serve(ctx context.Context, on net.Listener) error {
	server := &http.Server{
		Handler:           s.handler,
		ReadHeaderTimeout: 5 * time.Second,
		ReadTimeout:       60 * time.Second, // a photo over a poor wireless network
		WriteTimeout:      60 * time.Second,
		IdleTimeout:       2 * time.Minute,
		MaxHeaderBytes:    32 << 10,
		ErrorLog:          slog.NewLogLogger(s.log.Handler(), slog.LevelDebug),
	}
	following, unfollow := context.WithCancel(ctx)
	defer unfollow()
	if s.records != nil {
		go s.follow(following)
	}
	ended := make(chan error, 1)
	go func() { ended <- server.Serve(on) }()
	select {
	case err := <-ended:
		return err
	case <-ctx.Done():
	}
	close(s.stopping)
	defer s.traces.close()
	defer s.meters.close()
	last, stop := context.WithTimeout(context.WithoutCancel(ctx), 5*time.Second)
	defer stop()
	if err := server.Shutdown(last); err != nil {
		return errors.Join(err, server.Close())
	}
	return nil
}

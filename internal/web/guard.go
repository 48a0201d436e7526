package web

import (
	"log/slog"
	"net"
	"net/http"
	"net/netip"
	"runtime/debug"
	"slices"
	"strings"
	"sync"
	"time"
)

// Limits that no honest use comes near.
const (
	bodyLimit   = 1 << 20  // bytes of a form
	uploadLimit = 32 << 20 // bytes of a form with photos
	rateBurst   = 240      // requests at once from one client
	rateSteady  = 40       // requests a second from one client
)

// policy is the content security policy of every page: nothing from elsewhere,
// no script or style within the page, no frame around it.
const policy = "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data: blob:; " +
	"connect-src 'self'; form-action 'self'; manifest-src 'self'; base-uri 'none'; frame-ancestors 'none'"

// headers sets what every answer carries.
func headers(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		h := w.Header()
		h.Set("Content-Security-Policy", policy)
		h.Set("X-Content-Type-Options", "nosniff")
		h.Set("X-Frame-Options", "DENY")
		h.Set("Referrer-Policy", "no-referrer")
		h.Set("Cross-Origin-Opener-Policy", "same-origin")
		h.Set("Cross-Origin-Resource-Policy", "same-origin")
		h.Set("Permissions-Policy", "geolocation=(), microphone=(), payment=(), usb=()")
		h.Set("Cache-Control", "no-store")
		next.ServeHTTP(w, r)
	})
}

// hosts are the names under which the bench may be called. A page from elsewhere
// that has its own name point at this machine calls it by that name, and is
// refused.
type hosts struct {
	names []string // beside localhost and the addresses of this machine
	own   func() []netip.Addr
}

// allowed tells whether a Host header names this machine.
func (h hosts) allowed(host string) bool {
	name := host
	if split, _, err := net.SplitHostPort(host); err == nil {
		name = split
	}
	name = strings.ToLower(strings.TrimSuffix(strings.Trim(name, "[]"), "."))
	if name == "localhost" || slices.Contains(h.names, name) {
		return true
	}
	address, err := netip.ParseAddr(name)
	if err != nil {
		return false
	}
	return address.IsLoopback() || slices.Contains(h.own(), address.Unmap().WithZone(""))
}

// ownAddresses lists the addresses of this machine.
func ownAddresses() []netip.Addr {
	var list []netip.Addr
	interfaces, err := net.InterfaceAddrs()
	if err != nil {
		return nil
	}
	for _, one := range interfaces {
		if prefix, err := netip.ParsePrefix(one.String()); err == nil {
			list = append(list, prefix.Addr().Unmap())
		}
	}
	return list
}

// sameSite refuses requests that a page from elsewhere could have made: a Host
// that is not ours, a foreign Origin, a request that changes something without
// saying where it comes from.
func (s *Server) sameSite(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if !s.hosts.allowed(r.Host) {
			s.refuse(w, r, http.StatusMisdirectedRequest, "The bench is not known by this name. Open it by the address that it printed when it was started.")
			return
		}
		changes := r.Method != http.MethodGet && r.Method != http.MethodHead
		origin, site := r.Header.Get("Origin"), r.Header.Get("Sec-Fetch-Site")
		foreign := origin != "" && origin != "http://"+r.Host && origin != "https://"+r.Host
		switch {
		case changes && (foreign || site != "" && site != "same-origin"),
			changes && origin == "" && site == "" && !s.bearer(r):
			s.refuse(w, r, http.StatusForbidden, "This came from another page than the bench's own, so nothing was done.")
			return
		case foreign, site != "" && site != "same-origin" && site != "none" && r.Header.Get("Sec-Fetch-Mode") != "navigate":
			s.refuse(w, r, http.StatusForbidden, "Another page may not read the bench.")
			return
		}
		next.ServeHTTP(w, r)
	})
}

// bounded limits the size of what is sent.
func bounded(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		limit := int64(bodyLimit)
		if strings.HasPrefix(r.Header.Get("Content-Type"), "multipart/form-data") {
			limit = uploadLimit
		}
		if isTraceUpload(r) {
			limit = traceUpload
			control, until := http.NewResponseController(w), time.Now().Add(traceWait)
			_, _ = control.SetReadDeadline(until), control.SetWriteDeadline(until) // where there are any
		}
		r.Body = http.MaxBytesReader(w, r.Body, limit)
		next.ServeHTTP(w, r)
	})
}

// meter lets each client make so many requests at once and so many a second.
type meter struct {
	sync.Mutex
	now     func() time.Time
	burst   float64
	steady  float64 // a second
	clients map[string]*allowance
}

type allowance struct {
	left float64
	at   time.Time
}

func newMeter(now func() time.Time, burst, steady float64) *meter {
	return &meter{now: now, burst: burst, steady: steady, clients: map[string]*allowance{}}
}

// take uses up one request of a client, or tells that there is none left.
func (m *meter) take(client string) bool {
	m.Lock()
	defer m.Unlock()
	now := m.now()
	if len(m.clients) > 1000 {
		for name, a := range m.clients {
			if a.left+now.Sub(a.at).Seconds()*m.steady >= m.burst {
				delete(m.clients, name) // as good as new
			}
		}
	}
	a := m.clients[client]
	if a == nil {
		a = &allowance{m.burst, now}
		m.clients[client] = a
	}
	a.left = min(m.burst, a.left+now.Sub(a.at).Seconds()*m.steady)
	a.at = now
	if a.left < 1 {
		return false
	}
	a.left--
	return true
}

// clientOf names the client of a request by its address.
func clientOf(r *http.Request) string {
	host, _, err := net.SplitHostPort(r.RemoteAddr)
	if err != nil {
		return r.RemoteAddr
	}
	return host
}

// paced refuses clients that ask too often.
func (s *Server) paced(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if !s.rate.take(clientOf(r)) {
			w.Header().Set("Retry-After", "2")
			http.Error(w, "Too many requests at once; wait a moment and try again.", http.StatusTooManyRequests)
			return
		}
		next.ServeHTTP(w, r)
	})
}

// recorded writes a line for each request, and turns a panic into an answer. What
// was asked for is written without its query, which may hold secrets.
func (s *Server) recorded(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		start := s.now()
		seen := &watched{ResponseWriter: w}
		defer func() {
			if p := recover(); p != nil {
				if p == http.ErrAbortHandler {
					panic(p)
				}
				s.log.Error("panic", "method", r.Method, "path", r.URL.Path, "panic", p, "stack", string(debug.Stack()))
				if seen.status == 0 {
					s.refuse(seen, r, http.StatusInternalServerError, "The bench failed at this. Nothing else was harmed; what you typed is still in the form when you go back.")
				}
			}
			level := slog.LevelDebug
			if seen.status >= 400 {
				level = slog.LevelWarn
			}
			s.log.Log(r.Context(), level, "request", "method", r.Method, "path", r.URL.Path, "status", seen.status,
				"bytes", seen.bytes, "took", s.now().Sub(start), "client", clientOf(r))
		}()
		next.ServeHTTP(seen, r)
	})
}

// watched notes what is answered.
type watched struct {
	http.ResponseWriter
	status, bytes int
}

func (w *watched) WriteHeader(status int) {
	if w.status == 0 {
		w.status = status
	}
	w.ResponseWriter.WriteHeader(status)
}

func (w *watched) Write(b []byte) (int, error) {
	if w.status == 0 {
		w.status = http.StatusOK
	}
	n, err := w.ResponseWriter.Write(b)
	w.bytes += n
	return n, err
}

// Unwrap lets http.ResponseController find what is beneath.
func (w *watched) Unwrap() http.ResponseWriter { return w.ResponseWriter }

package web

import (
	"context"
	"crypto/rand"
	"crypto/sha256"
	"crypto/subtle"
	"encoding/base64"
	"errors"
	"net"
	"net/http"
	"net/netip"
	"strings"
	"sync"
	"time"

	"halfsplit/internal/record"
)

// Names and spans of what lets a device in.
const (
	tokenCookie = "halfsplit"
	tokenFor    = 400 * 24 * time.Hour // as long as browsers keep a cookie
	codeFor     = 5 * time.Minute
)

// secret makes a random text that cannot be guessed: 256 bits.
func secret() string {
	b := make([]byte, 32)
	rand.Read(b) // never fails
	return base64.RawURLEncoding.EncodeToString(b)
}

// once is a secret that lets in one device, once, until it runs out.
type once struct {
	hash    [sha256.Size]byte
	desktop bool
	until   time.Time // zero for as long as the program runs
}

// door holds the secrets that still open it.
type door struct {
	sync.Mutex
	now  func() time.Time
	open []once
}

// offer makes a new secret. A code for a phone replaces the one before, so that
// only the code that is on the screen works.
func (d *door) offer(desktop bool, until time.Time) string {
	text := secret()
	d.Lock()
	defer d.Unlock()
	kept := d.open[:0]
	for _, o := range d.open {
		if o.desktop != desktop {
			kept = append(kept, o)
		}
	}
	d.open = append(kept, once{sha256.Sum256([]byte(text)), desktop, until})
	return text
}

// look tells whether a secret would open the door, and for a desktop or a phone.
func (d *door) look(text string, use bool) (desktop, ok bool) {
	hash := sha256.Sum256([]byte(text))
	d.Lock()
	defer d.Unlock()
	for i, o := range d.open {
		if subtle.ConstantTimeCompare(hash[:], o.hash[:]) == 1 && (o.until.IsZero() || d.now().Before(o.until)) {
			if use {
				d.open = append(d.open[:i:i], d.open[i+1:]...)
			}
			return o.desktop, true
		}
	}
	return false, false
}

type deviceKey struct{}

// DeviceOf gives the device that makes a request. Behind the guards there always
// is one.
func DeviceOf(ctx context.Context) record.Device {
	d, _ := ctx.Value(deviceKey{}).(record.Device)
	return d
}

// token finds what a request proves itself by: its cookie, or for programs a
// bearer token.
func token(r *http.Request) string {
	if text, ok := strings.CutPrefix(r.Header.Get("Authorization"), "Bearer "); ok {
		return text
	}
	if cookie, err := r.Cookie(tokenCookie); err == nil {
		return cookie.Value
	}
	return ""
}

// bearer tells whether a request carries a token that no page from elsewhere
// could make a browser send.
func (s *Server) bearer(r *http.Request) bool {
	return strings.HasPrefix(r.Header.Get("Authorization"), "Bearer ")
}

// known lets only devices through that were let in.
func (s *Server) known(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		text := token(r)
		if text == "" {
			s.stranger(w, r)
			return
		}
		device, err := s.devices.DeviceByToken(r.Context(), hashOf(text))
		switch {
		case errors.Is(err, record.ErrNotFound), err == nil && !device.Revoked.IsZero():
			s.stranger(w, r)
			return
		case err != nil:
			s.fail(w, r, err)
			return
		}
		if now := s.now(); now.Sub(device.Seen) > time.Hour {
			device.Seen = now
			if err := s.devices.SaveDevice(r.Context(), &device); err != nil {
				s.log.Warn("device", "error", err) // another request was quicker, most likely
			}
		}
		next.ServeHTTP(w, r.WithContext(context.WithValue(r.Context(), deviceKey{}, device)))
	})
}

// stranger answers who was not let in.
func (s *Server) stranger(w http.ResponseWriter, r *http.Request) {
	s.refuse(w, r, http.StatusUnauthorized, "This browser is not paired with the bench. On the computer that runs it, open the link printed when it was started; for a phone, choose Settings, then Pair a phone, and scan the picture.")
}

// admit keeps a new device and gives the cookie by which its browser is known.
func (s *Server) admit(r *http.Request, name string) (*http.Cookie, error) {
	text := secret()
	now := s.now()
	device := record.Device{Name: name, Token: hashOf(text), Created: now, Seen: now}
	if err := s.devices.SaveDevice(r.Context(), &device); err != nil {
		return nil, err
	}
	s.log.Info("device let in", "name", name)
	s.hub.Publish("devices")
	return &http.Cookie{
		Name: tokenCookie, Value: text, Path: "/", MaxAge: int(tokenFor / time.Second),
		HttpOnly: true, SameSite: http.SameSiteStrictMode, Secure: r.TLS != nil,
	}, nil
}

// atDesk tells whether a request comes from the computer that runs the bench, and
// calls it as one does there: what a proxy passes on comes from the same computer,
// but calls the bench by another name.
func atDesk(r *http.Request) bool {
	address, err := netip.ParseAddrPort(r.RemoteAddr)
	if err != nil || !address.Addr().Unmap().IsLoopback() {
		return false
	}
	name := r.Host
	if host, _, err := net.SplitHostPort(r.Host); err == nil {
		name = host
	}
	called, err := netip.ParseAddr(name)
	return name == "localhost" || err == nil && called.Unmap().IsLoopback()
}

// Enter gives the path of a link that lets one browser of this computer in, once.
// A link made before stops working.
func (s *Server) Enter() string {
	return "/enter?key=" + s.door.offer(true, time.Time{})
}

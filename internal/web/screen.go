package web

import (
	"bytes"
	"context"
	"encoding/base64"
	"errors"
	"net/http"
	"strings"

	"github.com/a-h/templ"

	"halfsplit/internal/bench"
	"halfsplit/internal/web/look"
)

// Screen answers a request with a view. It returns ErrNotFound, an error made by
// Refused, or any other error, which is logged and answered as a failure of the
// bench.
type Screen func(r *http.Request) (View, error)

// View is what a screen shows, or where it leads.
type View struct {
	Title  string
	Place  string          // path of the entry of the navigation that is current
	Back   look.Link       // to where the screen hangs
	Body   templ.Component // what stands in the page
	Status int             // 200 when zero; 422 when a form is shown again with its mistakes
	Wide   bool            // as wide as the window
	Bare   bool            // without the navigation

	Scripts []string // further scripts, by their names among the assets

	Go   string // leads on to this path after something was done (303), in place of a body
	Said string // what was done, shown on the next page

	File *File // a file in place of a page

	Lead    string         // a path to which the page leads on by itself
	Cookies []*http.Cookie // that it sets
}

// File is an answer that is not a page.
type File struct {
	Name    string // to be saved under; shown in the browser when empty
	Kind    string // its media type
	Content []byte
	Fixed   bool // the same for good at its address, so that the browser may keep it
}

// Page is a screen in the table of screens.
type Page struct {
	Pattern string // as http.ServeMux takes it, such as "GET /jobs/{job}"
	Screen  Screen
	Example string // a path at which the tests look at it; empty for screens that only change something
}

// ErrNotFound says that there is nothing at a path.
var ErrNotFound = errors.New("there is nothing here")

// refusal is an error to be shown to who asked.
type refusal struct {
	status int
	text   string
}

func (r refusal) Error() string { return r.text }

// Refused makes an error that is shown as it is, with a status of HTTP.
func Refused(status int, text string) error { return refusal{status, text} }

// saidCookie carries what was done to the next page.
const saidCookie = "said"

// screen turns a screen into a handler.
func (s *Server) screen(show Screen) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		at := s.hub.At()
		view, err := show(r)
		for _, cookie := range view.Cookies {
			http.SetCookie(w, cookie)
		}
		var refused refusal
		var tooLarge *http.MaxBytesError
		switch {
		case errors.Is(err, ErrNotFound):
			s.refuse(w, r, http.StatusNotFound, "There is nothing at this address. It may have been moved or written wrongly.")
		case errors.As(err, &tooLarge):
			s.refuse(w, r, http.StatusRequestEntityTooLarge, "That is more than the bench takes at once. Send fewer or smaller photos, or a shorter text.")
		case errors.As(err, &refused):
			s.refuse(w, r, refused.status, refused.text)
		case err != nil && bench.IsBadInput(err): // no form of the screen's could have sent it
			s.refuse(w, r, http.StatusBadRequest, sentence(err.Error()))
		case err != nil:
			s.fail(w, r, err)
		case view.Go != "":
			if view.Said != "" {
				http.SetCookie(w, &http.Cookie{Name: saidCookie, Value: base64.RawURLEncoding.EncodeToString([]byte(view.Said)), Path: "/", MaxAge: 30, HttpOnly: true, SameSite: http.SameSiteStrictMode})
			}
			http.Redirect(w, r, view.Go, http.StatusSeeOther)
		case view.File != nil:
			w.Header().Set("Content-Type", view.File.Kind)
			// What is shown as a file may come from anywhere: it runs nothing.
			w.Header().Set("Content-Security-Policy", "default-src 'none'; style-src 'unsafe-inline'; img-src data:; sandbox")
			if view.File.Fixed {
				w.Header().Set("Cache-Control", "private, max-age=31536000, immutable")
			}
			if view.File.Name != "" {
				w.Header().Set("Content-Disposition", "attachment; filename="+quoted(view.File.Name))
			}
			w.Write(view.File.Content)
		default:
			s.show(w, r, view, at)
		}
	})
}

// quoted writes a file name for a header, with nothing in it that could end it.
func quoted(name string) string {
	return `"` + strings.Map(func(c rune) rune {
		if c < ' ' || c > '~' || strings.ContainsRune(`"\/;`, c) {
			return '-'
		}
		return c
	}, name) + `"`
}

// show writes a view as a page.
func (s *Server) show(w http.ResponseWriter, r *http.Request, view View, at int64) {
	page := look.Page{Title: view.Title, Place: view.Place, Back: view.Back, Wide: view.Wide, Bare: view.Bare, Said: view.Said, Go: view.Lead, At: at, Scripts: view.Scripts}
	if cookie, err := r.Cookie(saidCookie); err == nil {
		if text, err := base64.RawURLEncoding.DecodeString(cookie.Value); err == nil {
			page.Said = string(text)
		}
		http.SetCookie(w, &http.Cookie{Name: saidCookie, Path: "/", MaxAge: -1, HttpOnly: true, SameSite: http.SameSiteStrictMode})
	}
	status := view.Status
	if status == 0 {
		status = http.StatusOK
	}
	var b bytes.Buffer // whole or not at all, also when whoever asked has left
	if err := look.Layout(page).Render(templ.WithChildren(context.WithoutCancel(r.Context()), view.Body), &b); err != nil {
		s.log.Error("page", "path", r.URL.Path, "error", err)
		http.Error(w, "The bench could not make this page; the log says more.", http.StatusInternalServerError) // no page about the failure, which may fail too
		return
	}
	w.Header().Set("Content-Type", "text/html; charset=utf-8")
	w.WriteHeader(status)
	w.Write(b.Bytes())
}

// refuse answers with a page that says why not.
func (s *Server) refuse(w http.ResponseWriter, r *http.Request, status int, text string) {
	if strings.HasPrefix(r.URL.Path, "/api/") {
		problem(w, status, text)
		return
	}
	if r.URL.Path == "/live" || r.URL.Path == "/meters/live" {
		http.Error(w, text, status)
		return
	}
	body := refusedPage(titleOf(status), text)
	s.show(w, r, View{Title: titleOf(status), Body: body, Status: status, Bare: DeviceOf(r.Context()).ID == 0}, s.hub.At())
}

// titleOf says a status in words.
func titleOf(status int) string {
	switch status {
	case http.StatusNotFound:
		return "Nothing here"
	case http.StatusUnauthorized:
		return "Not paired"
	case http.StatusRequestEntityTooLarge:
		return "Too much at once"
	case http.StatusInternalServerError:
		return "The bench failed"
	}
	return "Refused"
}

// fail logs an error that is nobody's but the program's, and says so.
func (s *Server) fail(w http.ResponseWriter, r *http.Request, err error) {
	if r.Context().Err() != nil { // whoever asked has left, and what was begun for them was broken off
		s.log.Debug("left", "method", r.Method, "path", r.URL.Path, "error", err)
	} else {
		s.log.Error("failure", "method", r.Method, "path", r.URL.Path, "error", err)
	}
	s.refuse(w, r, http.StatusInternalServerError, "The bench could not do this. What you typed is still in the form when you go back; the log says more.")
}

package web

import (
	"net/http"
	"slices"
)

// Pages is the table of screens. A line here is all that a new screen needs: it
// is served behind the guards, and where it names an example, the tests look at
// it in a browser, at three widths, light and dark, and check it for
// accessibility.
func (s *Server) Pages() []Page {
	pages := []Page{
		{"GET /{$}", s.today, "/"},
		{"GET /settings", s.settings, "/settings"},
		{"GET /settings/devices", s.devicesScreen, "/settings/devices"},
		{"POST /settings/devices/code", s.offerCode, ""},
		{"POST /settings/devices/{device}/revoke", s.revoke, ""},
		{"GET /guide", s.guide, "/guide"},
		{"GET /guide/{name...}", s.guideChapter, "/guide/sheet"},
		{"GET /guide/picture/{name...}", s.guidePicture, ""},
	}
	return slices.Concat(pages, s.toolScreens(), s.jobPages())
}

// today shows what is next.
func (s *Server) today(*http.Request) (View, error) {
	return View{Title: "Today", Place: "/", Body: todayPage()}, nil
}

// settings leads to what can be set.
func (s *Server) settings(*http.Request) (View, error) {
	return View{Title: "Settings", Place: "/settings", Body: settingsPage()}, nil
}

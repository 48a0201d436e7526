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
		{"GET /library", s.libraryScreen, "/library"},
		{"GET /library/{name}", s.libraryCircuit, "/library/series-pass"},
		{"GET /sheets/new", s.newSheet, "/sheets/new"},
		{"GET /sheets/build", s.buildSheet, "/sheets/build"},
		{"POST /sheets/build", s.buildSheet, ""},
		{"GET /sheets/{name}", s.openSheet, "/sheets/p6"},
		{"POST /sheets", s.keepSheet, ""},
		{"POST /sheets/check", s.checkedSheet, ""},
		{"GET /guide", s.guide, "/guide"},
		{"GET /guide/{name...}", s.guideChapter, "/guide/hazards"},
		{"GET /guide/picture/{name...}", s.guidePicture, ""},
	}
	return slices.Concat(pages, s.toolScreens(), s.collectionScreens(), s.jobPages(), s.tracePages(), s.meterPages(), s.apiPages())
}

// today shows what is next.
func (s *Server) today(r *http.Request) (View, error) {
	if s.records != nil {
		t, err := s.lookAtToday(r.Context())
		return View{Title: "Today", Place: "/", Body: todayBench(t)}, err
	}
	return View{Title: "Today", Place: "/", Body: todayPage()}, nil
}

// settings leads to what can be set.
func (s *Server) settings(*http.Request) (View, error) {
	return View{Title: "Settings", Place: "/settings", Body: settingsPage(s.records != nil)}, nil
}

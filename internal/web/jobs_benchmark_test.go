package web

import (
	"fmt"
	"net/http"
	"net/http/httptest"
	"testing"

	"halfsplit/internal/record"
)

// The time of the server for each screen of a job whose findings are known, from
// the request to the last byte.
func BenchmarkJobScreens(b *testing.B) {
	records, work, job := openCase(b, threeChips)
	if _, err := work.Reason(b.Context(), job.ID); err != nil {
		b.Fatal(err)
	}
	s := New(Options{Records: records, Bench: work})
	s.rate = newMeter(s.now, 1e9, 1e9)
	token := secret()
	if err := records.SaveDevice(b.Context(), &record.Device{Name: "This computer", Token: hashOf(token), Created: s.now(), Seen: s.now()}); err != nil {
		b.Fatal(err)
	}
	for _, path := range []string{"", "/reading", "/reading?at=TP1&reads=4.99", "/log", "/log/add?verb=swap", "/suspects", "/hazards", "/proof", "/circuit", "/memory", "/photos", "/handback"} {
		b.Run("job"+path, func(b *testing.B) {
			for b.Loop() {
				r := httptest.NewRequest("GET", fmt.Sprintf("http://localhost/jobs/%d%s", job.ID, path), nil)
				r.AddCookie(&http.Cookie{Name: tokenCookie, Value: token})
				w := httptest.NewRecorder()
				s.Handler().ServeHTTP(w, r)
				if w.Code != http.StatusOK {
					b.Fatalf("%s: status %d", path, w.Code)
				}
			}
		})
	}
}

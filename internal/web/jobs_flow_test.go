package web

import (
	"context"
	"net/http"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"github.com/chromedp/chromedp"
)

// A job from its opening to its hand-back, on the desktop, with a phone beside it
// that takes a reading while the bench cannot be reached.
func TestFlowOfAJob(t *testing.T) {
	records, work, _ := openCase(t, threeChips)
	var away atomic.Bool
	s := New(Options{Records: records, Bench: work})
	inner := s.handler
	s.handler = http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if away.Load() {
			panic(http.ErrAbortHandler)
		}
		inner.ServeHTTP(w, r)
	})
	_, server, token := benchWith(t, s)
	t.Cleanup(func() { work.Cancel(2) })
	desktop := browserOf(t)
	signIn(t, desktop, server.URL, token)
	do := func(tab context.Context, steps ...chromedp.Action[chromedp.Void]) {
		t.Helper()
		if err := chromedp.Do(tab, steps...); err != nil {
			text, _ := chromedp.Run(tab, chromedp.Evaluate[string]("location.href + document.body.innerText"))
			t.Fatalf("%v\n%s", err, text)
		}
	}
	until := func(tab context.Context, condition string) {
		t.Helper()
		if _, err := chromedp.Run(tab, chromedp.Poll[bool](condition, chromedp.WithPollingTimeout(30*time.Second))); err != nil {
			text, _ := chromedp.Run(tab, chromedp.Evaluate[string]("location.href + document.body.innerText"))
			t.Fatalf("not reached: %s: %v\n%s", condition, err, text)
		}
	}
	says := func(words string) string { return `document.querySelector("main").innerText.includes("` + words + `")` }

	do(desktop, chromedp.EmulateViewport(1280, 900), chromedp.Navigate(server.URL+"/units/1/jobs/new"),
		chromedp.SetValue(chromedp.CSS("#field-title"), "second page wrong"), chromedp.SetValue(chromedp.CSS("#field-complaint"), "The second page comes back wrong."),
		chromedp.Click(chromedp.CSS("#new-job .buttons button")))
	until(desktop, says("Make safe: "))
	do(desktop, chromedp.Navigate(server.URL+"/jobs/2/hazards"))
	for _, left := range []string{"3", "2", "1", "0"} {
		do(desktop, chromedp.SetValue(chromedp.CSS(".hazards form input[name=why]"), "looked after"), chromedp.Click(chromedp.CSS(".hazards form button[value=safe]")))
		until(desktop, `document.querySelectorAll(".hazards form").length === `+left)
	}
	do(desktop, chromedp.Navigate(server.URL+"/jobs/2"))
	until(desktop, says("second page wrong"))

	phone := tabOf(t, desktop)
	do(phone, chromedp.EmulateViewport(390, 844, chromedp.EmulateMobile, chromedp.EmulateTouch), chromedp.Navigate(server.URL+"/jobs/2/reading?at=TP1"), chromedp.WaitVisible(chromedp.CSS(".keypad")))
	away.Store(true)
	server.CloseClientConnections()
	for _, key := range []string{"5", ".", "0", "4"} {
		do(phone, chromedp.Click(chromedp.CSS(`.keypad [data-press="`+key+`"]`)))
	}
	do(phone, chromedp.Click(chromedp.CSS("#reading button.big")))
	until(phone, `document.querySelector("#waiting").innerText.includes("(1)")`)
	away.Store(false)
	until(phone, `document.querySelector("#waiting").hidden`)
	log, err := records.Log(t.Context(), 2)
	if err != nil || !strings.Contains(log[len(log)-1].Line, `"5.04 V"`) {
		t.Fatalf("the reading of the phone is not in the logbook: %v, %+v", err, log)
	}
	do(desktop, chromedp.Navigate(server.URL+"/jobs/2"))
	until(desktop, says("measured TP1: 5.04 V"))
	do(phone, chromedp.Navigate(server.URL+"/jobs/2/log/add?verb=check&name=self-test"), chromedp.SetValue(chromedp.CSS("#field-reads"), "memory 1"), chromedp.Click(chromedp.CSS("#entry > .buttons button")))
	until(phone, says("ran self-test: memory 1"))

	do(desktop, chromedp.Navigate(server.URL+"/jobs/2/log/add?verb=swap&name=U22"), chromedp.SetValue(chromedp.CSS("#field-new"), "dated 8309"), chromedp.Click(chromedp.CSS("#entry > .buttons button")))
	until(desktop, says("U22"))
	do(desktop, chromedp.Navigate(server.URL+"/jobs/2/proof"), chromedp.Click(chromedp.CSS("#begin button")))
	until(desktop, says("A soak run goes on"))
	time.Sleep(1100 * time.Millisecond)
	do(desktop, chromedp.Click(chromedp.CSS("#soak-end button[value=clean]")))
	until(desktop, says("Begin a soak run"))
	do(desktop, chromedp.Navigate(server.URL+"/jobs/2/handback"), chromedp.SetValue(chromedp.CSS("#field-outcome"), "repaired"), chromedp.SetValue(chromedp.CSS("#field-lesson"), "look at the date codes first"), chromedp.Click(chromedp.CSS("#handback button")))
	until(desktop, says("Open it again"))
	if j, err := records.Job(t.Context(), 2); err != nil || j.IsOpen() || j.Lesson == "" {
		t.Errorf("the job is %+v, %v", j, err)
	}
}

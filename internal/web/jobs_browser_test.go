package web

import (
	"os"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"
)

// Every screen of a job, at three widths, light and dark, as all screens are
// looked at.
func TestJobScreensInABrowser(t *testing.T) {
	checker, err := os.ReadFile("testdata/axe/axe.min.js")
	if err != nil {
		t.Fatal(err)
	}
	b := benchOfCase(t, threeChips)
	b.settled(t)
	_, to, _ := b.post(t, b.path+"/reading", "at", "TP1", "reads", "5.24", "with", "DMM", "on", "12 min", "key", "a")
	b.post(t, b.path+"/log", "verb", "note", "subject", "stored in a loft", "key", "b")
	b.post(t, b.path+"/log", "verb", "note", "subject", "stored in a cellar", "corrects", "e12", "key", "c")
	b.settled(t)
	ctx := browserOf(t)
	signIn(t, ctx, b.http.URL, b.token)
	written := consoleOf(ctx)
	for _, path := range []string{"/units/1/jobs/new", b.path, b.path + "/reading", to, b.path + "/reading?at=TP1&reads=5.24&with=DMM", b.path + "/reading?at=main+bank+1+bit+2",
		b.path + "/log", b.path + "/log/add", b.path + "/log/add?verb=swap&name=U21", b.path + "/log/add?corrects=e13", b.path + "/suspects", b.path + "/hazards",
		b.path + "/proof", b.path + "/handback"} {
		t.Run(path, func(t *testing.T) {
			inspect(t, ctx, b.http.URL+path, string(checker))
			if lines := written.take(); len(lines) > 0 {
				t.Errorf("on the console: %s", strings.Join(lines, "\n"))
			}
		})
	}
}

// A reading on a phone: point, number, done; the verdict is there while the
// number is typed.
func TestReadingInThreeTouches(t *testing.T) {
	b := benchOfCase(t, threeChips)
	b.settled(t)
	before := len(b.log(t))
	ctx := browserOf(t)
	signIn(t, ctx, b.http.URL, b.token)
	if err := chromedp.Do(ctx, chromedp.EmulateViewport(390, 844, chromedp.EmulateMobile, chromedp.EmulateTouch), chromedp.Navigate(b.http.URL+b.path+"/reading"),
		chromedp.Click(chromedp.CSS(`a[href$="at=TP1"]`)), chromedp.WaitVisible(chromedp.CSS(`.keypad [data-press="5"]`))); err != nil {
		t.Fatal(err)
	}
	for _, key := range []string{"5", ".", "0", "2"} {
		if err := chromedp.Do(ctx, chromedp.Click(chromedp.CSS(`.keypad [data-press="`+key+`"]`))); err != nil {
			t.Fatal(err)
		}
	}
	if err := chromedp.Do(ctx, chromedp.WaitVisible(chromedp.CSS("#verdict .badge.pass"))); err != nil {
		t.Fatal(err)
	}
	if n := len(b.log(t)); n != before {
		t.Errorf("typing wrote %d entries", n-before)
	}
	if err := chromedp.Do(ctx, chromedp.Click(chromedp.CSS("#reading button.big")), chromedp.WaitVisible(chromedp.CSS("#done .badge.pass"))); err != nil {
		t.Fatal(err)
	}
	log := b.log(t)
	if len(log) != before+1 || !strings.Contains(log[before].Line, `"5.02 V"`) {
		t.Errorf("the logbook ends with %s", log[len(log)-1].Line)
	}
}

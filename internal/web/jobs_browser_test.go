package web

import (
	"bytes"
	"image"
	"image/color"
	"image/draw"
	"image/png"
	"os"
	"strings"
	"testing"

	"github.com/chromedp/cdproto/emulation"
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
	b.send(t, b.path+"/photos", map[string][]byte{"board.png": boardPicture(t)})
	for _, spot := range [][3]string{{"U20", "20", "30"}, {"U27", "70", "30"}, {"TP1", "85", "80"}} {
		b.post(t, b.path+"/photos/1", "do", "spot", "name", spot[0], "x", spot[1], "y", spot[2])
	}
	b.post(t, b.path+"/log", "verb", "memory", "subject", "main", "says", "bit 2 at 4000-7FFF", "key", "m")
	b.post(t, b.path+"/soak", "temperature", "38 °C")
	b.settled(t)
	ctx := browserOf(t)
	signIn(t, ctx, b.http.URL, b.token)
	written := consoleOf(ctx)
	for _, path := range []string{b.path + "/photos", b.path + "/photos/1", b.path + "/circuit", b.path + "/memory",
		"/units/1/jobs/new", b.path, b.path + "/reading", to, b.path + "/reading?at=TP1&reads=5.24&with=DMM", b.path + "/reading?at=main+bank+1+bit+2",
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

// boardPicture is a drawn board: a plain green plate with two rows of chips.
func boardPicture(t *testing.T) []byte {
	t.Helper()
	m := image.NewRGBA(image.Rect(0, 0, 1600, 1000))
	draw.Draw(m, m.Bounds(), image.NewUniform(color.RGBA{30, 80, 55, 255}), image.Point{}, draw.Src)
	for row := range 2 {
		for column := range 8 {
			chip := image.Rect(150+170*column, 220+320*row, 260+170*column, 420+320*row)
			draw.Draw(m, chip, image.NewUniform(color.RGBA{25, 25, 28, 255}), image.Point{}, draw.Src)
		}
	}
	var b bytes.Buffer
	if err := png.Encode(&b, m); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// A repair with a soak curve, and a circuit that is solved with each of its parts
// failing.
func TestProofAndCircuitInABrowser(t *testing.T) {
	checker, err := os.ReadFile("testdata/axe/axe.min.js")
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct{ name, path string }{{"vt9-shuts-down", "/proof"}, {"vt9-shuts-down", ""}, {"p6-hums", "/suspects"}, {"p6-hums", "/circuit"}} {
		b := benchOfCase(t, c.name)
		b.settled(t)
		ctx := browserOf(t)
		signIn(t, ctx, b.http.URL, b.token)
		written := consoleOf(ctx)
		path := b.path + c.path
		t.Run(c.name+c.path, func(t *testing.T) {
			inspect(t, ctx, b.http.URL+path, string(checker))
			if lines := written.take(); len(lines) > 0 {
				t.Errorf("on the console: %s", strings.Join(lines, "\n"))
			}
		})
	}
}

// A tap on a board takes the place into the form; the mark is then on the picture.
func TestMarkingABoard(t *testing.T) {
	b := benchOfCase(t, threeChips)
	b.settled(t)
	b.send(t, b.path+"/photos", map[string][]byte{"board.png": boardPicture(t)})
	ctx := browserOf(t)
	signIn(t, ctx, b.http.URL, b.token)
	err := chromedp.Do(ctx, chromedp.EmulateViewport(1000, 900), chromedp.Navigate(b.http.URL+b.path+"/photos/1"), chromedp.Click(chromedp.CSS(".board svg")),
		chromedp.SendKeys(chromedp.CSS("#field-name"), "U21"), chromedp.Click(chromedp.CSS("#spot-form button")), chromedp.WaitVisible(chromedp.CSS(".spotted li")))
	if err != nil {
		t.Fatal(err)
	}
	p, err := b.records.Photo(t.Context(), 1)
	if err != nil || len(p.Spots) != 1 || p.Spots[0].X < 0.45 || p.Spots[0].X > 0.55 || p.Spots[0].Y < 0.45 || p.Spots[0].Y > 0.55 {
		t.Errorf("a tap in the middle is kept as %+v, %v", p.Spots, err)
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

// Pointing at a test, or coming to it by keyboard, shows beside it what each
// answer would leave of the list; leaving it takes that away.
func TestPointingAtATest(t *testing.T) {
	b := benchOfCase(t, threeChips)
	b.settled(t)
	ctx := browserOf(t)
	signIn(t, ctx, b.http.URL, b.token)
	if _, err := chromedp.Call(ctx, emulation.SetFocusEmulationEnabled, emulation.SetFocusEmulationEnabledParams{Enabled: true}); err != nil {
		t.Fatal(err)
	}
	if err := chromedp.Do(ctx, chromedp.EmulateViewport(1400, 900), chromedp.Navigate(b.http.URL+b.path+"/suspects"), chromedp.WaitVisible(chromedp.CSS("#test-1 > summary"))); err != nil {
		t.Fatal(err)
	}
	shown, err := chromedp.Run(ctx, chromedp.Evaluate[string](`document.querySelector("#test-1 > summary").focus(); document.querySelector("#preview").innerText`))
	if err != nil || !strings.Contains(shown, "Read main bank 1 bit") || !strings.Contains(shown, "stuck low") {
		t.Errorf("beside the test stands %q, %v", shown, err)
	}
	if *screens != "" {
		keep(t, ctx, "http://x/preview", "1400")
	}
	left, err := chromedp.Run(ctx, chromedp.Evaluate[string](`document.activeElement.blur(); document.querySelector("#preview").innerText`))
	if err != nil || left != "" {
		t.Errorf("after leaving it %q is still there, %v", left, err)
	}
}

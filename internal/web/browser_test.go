package web

import (
	"context"
	"flag"
	"fmt"
	"net/http"
	"net/http/httptest"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/cdproto/network"
	"github.com/chromedp/chromedp"

	"halfsplit/internal/bench"
	"halfsplit/internal/demo"
	"halfsplit/internal/record"
	"halfsplit/internal/store"
)

var screens = flag.String("screens", "", "write a picture of every screen into this folder")

// browserOf starts a Chromium for one test, and gives a tab.
func browserOf(t *testing.T) context.Context {
	t.Helper()
	ctx, stop := chromedp.NewExecAllocator(t.Context(),
		chromedp.Headless, chromedp.NoSandbox, chromedp.DisableGPU, chromedp.NoFirstRun,
		chromedp.Flag("disable-quic", true), chromedp.Flag("disable-background-networking", true),
		chromedp.Flag("disable-component-update", true), chromedp.Flag("disable-sync", true),
		chromedp.Flag("force-color-profile", "srgb"), chromedp.Flag("hide-scrollbars", true),
		chromedp.UserDataDir(t.TempDir()))
	t.Cleanup(stop)
	return tabOf(t, ctx)
}

func tabOf(t *testing.T, ctx context.Context) context.Context {
	t.Helper()
	tab, stop := chromedp.NewContext(ctx)
	t.Cleanup(stop)
	tab, stop = context.WithTimeout(tab, 5*time.Minute)
	t.Cleanup(stop)
	return tab
}

// console gathers what a tab writes to its console; there should be nothing.
type console struct {
	sync.Mutex
	lines []string
}

func consoleOf(ctx context.Context) *console {
	c := &console{}
	messages := chromedp.Console(ctx)
	go func() {
		for m, err := range messages {
			if err != nil {
				return
			}
			c.Lock()
			c.lines = append(c.lines, m.String())
			c.Unlock()
		}
	}()
	return c
}

// take gives what was written since it was last asked.
func (c *console) take() []string {
	c.Lock()
	defer c.Unlock()
	lines := c.lines
	c.lines = nil
	return lines
}

// benchOf serves a bench for a test and lets a desktop in whose token it gives.
func benchOf(t *testing.T, o Options) (*Server, *httptest.Server, string) {
	t.Helper()
	return benchWith(t, New(o))
}

func benchWith(t *testing.T, s *Server) (*Server, *httptest.Server, string) {
	t.Helper()
	s.rate = newMeter(s.now, 1e6, 1e6) // the tests are quicker than a person
	server := httptest.NewServer(s.Handler())
	t.Cleanup(server.Close)
	t.Cleanup(server.CloseClientConnections)
	token := secret()
	err := s.devices.SaveDevice(t.Context(), &record.Device{Name: "This computer", Token: hashOf(token), Created: s.now(), Seen: s.now()})
	if err != nil {
		t.Fatal(err)
	}
	return s, server, token
}

// signIn gives a tab the token of a device.
func signIn(t *testing.T, ctx context.Context, address, token string) {
	t.Helper()
	if err := chromedp.Do(ctx, chromedp.Navigate("about:blank")); err != nil {
		t.Fatal(err)
	}
	_, err := chromedp.Call(ctx, network.SetCookie, network.SetCookieParams{
		Name: tokenCookie, Value: token, URL: address, HTTPOnly: new(true), SameSite: network.CookieSameSiteStrict})
	if err != nil {
		t.Fatal(err)
	}
}

// accessible runs the checker over the page and gives what it objects to.
const accessible = `(async () => {
	const found = await axe.run(document, {resultTypes: ["violations"], runOnly: ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]});
	return found.violations.map(v => v.id + ": " + v.help + " at " + v.nodes.map(n => n.target.join(" ") + " " + (n.any[0]?.message ?? "")).join("; "));
})()`

// small lists what can be pressed but is smaller than a finger needs, 44 px each
// way (WCAG 2.2, 2.5.5), links within text excepted.
const small = `[...document.querySelectorAll("button, .button, input:not([type=hidden]), select, summary, nav a, .tile")].filter(e => {
	const label = e.closest("label"), r = (label ?? e).getBoundingClientRect();
	return r.width > 0 && (r.height < 44 || r.width < 44) && !e.closest(".prose, .mistakes, .hidden");
}).map(e => e.outerHTML.slice(0, 120))`

// tooWide tells by how much the page is wider than the window.
const tooWide = `document.documentElement.scrollWidth - document.documentElement.clientWidth`

// Every screen of the table, at three widths, light and dark: nothing on the
// console, nothing that the checker objects to (axe-core, rules of WCAG 2.2 A and
// AA), nothing too small for a finger, nothing wider than the window.
func TestScreensInABrowser(t *testing.T) {
	checker, err := os.ReadFile("testdata/axe/axe.min.js")
	if err != nil {
		t.Fatal(err)
	}
	records, work := exampleRecords(t)
	s, server, token := benchOf(t, Options{Records: records, Bench: work, Phones: func() []string { return []string{"http://192.168.1.7:8765"} }})
	ctx := browserOf(t)
	signIn(t, ctx, server.URL, token)
	written := consoleOf(ctx)
	for _, page := range s.Pages() {
		if page.Example == "" {
			continue
		}
		t.Run(strings.TrimPrefix(page.Pattern, "GET "), func(t *testing.T) {
			inspect(t, ctx, server.URL+page.Example, string(checker))
			if lines := written.take(); len(lines) > 0 {
				t.Errorf("on the console: %s", strings.Join(lines, "\n"))
			}
		})
	}
}

// inspect looks at one page in all its sizes and lights.
func inspect(t *testing.T, ctx context.Context, address, checker string) {
	t.Helper()
	if err := chromedp.Do(ctx, chromedp.Navigate(address), chromedp.Evaluate[chromedp.Void](checker)); err != nil {
		t.Fatal(err)
	}
	for _, width := range []int64{360, 820, 1280} {
		for _, light := range []string{"light", "dark"} {
			what := fmt.Sprintf("%d px, %s", width, light)
			media := emulation.SetEmulatedMediaParams{Features: []*emulation.MediaFeature{{Name: "prefers-color-scheme", Value: light}, {Name: "prefers-reduced-motion", Value: "reduce"}}}
			if _, err := chromedp.Call(ctx, emulation.SetEmulatedMedia, media); err != nil {
				t.Fatal(err)
			}
			if err := chromedp.Do(ctx, chromedp.EmulateViewport(width, 800)); err != nil {
				t.Fatal(err)
			}
			if checked[what] {
				objections(t, ctx, what)
			}
			tiny, err := chromedp.Run(ctx, chromedp.Evaluate[[]string](small))
			if err != nil {
				t.Fatal(err)
			}
			for _, e := range tiny {
				t.Errorf("%s: too small for a finger: %s", what, e)
			}
			over, err := chromedp.Run(ctx, chromedp.Evaluate[float64](tooWide))
			if err != nil {
				t.Fatal(err)
			}
			if over > 0 {
				t.Errorf("%s: the page is %g px wider than the window", what, over)
			}
			if *screens != "" {
				keep(t, ctx, address, fmt.Sprintf("%d-%s", width, light))
			}
		}
	}
}

// checked are the sizes and lights in which the checker runs, which takes longest:
// both lights, and the layout of a phone and of a desktop.
var checked = map[string]bool{"360 px, light": true, "1280 px, dark": true}

func objections(t *testing.T, ctx context.Context, what string) {
	t.Helper()
	found, err := chromedp.Run(ctx, chromedp.Evaluate[[]string](accessible, chromedp.EvalAwaitPromise))
	if err != nil {
		t.Fatal(err)
	}
	for _, o := range found {
		t.Errorf("%s: %s", what, o)
	}
}

// keep writes a picture of the page.
func keep(t *testing.T, ctx context.Context, address, name string) {
	t.Helper()
	picture, err := chromedp.Run(ctx, chromedp.FullScreenshot(100))
	if err != nil {
		t.Fatal(err)
	}
	_, path, _ := strings.Cut(strings.TrimPrefix(address, "http://"), "/")
	path = strings.Map(func(c rune) rune {
		if strings.ContainsRune("/?&=%+", c) {
			return '-'
		}
		return c
	}, path)
	if len(path) > 60 {
		path = path[:60]
	}
	if err := os.WriteFile(filepath.Join(*screens, "page-"+path+"-"+name+".png"), picture, 0o644); err != nil {
		t.Fatal(err)
	}
}

// The desktop's browser comes in by the printed link, once.
func TestEnterInABrowser(t *testing.T) {
	s := New(Options{})
	server := httptest.NewServer(s.Handler())
	defer server.Close()
	ctx := browserOf(t)
	link := server.URL + s.Enter()
	if err := chromedp.Do(ctx, chromedp.EmulateViewport(1280, 800), chromedp.Navigate(link), chromedp.WaitVisible(chromedp.CSS(".side nav"))); err != nil {
		t.Fatal(err)
	}
	title, err := chromedp.Run(ctx, chromedp.Title())
	if err != nil || title != "Today · halfsplit" {
		t.Errorf("after the link the page is %q, %v; want Today", title, err)
	}
	again, err := http.Get(link)
	if err != nil {
		t.Fatal(err)
	}
	again.Body.Close()
	if again.StatusCode != http.StatusForbidden {
		t.Errorf("the link works a second time: %s", again.Status)
	}
}

// exampleRecords are the records of the demo in a folder of their own.
func exampleRecords(t *testing.T) (*store.Store, *bench.Bench) {
	t.Helper()
	records, err := store.Open(t.TempDir(), store.Options{})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { records.Close() })
	work := bench.New(records, bench.Options{})
	if err := demo.Fill(t.Context(), records, work, time.Now()); err != nil {
		t.Fatal(err)
	}
	return records, work
}

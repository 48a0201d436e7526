package web

import (
	"context"
	"io"
	"net/http"
	"slices"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"github.com/a-h/templ"
	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/page"
	"github.com/chromedp/chromedp"

	"halfsplit/internal/web/look"
)

// book is a logbook for tests that takes an entry with the same key in once.
type book struct {
	sync.Mutex
	keys, entries []string
}

// A form that is sent while the bench cannot be reached is kept in the browser,
// survives a reload, and is sent once when the bench is back, even where the first
// attempt had reached it and only the answer was lost. Another screen that follows
// the topic shows the entry without being touched.
func TestOutboxInABrowser(t *testing.T) {
	var b book
	var away, deaf atomic.Bool // unreachable; or taking things in without an answer
	s := New(Options{})
	mux := http.NewServeMux()
	mux.Handle("GET /log", s.screen(func(*http.Request) (View, error) {
		b.Lock()
		defer b.Unlock()
		return View{Title: "Log", Body: logPage(slices.Clone(b.entries))}, nil
	}))
	mux.Handle("POST /log", s.screen(func(r *http.Request) (View, error) {
		in, err := Read(r)
		if err != nil {
			return View{}, err
		}
		b.Lock()
		defer b.Unlock()
		if !slices.Contains(b.keys, in.Key()) {
			b.keys, b.entries = append(b.keys, in.Key()), append(b.entries, in.Text("text"))
			s.hub.Publish("log")
		}
		return View{Go: "/log", Said: "Taken in."}, nil
	}))
	inner := s.handler
	s.handler = http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if away.Load() {
			panic(http.ErrAbortHandler)
		}
		if r.URL.Path == "/log" {
			w.Header().Set("Content-Security-Policy", policy)
			mux.ServeHTTP(w, r)
			if r.Method == http.MethodPost && deaf.Load() {
				panic(http.ErrAbortHandler)
			}
			return
		}
		inner.ServeHTTP(w, r)
	})
	_, server, token := benchWith(t, s)
	ctx := browserOf(t)
	signIn(t, ctx, server.URL, token)
	other := tabOf(t, ctx)

	do := func(steps ...chromedp.Action[chromedp.Void]) {
		t.Helper()
		if err := chromedp.Do(ctx, steps...); err != nil {
			t.Fatal(err)
		}
	}
	enter := func(text string) {
		t.Helper()
		do(chromedp.SetValue(chromedp.CSS("#field-text"), text), chromedp.Click(chromedp.CSS("form button")))
	}
	until := func(condition string) {
		t.Helper()
		if _, err := chromedp.Run(ctx, chromedp.Poll[bool](condition, chromedp.WithPollingTimeout(15*time.Second))); err != nil {
			text, _ := chromedp.Run(ctx, chromedp.Evaluate[string]("document.body.innerText"))
			b.Lock()
			defer b.Unlock()
			t.Fatalf("not reached: %s: %v; taken in %q %q\n%s", condition, err, b.entries, b.keys, text)
		}
	}

	do(chromedp.Navigate(server.URL + "/log"))
	enter("first")
	until(`document.querySelector("#log")?.innerText.includes("first") && document.querySelector("#said").innerText === "Taken in."`)

	away.Store(true)
	server.CloseClientConnections()
	enter("second")
	until(`document.querySelector("#waiting").innerText.includes("(1)")`)
	enter("third")
	until(`document.querySelector("#waiting").innerText.includes("(2)") && document.querySelector("#field-text").value === ""`)

	away.Store(false)
	deaf.Store(true) // they arrive, but the answers do not
	time.Sleep(5 * time.Second)
	if err := chromedp.Do(other, chromedp.Navigate(server.URL+"/log")); err != nil {
		t.Fatal(err)
	}
	deaf.Store(false)
	front := func(tab context.Context) {
		t.Helper()
		if _, err := chromedp.Call(tab, page.BringToFront, cdp.Empty{}); err != nil {
			t.Fatal(err)
		}
	}
	front(ctx)
	do(chromedp.Reload())
	until(`document.querySelector("#waiting").hidden && document.querySelector("#log").innerText.includes("third")`)

	b.Lock()
	got := slices.Clone(b.entries)
	b.Unlock()
	if want := []string{"first", "second", "third"}; !slices.Equal(got, want) {
		t.Errorf("taken in: %q, want %q", got, want)
	}
	enter("fourth")
	front(other) // a screen that nobody sees does not follow; seen again it catches up
	if _, err := chromedp.Run(other, chromedp.Poll[bool](`document.querySelector("#log").innerText.includes("fourth")`, chromedp.WithPollingTimeout(10*time.Second))); err != nil {
		t.Errorf("the other screen does not follow: %v", err)
	}
}

// logPage is a page with a form for the outbox and a part that is live.
func logPage(entries []string) templ.Component {
	return templ.ComponentFunc(func(ctx context.Context, w io.Writer) error {
		io.WriteString(w, `<h1>Log</h1><form method="post" action="/log" id="entry" data-outbox="An entry">`)
		if err := look.Key(secret()).Render(ctx, w); err != nil {
			return err
		}
		if err := look.Input(look.Field{Name: "text", Label: "Entry"}).Render(ctx, w); err != nil {
			return err
		}
		io.WriteString(w, `<button>Enter</button></form><ul id="log" data-live="log">`)
		for _, e := range entries {
			io.WriteString(w, "<li>"+templ.EscapeString(e)+"</li>")
		}
		_, err := io.WriteString(w, "</ul>")
		return err
	})
}

package web

import (
	"encoding/json"
	"fmt"
	"math"
	"net/http"
	"strconv"
	"sync"
	"testing"
	"time"

	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"

	"halfsplit/internal/web/look"
)

// A trace is drawn, moved and enlarged by keys, each time from a window fetched for
// it, without a word on the console under the content security policy.
func TestTraceInABrowser(t *testing.T) {
	s := New(Options{})
	var windows sync.Map
	mux := http.NewServeMux()
	mux.Handle("GET /traces/1", s.screen(func(*http.Request) (View, error) {
		return View{Title: "Trace", Scripts: []string{"bundle-trace.js"}, Body: look.Trace("/traces/1/window", "The +5 rail over an hour.")}, nil
	}))
	mux.HandleFunc("GET /traces/1/window", func(w http.ResponseWriter, r *http.Request) {
		q := r.URL.Query()
		from, to := 0.0, 3600.0
		if q.Get("from") != "" {
			from, _ = strconv.ParseFloat(q.Get("from"), 64)
			to, _ = strconv.ParseFloat(q.Get("to"), 64)
		}
		windows.Store(fmt.Sprintf("%.0f to %.0f", from, to), true)
		x, low, high := []float64{}, []float64{}, []float64{}
		for i := range 500 {
			at := from + (to-from)*(float64(i)+0.5)/500
			x, low, high = append(x, at), append(low, 4.9+0.1*math.Sin(at/300)), append(high, 5+0.1*math.Sin(at/300))
		}
		json.NewEncoder(w).Encode(map[string]any{"from": 0, "to": 3600, "x": x, "series": []any{map[string]any{"name": "+5", "unit": "V", "low": low, "high": high}}})
	})
	inner := s.handler
	s.handler = http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if _, pattern := mux.Handler(r); pattern != "" {
			w.Header().Set("Content-Security-Policy", policy)
			mux.ServeHTTP(w, r)
			return
		}
		inner.ServeHTTP(w, r)
	})
	_, server, token := benchWith(t, s)
	ctx := browserOf(t)
	signIn(t, ctx, server.URL, token)
	written := consoleOf(ctx)
	until := func(what string) {
		t.Helper()
		for range 100 {
			if _, ok := windows.Load(what); ok {
				return
			}
			time.Sleep(100 * time.Millisecond)
		}
		t.Fatalf("the window %s was not asked for", what)
	}
	if err := chromedp.Do(ctx, chromedp.EmulateViewport(1280, 800), chromedp.Navigate(server.URL+"/traces/1"), chromedp.WaitVisible(chromedp.CSS(".trace[data-drawn] canvas")), chromedp.Focus(chromedp.CSS(".trace"))); err != nil {
		t.Fatal(err)
	}
	for _, step := range []struct{ key, window string }{{"+", "900 to 2700"}, {kb.ArrowRight, "1350 to 3150"}, {kb.ArrowRight, "1800 to 3600"}, {kb.ArrowRight, "1800 to 3600"}, {kb.Home, "0 to 3600"}} {
		if err := chromedp.Do(ctx, chromedp.KeyEvent(step.key)); err != nil {
			t.Fatal(err)
		}
		until(step.window)
	}
	if *screens != "" {
		keep(t, ctx, server.URL+"/traces/1", "1280-light")
	}
	if lines := written.take(); len(lines) > 0 {
		t.Errorf("on the console: %q", lines)
	}
}

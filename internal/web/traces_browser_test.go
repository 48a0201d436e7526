package web

import (
	"fmt"
	"net/http"
	"os"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"
)

// pan drags the trace with a pointer, some pixels in every frame, and counts the
// frames: for how long, and how long the longest took, in milliseconds.
const pan = `(async () => {
	const over = document.querySelector(".trace-panels"), box = over.getBoundingClientRect();
	const send = (kind, x) => over.dispatchEvent(new PointerEvent(kind, {pointerId: 1, pointerType: "touch", isPrimary: true, bubbles: true, clientX: x, clientY: box.top + 80}));
	const frame = () => new Promise(requestAnimationFrame);
	let x = box.left + box.width / 2, step = -9, frames = 0, longest = 0;
	send("pointerdown", x);
	const begun = await frame();
	let last = begun, now = begun;
	while (now - begun < 3000) {
		x += step;
		if (x < box.left + 70 || x > box.right - 70) step = -step;
		send("pointermove", x);
		now = await frame();
		frames++;
		longest = Math.max(longest, now - last);
		last = now;
	}
	send("pointerup", x);
	return [frames, now - begun, longest];
})()`

// A trace of ten million readings is drawn, moved and looked into by keys, wheel and
// fingers; while it is dragged every frame is drawn. How many frames a second that
// gives on a machine is in docs/api.md; here it must not stutter.
func TestTenMillionReadingsInABrowser(t *testing.T) {
	b := benchOfCase(t, threeChips)
	one := madeTrace(t, b.records, b.job, 10_000_000, 7_654_321)
	ctx := browserOf(t)
	signIn(t, ctx, b.http.URL, b.token)
	written := consoleOf(ctx)
	where := func() string {
		t.Helper()
		text, err := chromedp.Run(ctx, chromedp.Evaluate[string](`(async () => { await new Promise(requestAnimationFrame); await new Promise(requestAnimationFrame); return document.querySelector("[data-where]").textContent; })()`, chromedp.EvalAwaitPromise))
		if err != nil {
			t.Fatal(err)
		}
		return text
	}
	drawn := `(async () => { for (let i = 0; i < 400 && !document.querySelector(".trace-panels canvas") ; i++) await new Promise(r => setTimeout(r, 25)); await new Promise(r => setTimeout(r, 600)); return document.querySelectorAll(".trace-panels canvas").length; })()`
	if err := chromedp.Do(ctx, chromedp.EmulateViewport(1280, 800), chromedp.Navigate(fmt.Sprintf("%s/traces/%d", b.http.URL, one.ID))); err != nil {
		t.Fatal(err)
	}
	panels, err := chromedp.Run(ctx, chromedp.Evaluate[float64](drawn, chromedp.EvalAwaitPromise))
	if err != nil || panels != 2 {
		t.Fatalf("%g panels are drawn, %v; want one for each of the two channels", panels, err)
	}
	whole := where()
	if !strings.Contains(whole, "2:46:40") {
		t.Errorf("the whole trace is shown as %q; ten thousand seconds end at 2:46:40", whole)
	}
	key := func(name string) string {
		return fmt.Sprintf(`document.querySelector(".trace-panels").dispatchEvent(new KeyboardEvent("keydown", {key: %q, bubbles: true, cancelable: true}))`, name)
	}
	press := func(names ...string) {
		t.Helper()
		for _, name := range names {
			if _, err := chromedp.Run(ctx, chromedp.Evaluate[bool](key(name))); err != nil {
				t.Fatal(err)
			}
		}
	}
	press("+", "+", "+", "+", "+", "+")
	near := where()
	press("ArrowRight")
	if on := where(); near == whole || on == near {
		t.Errorf("keys do not move it: %q, %q, %q", whole, near, on)
	}
	var perSecond [2]float64
	for i, what := range []string{"in view: 156 s", "in view: 5 s"} {
		if i == 1 {
			press("+", "+", "+", "+", "+")
		}
		got, err := chromedp.Run(ctx, chromedp.Evaluate[[]float64](pan, chromedp.EvalAwaitPromise))
		if err != nil {
			t.Fatal(err)
		}
		perSecond[i] = got[0] / got[1] * 1000
		t.Logf("%s: %.1f frames a second while panning, the longest frame took %.0f ms", what, perSecond[i], got[2])
		if got[0] < 15 {
			t.Errorf("%s: %.0f frames in three seconds; it stutters", what, got[0])
		}
	}
	press("0")
	if again := where(); again != whole {
		t.Errorf("0 shows %q, want %q", again, whole)
	}
	if lines := written.take(); len(lines) > 0 {
		t.Errorf("on the console: %s", strings.Join(lines, "\n"))
	}
}

// The screens of traces, meters and for programs, as all screens are looked at.
func TestTraceScreensInABrowser(t *testing.T) {
	checker, err := os.ReadFile("testdata/axe/axe.min.js")
	if err != nil {
		t.Fatal(err)
	}
	b := benchOfCase(t, threeChips)
	ctx := browserOf(t)
	signIn(t, ctx, b.http.URL, b.token)
	written := consoleOf(ctx)
	look := func(name, path string) {
		t.Run(name, func(t *testing.T) {
			inspect(t, ctx, b.http.URL+path, string(checker))
			if lines := written.take(); len(lines) > 0 {
				t.Errorf("on the console: %s", strings.Join(lines, "\n"))
			}
		})
	}
	look("no trace", b.path+"/traces")
	look("no meter", "/meters")
	if answer := b.bring(t, "vt9-before.csv", example(t, "vt9-before.csv")); answer.StatusCode != http.StatusSeeOther {
		t.Fatal(answer.Status)
	}
	list, err := b.records.Traces(t.Context(), b.job)
	if err != nil {
		t.Fatal(err)
	}
	found := fmt.Sprintf("/traces/%d?channel=%s&limits=4.75..5.25+V&thermometer=case", list[0].ID, strings.NewReplacer("+", "%2B", " ", "+").Replace(list[0].Channels[0]))
	b.lookedThrough(t, found)
	look("traces", b.path+"/traces")
	look("a trace", found)
	meter := bench5V(t)
	b.instrument(t, "DMM on the rack", meter.address)
	b.instrument(t, "heatsink", "127.0.0.1:1 measure=temperature")
	look("meters", fmt.Sprintf("/meters?job=%d&place%d=TP1", b.job, b.meterID(t, "DMM on the rack")))
	look("programs", "/api")
}

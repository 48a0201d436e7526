package web

import (
	"bufio"
	"context"
	"fmt"
	"io"
	"net"
	"net/http"
	"net/http/httptest"
	"net/url"
	"strings"
	"sync/atomic"
	"testing"
	"time"
)

// request sends a request as a browser on this computer would, changed by edit.
func request(t *testing.T, server *httptest.Server, token, method, path string, body io.Reader, edit func(*http.Request)) *http.Response {
	t.Helper()
	r, err := http.NewRequestWithContext(t.Context(), method, server.URL+path, body)
	if err != nil {
		t.Fatal(err)
	}
	r.Header.Set("Sec-Fetch-Site", "same-origin")
	r.Header.Set("Sec-Fetch-Mode", "navigate")
	if method == http.MethodPost {
		r.Header.Set("Origin", server.URL)
		r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
	}
	if token != "" {
		r.AddCookie(&http.Cookie{Name: tokenCookie, Value: token})
	}
	if edit != nil {
		edit(r)
	}
	client := &http.Client{CheckRedirect: func(*http.Request, []*http.Request) error { return http.ErrUseLastResponse }}
	answer, err := client.Do(r)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { answer.Body.Close() })
	return answer
}

func bodyOf(t *testing.T, answer *http.Response) string {
	t.Helper()
	b, err := io.ReadAll(answer.Body)
	if err != nil {
		t.Fatal(err)
	}
	return string(b)
}

func TestAttacks(t *testing.T) {
	_, server, token := benchOf(t, Options{})
	for _, attack := range []struct {
		name, method, path, body string
		edit                     func(*http.Request)
		token                    string
		want                     int
	}{
		{name: "the owner", method: "GET", path: "/settings/devices", token: token, want: 200},
		{name: "nobody", method: "GET", path: "/settings/devices", want: 401},
		{name: "nobody, a path that is not there", method: "GET", path: "/no/such", want: 401},
		{name: "a made-up token", method: "GET", path: "/settings/devices", token: secret(), want: 401},
		{name: "rebinding: a name of the attacker's that points here", method: "GET", path: "/", token: token, want: 421,
			edit: func(r *http.Request) { r.Host = "bench.attacker.example:8765" }},
		{name: "rebinding: an address that is not ours", method: "GET", path: "/", token: token, want: 421,
			edit: func(r *http.Request) { r.Host = "203.0.113.9:8765" }},
		{name: "rebinding: localhost within another name", method: "GET", path: "/", token: token, want: 421,
			edit: func(r *http.Request) { r.Host = "localhost.attacker.example" }},
		{name: "rebinding, of the files that need no token", method: "GET", path: "/static/bench.css", want: 421,
			edit: func(r *http.Request) { r.Host = "attacker.example" }},
		{name: "the owner by name", method: "GET", path: "/", token: token, want: 200,
			edit: func(r *http.Request) { r.Host = "localhost:" + r.URL.Port() }},
		{name: "a form on another site", method: "POST", path: "/settings/devices/code", token: token, want: 403,
			edit: func(r *http.Request) {
				r.Header.Set("Origin", "https://attacker.example")
				r.Header.Set("Sec-Fetch-Site", "cross-site")
			}},
		{name: "a form on another site, in a browser that tells the origin alone", method: "POST", path: "/settings/devices/code", token: token, want: 403,
			edit: func(r *http.Request) {
				r.Header.Set("Origin", "https://attacker.example")
				r.Header.Del("Sec-Fetch-Site")
			}},
		{name: "a form in a sandboxed frame", method: "POST", path: "/settings/devices/code", token: token, want: 403,
			edit: func(r *http.Request) { r.Header.Set("Origin", "null") }},
		{name: "a form on another port of this computer", method: "POST", path: "/settings/devices/code", token: token, want: 403,
			edit: func(r *http.Request) {
				r.Header.Set("Origin", "http://127.0.0.1:3000")
				r.Header.Set("Sec-Fetch-Site", "same-site")
			}},
		{name: "a form that does not say where it comes from", method: "POST", path: "/settings/devices/code", token: token, want: 403,
			edit: func(r *http.Request) {
				r.Header.Del("Origin")
				r.Header.Del("Sec-Fetch-Site")
			}},
		{name: "a picture on another site that points here", method: "GET", path: "/settings/devices", token: token, want: 403,
			edit: func(r *http.Request) {
				r.Header.Set("Sec-Fetch-Site", "cross-site")
				r.Header.Set("Sec-Fetch-Mode", "no-cors")
			}},
		{name: "a script on another site", method: "GET", path: "/settings/devices", token: token, want: 403,
			edit: func(r *http.Request) { r.Header.Set("Origin", "https://attacker.example") }},
		{name: "an oversized body", method: "POST", path: "/pair", body: "name=" + strings.Repeat("x", bodyLimit+1), want: 413},
		{name: "a path out of the files", method: "GET", path: "/static/../server.go", want: 401},
		{name: "a path out of the files, encoded", method: "GET", path: "/static/%2e%2e%2fassets.go", want: 404},
		{name: "a path out of the files, encoded twice", method: "GET", path: "/static/..%252fassets.go", want: 404},
		{name: "a path of the machine", method: "GET", path: "/static//etc/passwd", want: 404},
		{name: "the folder of the files", method: "GET", path: "/static/", want: 404},
		{name: "a made-up link", method: "GET", path: "/enter?key=" + secret(), want: 403},
		{name: "a made-up code", method: "GET", path: "/pair?code=" + secret(), want: 403},
	} {
		t.Run(attack.name, func(t *testing.T) {
			answer := request(t, server, attack.token, attack.method, attack.path, strings.NewReader(attack.body), attack.edit)
			for answer.StatusCode == http.StatusTemporaryRedirect || answer.StatusCode == http.StatusMovedPermanently {
				answer = request(t, server, attack.token, attack.method, answer.Header.Get("Location"), nil, attack.edit) // a path made clean
			}
			if answer.StatusCode != attack.want {
				t.Errorf("answered %s, want %d", answer.Status, attack.want)
			}
			for header, want := range map[string]string{"Content-Security-Policy": policy, "X-Content-Type-Options": "nosniff", "Referrer-Policy": "no-referrer", "X-Frame-Options": "DENY"} {
				if got := answer.Header.Get(header); got != want {
					t.Errorf("%s is %q, want %q", header, got, want)
				}
			}
		})
	}
}

func TestCookieCannotBeReadOrSentFromElsewhere(t *testing.T) {
	s, server, _ := benchOf(t, Options{})
	answer := request(t, server, "", "GET", s.Enter(), nil, nil)
	if answer.StatusCode != http.StatusOK || len(answer.Cookies()) != 1 {
		t.Fatalf("the link answers %s with %d cookies", answer.Status, len(answer.Cookies()))
	}
	cookie := answer.Cookies()[0]
	if !cookie.HttpOnly || cookie.SameSite != http.SameSiteStrictMode {
		t.Errorf("the cookie is %v; want HttpOnly and SameSite=Strict", cookie)
	}
	list, err := s.devices.Devices(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	for _, d := range list {
		if strings.Contains(fmt.Sprint(d), cookie.Value) {
			t.Errorf("device %s keeps the token itself", d.Name)
		}
	}
}

// handClock is a clock that a test moves while the bench is running.
type handClock struct{ nanoseconds atomic.Int64 }

func clockAt(t time.Time) *handClock {
	c := &handClock{}
	c.nanoseconds.Store(t.UnixNano())
	return c
}

func (c *handClock) read() time.Time { return time.Unix(0, c.nanoseconds.Load()) }

func (c *handClock) pass(d time.Duration) { c.nanoseconds.Add(int64(d)) }

// A phone is paired once by a code, may be shut out, and cannot pair others.
func TestPairing(t *testing.T) {
	now := clockAt(time.Date(1981, 9, 3, 12, 0, 0, 0, time.UTC))
	s, server, desktop := benchOf(t, Options{Now: now.read, Phones: func() []string { return []string{"http://192.168.1.7:8765"} }})
	shown := request(t, server, desktop, "POST", "/settings/devices/code", nil, nil)
	if text := bodyOf(t, shown); shown.StatusCode != 200 || !strings.Contains(text, "<path class=\"ink\"") {
		t.Fatalf("no code is shown: %s", shown.Status)
	}
	pair := func(code, name string) *http.Response {
		return request(t, server, "", "POST", "/pair", strings.NewReader(url.Values{"code": {code}, "name": {name}}.Encode()), nil)
	}
	old := s.door.offer(false, now.read().Add(codeFor))
	code := s.door.offer(false, now.read().Add(codeFor))
	if answer := pair(old, "Phone"); answer.StatusCode != 403 {
		t.Errorf("a code that is no longer shown answers %s, want 403", answer.Status)
	}
	if answer := pair(code, ""); answer.StatusCode != 422 || !strings.Contains(bodyOf(t, answer), "Give it a name") {
		t.Errorf("without a name: %s, want 422 with advice", answer.Status)
	}
	answer := pair(code, "Phone of Maren")
	if answer.StatusCode != 303 {
		t.Fatalf("pairing answers %s, want 303", answer.Status)
	}
	if again := pair(code, "Another"); again.StatusCode != 403 {
		t.Errorf("a used code answers %s, want 403", again.Status)
	}
	phone := answer.Cookies()[len(answer.Cookies())-1].Value
	for _, c := range answer.Cookies() {
		if c.Name == tokenCookie {
			phone = c.Value
		}
	}
	if seen := request(t, server, phone, "GET", "/", nil, nil); seen.StatusCode != 200 {
		t.Errorf("the phone sees %s, want 200", seen.Status)
	}
	elsewhere := httptest.NewRequest("POST", "http://localhost/settings/devices/code", nil)
	elsewhere.RemoteAddr = "192.168.1.20:50000"
	elsewhere.Header.Set("Origin", "http://localhost")
	elsewhere.AddCookie(&http.Cookie{Name: tokenCookie, Value: phone})
	refused := httptest.NewRecorder()
	if s.Handler().ServeHTTP(refused, elsewhere); refused.Code != 403 {
		t.Errorf("a phone that pairs others: %d, want 403", refused.Code)
	}
	behind := elsewhere.Clone(t.Context())
	behind.RemoteAddr, behind.Host = "127.0.0.1:50000", "bench.lan"
	behind.Header.Set("Origin", "https://bench.lan")
	s.hosts.names = []string{"bench.lan"}
	refused = httptest.NewRecorder()
	if s.Handler().ServeHTTP(refused, behind); refused.Code != 403 {
		t.Errorf("a phone behind a proxy that pairs others: %d, want 403", refused.Code)
	}
	late := s.door.offer(false, now.read().Add(codeFor))
	now.pass(codeFor)
	if answer := pair(late, "Late"); answer.StatusCode != 403 {
		t.Errorf("a code after five minutes answers %s, want 403", answer.Status)
	}
	list, err := s.devices.Devices(t.Context())
	if err != nil || len(list) != 2 || list[1].Name != "Phone of Maren" {
		t.Fatalf("devices are %v, %v; want the desktop and the phone", list, err)
	}
	if answer := request(t, server, desktop, "POST", fmt.Sprintf("/settings/devices/%d/revoke", list[1].ID), nil, nil); answer.StatusCode != 303 {
		t.Errorf("shutting out answers %s, want 303", answer.Status)
	}
	if seen := request(t, server, phone, "GET", "/", nil, nil); seen.StatusCode != 401 {
		t.Errorf("the phone that was shut out sees %s, want 401", seen.Status)
	}
}

func TestGuessingIsSlow(t *testing.T) {
	_, server, _ := benchOf(t, Options{})
	refused := 0
	for range 20 {
		if request(t, server, "", "GET", "/pair?code="+secret(), nil, nil).StatusCode == http.StatusTooManyRequests {
			refused++
		}
	}
	if refused < 9 {
		t.Errorf("of 20 guesses at once %d were refused as too many, want 9 or 10", refused)
	}
}

func TestRateOfOneClient(t *testing.T) {
	now := time.Unix(0, 0)
	m := newMeter(func() time.Time { return now }, 3, 2)
	for i, want := range []bool{true, true, true, false} {
		if got := m.take("a"); got != want {
			t.Errorf("request %d: %t, want %t", i+1, got, want)
		}
	}
	if !m.take("b") {
		t.Error("another client is held up too")
	}
	now = now.Add(500 * time.Millisecond)
	if !m.take("a") || m.take("a") {
		t.Error("after half a second at two a second just one more is to pass")
	}
	for i := range 5000 {
		m.take(fmt.Sprint(i))
		now = now.Add(time.Second)
	}
	if len(m.clients) > 1100 {
		t.Errorf("%d clients are remembered; those that have rested are to be forgotten", len(m.clients))
	}
}

// A client that sends its request a byte at a time is cut off, and others are
// served meanwhile.
func TestSlowClient(t *testing.T) {
	s := New(Options{})
	on, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	ctx, stop := context.WithCancel(t.Context())
	ended := make(chan error, 1)
	go func() { ended <- s.Serve(ctx, on) }()
	slow, err := net.Dial("tcp", on.Addr().String())
	if err != nil {
		t.Fatal(err)
	}
	defer slow.Close()
	start := time.Now()
	go func() {
		for _, b := range []byte("GET / HTTP/1.1\r\nHost: localhost\r\nX-Slow: " + strings.Repeat("y", 100)) {
			if _, err := slow.Write([]byte{b}); err != nil {
				return
			}
			time.Sleep(200 * time.Millisecond)
		}
	}()
	quick, err := http.Get("http://" + on.Addr().String() + "/")
	if err != nil {
		t.Fatal(err)
	}
	quick.Body.Close()
	slow.SetReadDeadline(time.Now().Add(15 * time.Second))
	line, err := bufio.NewReader(slow).ReadString('\n')
	if took := time.Since(start); took > 9*time.Second || strings.Contains(line, "200") {
		t.Errorf("after %v the slow client was answered %q, %v; it is to be cut off after 5 s", took, line, err)
	}
	stop()
	if err := <-ended; err != nil {
		t.Errorf("the server ended with %v", err)
	}
}

func TestPanicIsAnAnswer(t *testing.T) {
	s := New(Options{})
	w := httptest.NewRecorder()
	s.recorded(http.HandlerFunc(func(http.ResponseWriter, *http.Request) { panic("a mistake") })).ServeHTTP(w, httptest.NewRequest("GET", "/", nil))
	if w.Code != http.StatusInternalServerError || !strings.Contains(w.Body.String(), "The bench failed") {
		t.Errorf("a panic is answered %d", w.Code)
	}
}

// Screens that follow a topic are told of it, and of no other; they are let go
// when the server ends and when their device is shut out.
func TestLive(t *testing.T) {
	s, server, token := benchOf(t, Options{})
	answer := request(t, server, token, "GET", "/live?since=0&topic=job/12", nil, nil)
	lines := make(chan string, 100)
	go func() {
		defer close(lines)
		for in := bufio.NewScanner(answer.Body); in.Scan(); {
			if strings.HasPrefix(in.Text(), "data: ") {
				lines <- strings.TrimPrefix(in.Text(), "data: ")
			}
		}
	}()
	if got := <-lines; got != "" {
		t.Fatalf("the stream begins with %q", got)
	}
	if got := <-lines; got != "job/12" {
		t.Errorf("a screen from before the start is told %q, want job/12", got)
	}
	s.Hub().Publish("job/13")
	s.Hub().Publish("collection", "job/12")
	if got := <-lines; got != "job/12" {
		t.Errorf("told %q, want job/12", got)
	}
	for range 1000 {
		s.Hub().Publish("job/12") // never waits
	}
	if answer := request(t, server, "", "GET", "/live?since=0&topic=job/12", nil, nil); answer.StatusCode != 401 {
		t.Errorf("a stranger follows: %s", answer.Status)
	}
	if answer := request(t, server, token, "GET", "/live?since=0", nil, nil); answer.StatusCode != 400 {
		t.Errorf("no topic: %s, want 400", answer.Status)
	}
	close(s.stopping)
	for range lines { // until it ends
	}
}

package main

import (
	"bytes"
	"context"
	"io"
	"net/http"
	"net/http/cookiejar"
	"regexp"
	"strings"
	"sync"
	"testing"
	"time"
)

// said is what a command has printed so far.
type said struct {
	sync.Mutex
	bytes.Buffer
}

func (s *said) Write(b []byte) (int, error) {
	s.Lock()
	defer s.Unlock()
	return s.Buffer.Write(b)
}

func (s *said) text() string {
	s.Lock()
	defer s.Unlock()
	return s.String()
}

// The bench opens, lets a browser in by the printed link, once, and ends when it is
// told to.
func TestBenchOpens(t *testing.T) {
	ctx, stop := context.WithCancel(t.Context())
	var out, errs said
	ended := make(chan int, 1)
	go func() {
		ended <- run(ctx, []string{"bench", "--records", t.TempDir(), "--listen", "127.0.0.1:0"}, &out, &errs)
	}()
	link := ""
	for i := 0; link == ""; i++ {
		if link = regexp.MustCompile(`http://\S+/enter\?key=\S+`).FindString(out.text()); link == "" {
			if i == 600 {
				t.Fatalf("no link was printed: %s %s", out.text(), errs.text())
			}
			time.Sleep(50 * time.Millisecond)
		}
	}
	jar, err := cookiejar.New(nil)
	if err != nil {
		t.Fatal(err)
	}
	browser := &http.Client{Jar: jar}
	get := func(client *http.Client, at string) (int, string) {
		t.Helper()
		answer, err := client.Get(at)
		if err != nil {
			t.Fatal(err)
		}
		defer answer.Body.Close()
		text, err := io.ReadAll(answer.Body)
		if err != nil {
			t.Fatal(err)
		}
		return answer.StatusCode, string(text)
	}
	address, _, _ := strings.Cut(link, "/enter")
	if status, _ := get(http.DefaultClient, address); status != http.StatusUnauthorized {
		t.Errorf("without the link: %d, want 401", status)
	}
	if status, _ := get(browser, link); status != http.StatusOK {
		t.Errorf("the link answers %d", status)
	}
	if status, page := get(browser, address); status != http.StatusOK || !strings.Contains(page, "<h1>Today</h1>") {
		t.Errorf("the bench answers %d", status)
	}
	if status, _ := get(http.DefaultClient, link); status != http.StatusForbidden {
		t.Errorf("the link a second time: %d, want 403", status)
	}
	stop()
	if code := <-ended; code != 0 {
		t.Errorf("ended with %d: %s", code, errs.text())
	}
}

// An address that cannot be listened on is said with what would be right.
func TestBenchNowhere(t *testing.T) {
	var out, errs said
	if code := run(t.Context(), []string{"bench", "--records", t.TempDir(), "--listen", "not an address"}, &out, &errs); code != exitBadInput || !strings.Contains(errs.text(), "write an address and a free port") {
		t.Errorf("code %d: %s", code, errs.text())
	}
}

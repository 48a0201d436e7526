package web

import (
	"bufio"
	"context"
	"encoding/json"
	"fmt"
	"net/http"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"halfsplit/instrument/simulator"
	"halfsplit/internal/record"
)

// rackMeter is a simulated meter.
type rackMeter struct {
	address string
	volts   atomic.Int64 // in millivolts
	stop    func()       // pulls its plug
}

// bench5V serves a simulated meter whose leads are on 5 V.
func bench5V(t *testing.T) *rackMeter {
	t.Helper()
	m := &rackMeter{}
	m.volts.Store(5012)
	m.plugIn(t, "127.0.0.1:0")
	return m
}

func (m *rackMeter) plugIn(t *testing.T, address string) {
	t.Helper()
	ctx, stop := context.WithCancel(t.Context())
	t.Cleanup(stop)
	meter := &simulator.Meter{Identity: "Tarn,bench meter,0,0", Source: func(string) float64 { return float64(m.volts.Load()) / 1000 }}
	var wait func()
	var err error
	if m.address, wait, err = meter.Listen(ctx, address); err != nil {
		t.Fatal(err)
	}
	m.stop = func() {
		stop()
		wait()
	}
}

func (b *jobBench) instrument(t *testing.T, name, address string) record.ID {
	t.Helper()
	one := &record.Instrument{Name: name, Address: address, Line: "{like: bench 6½-digit multimeter}"}
	if err := b.records.SaveInstrument(t.Context(), one); err != nil {
		t.Fatal(err)
	}
	return one.ID
}

func (b *jobBench) meterID(t *testing.T, name string) record.ID {
	t.Helper()
	list, err := b.records.Instruments(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	for _, i := range list {
		if i.Name == name {
			return i.ID
		}
	}
	t.Fatalf("there is no instrument %s", name)
	return 0
}

// shows follows the stream of the meters and waits for words in a part of it.
func shows(t *testing.T, lines *bufio.Scanner, part string, words ...string) string {
	t.Helper()
	last := ""
	for end := time.Now().Add(40 * time.Second); time.Now().Before(end) && lines.Scan(); {
		text, ok := strings.CutPrefix(lines.Text(), "data: ")
		if !ok {
			continue
		}
		var event struct{ Part, HTML string }
		if err := json.Unmarshal([]byte(text), &event); err != nil {
			t.Fatalf("%q: %v", text, err)
		}
		if event.Part != part {
			continue
		}
		last = event.HTML
		all := true
		for _, w := range words {
			all = all && strings.Contains(last, w)
		}
		if all {
			return last
		}
	}
	t.Fatalf("%s never shows %q; last was %s", part, words, last)
	return ""
}

// A meter is read while it is looked at, held to a test point, written into the
// logbook, unplugged and plugged in again, and let go when nobody looks.
func TestLiveMeter(t *testing.T) {
	b := benchOfCase(t, threeChips)
	meter := bench5V(t)
	id := b.instrument(t, "rack", meter.address)
	held := fmt.Sprintf("job=%d&place%d=TP1", b.job, id)
	has(t, b.get(t, "/meters?"+held), "rack", "Write this reading", "/meters/live?"+strings.ReplaceAll(held, "&", "&amp;"))
	if n := b.meters.count(); n != 0 {
		t.Errorf("%d meters are read before somebody looks", n)
	}
	answer := request(t, b.http, b.token, "GET", "/meters/live?"+held, nil, nil)
	if kind := answer.Header.Get("Content-Type"); kind != "text/event-stream" {
		t.Fatalf("the stream is %s, %q", answer.Status, kind)
	}
	lines := bufio.NewScanner(answer.Body)
	part := fmt.Sprintf("meter-now-%d", id)
	html := shows(t, lines, part, "5.0120 V", "pass")
	reads := hiddenValues(strings.ReplaceAll(html, ` form="`+writeForm(id)+`"`, ""), "reads")
	if len(reads) != 1 || reads[0] != "5.0120 V" {
		t.Fatalf("what would be written is %q", reads)
	}
	before := len(b.log(t))
	for range 2 {
		if status, _, page := b.post(t, fmt.Sprintf("/meters/%d/write", id), "job", fmt.Sprint(b.job), fmt.Sprintf("place%d", id), "TP1", "reads", reads[0], "key", "one-reading"); status != http.StatusSeeOther {
			t.Fatalf("writing answers %d:\n%s", status, page)
		}
	}
	log := b.log(t)
	if last := log[len(log)-1]; len(log) != before+1 || last.Verb != "measure" || last.Instrument != id || !strings.Contains(last.Line, "5.0120 V") || !strings.Contains(last.Line, "TP1") {
		t.Errorf("%d entries were written, the last is %+v", len(log)-before, last)
	}
	for _, wrong := range [][]string{{"reads", ""}, {"reads", "five"}, {"reads", "5 V", "job", ""}} {
		fields := append([]string{"key", "wrong-" + wrong[1]}, wrong...)
		if len(wrong) == 2 {
			fields = append(fields, "job", fmt.Sprint(b.job))
		}
		if status, _, _ := b.post(t, fmt.Sprintf("/meters/%d/write", id), append(fields, fmt.Sprintf("place%d", id), "TP1")...); status != http.StatusUnprocessableEntity || len(b.log(t)) != len(log) {
			t.Errorf("%v answers %d, want 422 and nothing written", wrong, status)
		}
	}
	meter.volts.Store(3300)
	shows(t, lines, part, "3.3000 V", "fail")
	meter.stop()
	shows(t, lines, part, "not connected", "tried again")
	meter.plugIn(t, meter.address)
	shows(t, lines, part, "3.3000 V", "fail")
	answer.Body.Close()
	for end := time.Now().Add(20 * time.Second); b.meters.count() != 0; time.Sleep(50 * time.Millisecond) {
		if time.Now().After(end) {
			t.Fatal("the meter is still read, though nobody looks")
		}
	}
}

// No more meters are read, and no more screens served, than the bench can; a
// stranger sees none.
func TestMetersAreBounded(t *testing.T) {
	b := benchOfCase(t, threeChips)
	one := record.Instrument{Name: "a", Address: "127.0.0.1:1"}
	var leave []func()
	for range lookersMost {
		_, done, err := b.meters.look(one, time.Now)
		if err != nil {
			t.Fatal(err)
		}
		leave = append(leave, done)
	}
	if n := b.meters.count(); n != 1 {
		t.Errorf("%d meters are read for %d screens that look at one", n, lookersMost)
	}
	if _, _, err := b.meters.look(one, time.Now); err != errTooMany {
		t.Errorf("one screen more: %v", err)
	}
	for _, done := range leave {
		done()
		done() // leaving twice is leaving once
	}
	for i := range metersMost - 1 {
		if _, _, err := b.meters.look(record.Instrument{Name: fmt.Sprint(i), Address: "127.0.0.1:1"}, time.Now); err != nil {
			t.Fatal(err)
		}
	}
	if _, _, err := b.meters.look(record.Instrument{Name: "another", Address: "127.0.0.1:1"}, time.Now); err != errTooMany {
		t.Errorf("one meter more: %v", err)
	}
	b.meters.close()
	if n := b.meters.count(); n != 0 {
		t.Errorf("%d meters are read after the end", n)
	}
	b.instrument(t, "broken", "COM1 measure=taste")
	has(t, b.get(t, "/meters"), "broken", "taste")
	if answer := request(t, b.http, b.token, "GET", "/meters/live", nil, nil); answer.StatusCode != http.StatusNoContent {
		t.Errorf("a stream of no meter that can be read: %s, want 204", answer.Status)
	}
	if answer := request(t, b.http, "", "GET", "/meters/live", nil, nil); answer.StatusCode != http.StatusUnauthorized {
		t.Errorf("a stranger: %s, want 401", answer.Status)
	}
}

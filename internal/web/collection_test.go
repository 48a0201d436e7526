package web

import (
	"context"
	"fmt"
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"
	"time"

	"halfsplit/internal/record"
)

// shelf is a bench with the records of the demo.
func shelf(t *testing.T) *jobBench {
	t.Helper()
	records, work := exampleRecords(t)
	s, server, token := benchOf(t, Options{Records: records, Bench: work})
	return &jobBench{s, server, records, work, token, 1, "/jobs/1"}
}

// says fails for each of the words that is not on the page.
func says(t *testing.T, page string, words ...string) {
	t.Helper()
	for _, w := range words {
		if !strings.Contains(page, w) {
			t.Errorf("the page does not say %q", w)
		}
	}
}

// A unit is taken in, changed, and refused where it cannot be right; what was
// typed stays in the form, and two screens do not overwrite each other.
func TestUnitForm(t *testing.T) {
	b := shelf(t)
	status, _, page := b.post(t, "/units", "model", "", "maker", "Hesk", "year", "12", "standing", "kept", "note", "<script>alert(1)</script>")
	if status != http.StatusUnprocessableEntity {
		t.Errorf("a unit without a model is answered with %d", status)
	}
	says(t, page, "Must be given.", "is no year of make", "Hesk", "&lt;script&gt;")
	if strings.Contains(page, "<script>alert") {
		t.Error("what was typed reached the page as a script")
	}
	status, to, _ := b.post(t, "/units", "model", "Solo", "maker", "Hesk", "standing", "kept", "mains_volts", "230 V",
		"fitted_name", "battery", "fitted_what", "battery", "fitted_marking", "nickel-cadmium", "fitted_date", "", "fitted_original", "original", "fitted_since", "1987", "fitted_note", "")
	if status != http.StatusSeeOther || !strings.HasPrefix(to, "/units/") {
		t.Fatalf("taking in a unit is answered with %d to %q", status, to)
	}
	says(t, b.get(t, to), "Hesk Solo", "SSA-0013", "nickel-cadmium", "230 V")
	says(t, b.get(t, "/collection?q=Solo"), "SSA-0013", "1 units")
	says(t, b.get(t, "/search?q=solo"), "SSA-0013")

	status, _, _ = b.post(t, to, "model", "Solo II", "maker", "Hesk", "standing", "kept", "revision", "1", "code", "SSA-0013")
	if status != http.StatusSeeOther {
		t.Errorf("changing it is answered with %d", status)
	}
	status, _, page = b.post(t, to, "model", "Solo III", "maker", "Hesk", "standing", "kept", "revision", "1", "code", "SSA-0013")
	if status != http.StatusUnprocessableEntity {
		t.Errorf("a second screen overwrites the first: %d", status)
	}
	says(t, page, "was changed elsewhere", "Solo III")

	for _, path := range []string{"/units/999", "/units/nix", "/units/0", "/units/999/edit"} {
		if answer := request(t, b.http, b.token, "GET", path, nil, nil); answer.StatusCode != http.StatusNotFound {
			t.Errorf("%s is answered with %s", path, answer.Status)
		}
	}
}

// Parts go into the drawer and out, needs are ordered and set aside.
func TestDrawer(t *testing.T) {
	b := shelf(t)
	if status, _, page := b.post(t, "/drawer/bins", "code", ""); status != http.StatusUnprocessableEntity {
		t.Errorf("a bin without a code: %d", status)
	} else {
		says(t, page, "Must be given.")
	}
	if status, _, _ := b.post(t, "/drawer/bins", "code", "box 9", "place", "window"); status != http.StatusSeeOther {
		t.Errorf("a new bin: %d", status)
	}
	if status, _, page := b.post(t, "/drawer/stock", "part", "10 uF 16 V tantalum", "count", "some", "price", "1.234"); status != http.StatusUnprocessableEntity {
		t.Errorf("some of a part: %d", status)
	} else {
		says(t, page, "Write how many as a whole number.", "is no amount of money")
	}
	if status, _, _ := b.post(t, "/drawer/stock", "part", "10 uF 16 V tantalum", "count", "1", "price", "0.80", "bin", "1"); status != http.StatusSeeOther {
		t.Errorf("a new part: %d", status)
	}
	says(t, b.get(t, "/drawer?q=tantalum"), "10 uF 16 V tantalum")
	list, err := b.records.Stocks(t.Context(), record.StockFilter{Text: "tantalum"})
	if err != nil || len(list.Items) != 1 {
		t.Fatal(list, err)
	}
	path := "/drawer/stock/" + fmt.Sprint(list.Items[0].ID)
	for _, by := range []string{"-1", "-1"} { // the second finds none
		b.post(t, path+"/count", "by", by)
	}
	if k, err := b.records.Stock(t.Context(), list.Items[0].ID); err != nil || k.Count != 0 {
		t.Errorf("there are %d left, %v", k.Count, err)
	}

	says(t, b.get(t, "/drawer/needs"), "quad operational amplifier", "wanted")
	needs, err := b.records.Needs(t.Context(), 0)
	if err != nil {
		t.Fatal(err)
	}
	var wanted []string
	for _, n := range needs {
		if n.Progress == record.Wanted {
			wanted = append(wanted, "need", fmt.Sprint(n.ID))
		}
	}
	if status, _, page := b.post(t, "/drawer/orders", "supplier", "Norbel"); status != http.StatusUnprocessableEntity {
		t.Errorf("an order of nothing: %d", status)
	} else {
		says(t, page, "Tick what is to be ordered.")
	}
	if status, _, _ := b.post(t, "/drawer/orders", append(wanted, "supplier", "Norbel")...); status != http.StatusSeeOther {
		t.Errorf("an order: %d", status)
	}
	says(t, b.get(t, "/drawer/orders"), "Norbel", "It has come")
	if status, _, _ := b.post(t, "/drawer/orders/1/arrived"); status != http.StatusSeeOther {
		t.Errorf("its arrival: %d", status)
	}
	needs, err = b.records.Needs(t.Context(), 0)
	if err != nil {
		t.Fatal(err)
	}
	for _, n := range needs {
		if n.Progress == record.Wanted || n.Progress == record.OnOrder {
			t.Errorf("%s is still %s", n.Part, n.Progress)
		}
	}
}

// Lists go out for spreadsheets, labels as PDF, what was learned as JSON and in
// from others; settings that cannot be right are told at their fields.
func TestFilesAndSettings(t *testing.T) {
	b := shelf(t)
	says(t, b.get(t, "/lists/units.csv?standing=kept"), "code,maker,model", "SSA-0001,Ostrel,VT-9")
	if answer := request(t, b.http, b.token, "GET", "/lists/passwords.csv", nil, nil); answer.StatusCode != http.StatusNotFound {
		t.Errorf("a list that is none: %s", answer.Status)
	}
	if page := b.get(t, "/labels?unit=1&unit=2&bin=1&skip=3"); !strings.HasPrefix(page, "%PDF") {
		t.Error("the labels are no PDF")
	}
	if answer := request(t, b.http, b.token, "GET", "/labels?unit=1&skip=99", nil, nil); answer.StatusCode != http.StatusUnprocessableEntity {
		t.Errorf("99 places to leave free: %s", answer.Status)
	}
	says(t, b.get(t, "/upkeep/learned.json"), `"experience"`)
	says(t, b.get(t, "/upkeep"), "Tarn 12", "can burn")
	says(t, b.get(t, "/"), "Saltmarsh Sound Archive", "handheld: calibration is due", "parts wanted")

	status, _, page := b.post(t, "/settings/workshop", "mains_volts", "12 V", "mains_hertz", "50 Hz", "temperature_celsius", "warm", "hours_per_day", "2", "revision", "2", "people", "Ines, Joost")
	if status != http.StatusUnprocessableEntity {
		t.Errorf("a mains of 12 V: %d", status)
	}
	says(t, page, "Write degrees Celsius as a number", "Ines, Joost")
	status, _, page = b.post(t, "/settings/instruments", "name", "new meter", "line", "{dc volts: quite good}")
	if status != http.StatusUnprocessableEntity {
		t.Errorf("an accuracy that cannot be read: %d", status)
	}
	says(t, page, "quite good")
	if status, _, _ := b.post(t, "/settings/instruments", "name", "new meter", "line", "{dc volts: 0.5 % + 2 digits}", "due", "2027"); status != http.StatusSeeOther {
		t.Errorf("a meter: %d", status)
	}
	says(t, b.get(t, "/settings/instruments"), "new meter", "0.5 % + 2 digits")
}

// Whoever leaves before the answer is made breaks nothing: the next one is
// answered.
func TestSomebodyLeaves(t *testing.T) {
	b := shelf(t)
	for _, path := range []string{"/", "/collection", "/upkeep", "/nothing", "/jobs/1", "/search?q=x"} {
		gone, leave := context.WithCancel(t.Context())
		leave()
		r := httptest.NewRequestWithContext(gone, "GET", b.http.URL+path, nil)
		r.AddCookie(&http.Cookie{Name: tokenCookie, Value: b.token})
		b.Handler().ServeHTTP(httptest.NewRecorder(), r)
	}
	says(t, b.get(t, "/collection"), "SSA-0001")
}

// When ranking takes long, the last ranks are shown while new ones are made, and
// screens are told when those are there.
func TestQueueBehindTheScreens(t *testing.T) {
	b := shelf(t)
	if _, _, err := b.ranked(t.Context()); err != nil {
		t.Fatal(err)
	}
	b.queue.mu.Lock()
	b.queue.took = time.Hour
	before := b.queue.change
	b.queue.mu.Unlock()
	if err := b.records.SaveUnit(t.Context(), &record.Unit{Model: "late", Standing: record.Kept}); err != nil {
		t.Fatal(err)
	}
	told, _ := b.Hub().follow([]string{"queue"}, b.Hub().At())
	places, _, err := b.ranked(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	select {
	case <-told.changed:
	case <-time.After(30 * time.Second):
		t.Fatal("no screen is told of the new ranks")
	}
	after, _, err := b.ranked(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	b.queue.mu.Lock()
	defer b.queue.mu.Unlock()
	if len(after) != len(places)+1 || b.queue.change == before {
		t.Errorf("%d places before, %d after a unit was taken in", len(places), len(after))
	}
}

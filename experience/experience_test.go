package experience_test

import (
	"bytes"
	"encoding/json"
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"halfsplit/experience"
	"halfsplit/fault"
)

type (
	key    = experience.Key
	count  = experience.Count
	record = experience.Record
)

// seen is a record of the bench "one".
func seen(id string, k key, age float64, failed, good int) record {
	return record{Bench: "one", ID: id, Revision: 1, Key: k, Age: experience.BandOf(age), Count: count{Failed: failed, Good: good}}
}

// Figures by hand, from (3 + failed) / (3 + usual): of logic chips three in a
// thousand are bad at forty years; the middle of 40-50 years makes it
// (45/40)^0.3 = 1.036 times as many.
func TestFactorByHand(t *testing.T) {
	chip := key{Kind: "chip"}
	for _, test := range []struct {
		name        string
		record      record
		usual, want float64
	}{
		{"age not known", seen("1", chip, -1, 1, 99), 0.3, 4 / 3.3},
		{"what is usual", seen("1", chip, -1, 3, 997), 3, 1},
		{"by part-years", record{Bench: "one", ID: "1", Revision: 1, Key: chip, Count: count{Years: 40_000}}, 3, 0.5},
		{"forty to fifty years old", seen("1", chip, 44, 0, 1000), 3 * math.Pow(1.125, 0.3), 3 / (3 + 3*math.Pow(1.125, 0.3))},
		{"replaced as a precaution counts as good", record{Bench: "one", ID: "1", Revision: 1, Key: chip, Count: count{Replaced: 1000}}, 3, 0.5},
	} {
		t.Run(test.name, func(t *testing.T) {
			e := estimate(t, chip, test.record)
			if math.Abs(e.Usual-test.usual) > 1e-9 || math.Abs(e.Factor-test.want) > 1e-9 {
				t.Errorf("usual %v, factor %v; want %v and %v", e.Usual, e.Factor, test.usual, test.want)
			}
			if !(e.Low < e.Factor && e.Factor < e.High) {
				t.Errorf("%v lies outside %v to %v", e.Factor, e.Low, e.High)
			}
		})
	}
}

// One failure of one part of a family that was never seen before: a family whose
// only part failed is suspected, not condemned.
func TestOneFailureDoesNotCondemnAFamily(t *testing.T) {
	family := key{Kind: "chip", Family: "new"}
	batch := key{Kind: "chip", Family: "new", Maker: "Aster", Batch: "8136"}
	if e := estimate(t, family, seen("1", family, 40, 1, 0)); e.Factor > 1.6 || e.Low > 1 {
		t.Errorf("%v: %v", family, e)
	}
	if e := estimate(t, batch, seen("1", batch, 40, 1, 0)); e.Factor > 2.5 || e.Low > 1 {
		t.Errorf("%v: %v", batch, e)
	}
}

// A batch that fails is suspect; its maker a little, and other families hardly,
// however often the bad batch is seen.
func TestOneBatchDoesNotCondemnTheKind(t *testing.T) {
	bad := key{Kind: "electrolytic", Family: "blue radial", Maker: "Norbel", Batch: "8136"}
	factors := map[string]float64{}
	for _, n := range []int{30, 3000} {
		book, err := experience.NewBook(seen("1", bad, 40, n/3, n-n/3), seen("2", key{Kind: "electrolytic", Family: "axial"}, 40, 2, 300))
		if err != nil {
			t.Fatal(err)
		}
		tally := book.Tally()
		for name, k := range map[string]key{
			"batch": bad, "other batch": {Kind: "electrolytic", Family: "blue radial", Maker: "Norbel", Batch: "8201"},
			"other maker": {Kind: "electrolytic", Family: "blue radial", Maker: "Tessin"}, "other family": {Kind: "electrolytic", Family: "axial"}, "kind": {Kind: "electrolytic"},
		} {
			factors[name] = tally.Factor(k)
		}
		for _, pair := range [][2]string{{"batch", "other batch"}, {"other batch", "other maker"}, {"other maker", "kind"}, {"kind", "other family"}} {
			if factors[pair[0]] <= factors[pair[1]] {
				t.Errorf("%d seen: %s %.2f, %s %.2f", n, pair[0], factors[pair[0]], pair[1], factors[pair[1]])
			}
		}
		if factors["other family"] > 1.8 || factors["batch"] < 5 {
			t.Errorf("%d seen: %v", n, factors)
		}
	}
}

// Where all that is known is of a kind as a whole, package fault comes to the same
// factor by itself from the same counts.
func TestFaultComesToTheSame(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		kinds := fault.Kinds()
		k := kinds[rapid.IntRange(0, len(kinds)-1).Draw(t, "kind")]
		book, err := experience.NewBook(seen("1", key{Kind: k.Name}, -1, rapid.IntRange(0, 30).Draw(t, "failed"), rapid.IntRange(1, 500).Draw(t, "good")))
		if err != nil {
			t.Fatal(err)
		}
		tally := book.Tally()
		odds, _ := k.OddsIn(fault.Life{Record: tally})
		if got := tally.Factor(key{Kind: k.Name}); math.Abs(odds/k.Odds-got) > 1e-9*got {
			t.Fatalf("factor %v here, %v there", got, odds/k.Odds)
		}
	})
}

// What fault asks is counted over all makers, or all families, where none is named.
func TestSeen(t *testing.T) {
	book, err := experience.NewBook(
		seen("1", key{Kind: "DRAM", Family: "4116", Maker: "Aster"}, 40, 3, 13), seen("2", key{Kind: "dynamic ram", Family: "4116", Maker: "Boreal", Batch: "8220"}, 40, 1, 15),
		seen("3", key{Kind: "dynamic ram", Family: "4164", Maker: "aster "}, 40, 0, 8), seen("4", key{Kind: "dynamic ram"}, 40, 1, 1))
	if err != nil {
		t.Fatal(err)
	}
	for _, test := range []struct {
		kind, family, maker string
		failed, good        int
	}{
		{"dynamic ram", "", "", 5, 37}, {"dynamic ram", "4116", "", 4, 28}, {"dynamic ram", "4116", "Aster", 3, 13}, {"dynamic ram", "", "Aster", 3, 21},
		{"dynamic ram", "4116", "nobody", 0, 0}, {"chip", "", "", 0, 0},
	} {
		if failed, good := book.Tally().Seen(test.kind, test.family, test.maker); failed != test.failed || good != test.good {
			t.Errorf("%s %s %s: %d failed and %d good, want %d and %d", test.kind, test.family, test.maker, failed, good, test.failed, test.good)
		}
	}
}

// A correction counts in place of what it corrects; a record that was altered
// instead is told of, and a correction settles it.
func TestCorrections(t *testing.T) {
	first := seen("7", key{Kind: "tantalum"}, 40, 5, 0)
	altered, corrected, withdrawn := first, first, first
	altered.Failed, corrected.Failed, corrected.Revision, withdrawn.Count, withdrawn.Revision = 6, 1, 2, count{}, 3
	for _, test := range []struct {
		name      string
		records   []record
		failed    int
		conflicts int
	}{
		{"as written", []record{first}, 5, 0},
		{"the same twice", []record{first, first}, 5, 0},
		{"altered", []record{altered, first}, 5, 1},
		{"corrected", []record{corrected, first}, 1, 0},
		{"altered, then corrected", []record{first, altered, corrected}, 1, 0},
		{"withdrawn", []record{corrected, withdrawn, first}, 0, 0},
	} {
		book, err := experience.NewBook(test.records...)
		if err != nil {
			t.Fatal(err)
		}
		counted, conflicts := book.Counted()
		if len(counted) != 1 || counted[0].Failed != test.failed || len(conflicts) != test.conflicts {
			t.Errorf("%s: counted %v, conflicts %v", test.name, counted, conflicts)
		}
	}
}

// anyRecord draws a record of few names, so that records meet.
func anyRecord(t *rapid.T) record {
	name := func(label string) string {
		return rapid.SampledFrom([]string{"", "a", "B ", "74LS157", "blå"}).Draw(t, label)
	}
	return record{
		Bench: rapid.SampledFrom([]string{"one", "two"}).Draw(t, "bench"), ID: rapid.SampledFrom([]string{"1", "2", "3", "4", "5"}).Draw(t, "id"), Revision: rapid.IntRange(1, 3).Draw(t, "revision"),
		Key: key{rapid.SampledFrom([]string{"chip", "DRAM", "tantalum"}).Draw(t, "kind"), name("family"), name("maker"), name("batch")},
		Age: experience.Band(rapid.IntRange(0, 20).Draw(t, "age")),
		Count: count{Failed: rapid.IntRange(0, 9).Draw(t, "failed"), Good: rapid.IntRange(1, 99).Draw(t, "good"), Replaced: rapid.IntRange(0, 9).Draw(t, "replaced"),
			Years: rapid.Float64Range(0, 1e4).Draw(t, "years")},
	}
}

func anyBook(t *rapid.T, label string) *experience.Book {
	book, err := experience.NewBook(rapid.SliceOfN(rapid.Custom(anyRecord), 0, 12).Draw(t, label)...)
	if err != nil {
		t.Fatal(err)
	}
	return book
}

// Books may be laid together in any order and as often as one likes; every record
// of every one is in the whole, once, and none that was in none.
func TestMerge(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a, b, c := anyBook(t, "a"), anyBook(t, "b"), anyBook(t, "c")
		whole := experience.Merge(a, b, c)
		for name, other := range map[string]*experience.Book{
			"another order": experience.Merge(c, a, b), "two first": experience.Merge(experience.Merge(a, b), c), "two last": experience.Merge(a, experience.Merge(b, c)),
			"one twice": experience.Merge(a, b, a, c, b), "the whole again": experience.Merge(experience.Merge(a, b, c), b, nil),
		} {
			if diff := cmp.Diff(whole.Records(), other.Records()); diff != "" {
				t.Fatalf("%s: %s", name, diff)
			}
			for _, k := range whole.Tally().Sorts() {
				if f, g := whole.Tally().Factor(k), other.Tally().Factor(k); f != g {
					t.Fatalf("%s: %v has the factor %v or %v", name, k, f, g)
				}
			}
		}
		there := map[record]bool{}
		for _, book := range []*experience.Book{a, b, c} {
			for _, r := range book.Records() {
				there[r] = true
				if !slices.Contains(whole.Records(), r) {
					t.Fatalf("%v was lost", r)
				}
			}
		}
		if whole.Len() != len(there) {
			t.Fatalf("%d records of %d", whole.Len(), len(there))
		}
		counted, _ := whole.Counted()
		ids := map[[2]string]bool{}
		var all count
		for _, r := range counted {
			if at := [2]string{r.Bench, r.ID}; ids[at] {
				t.Fatalf("%v is counted twice", at)
			} else {
				ids[at] = true
			}
			all = all.Plus(r.Count)
		}
		// What is counted of all kinds together is what the records say.
		var kinds count
		for _, name := range []string{"chip", "dynamic ram", "tantalum"} {
			if e, err := whole.Tally().Estimate(key{Kind: name}); err != nil {
				t.Fatal(err)
			} else {
				kinds = kinds.Plus(e.Count)
			}
		}
		if kinds.Seen() != all.Seen() || kinds.Failed != all.Failed || math.Abs(kinds.Years-all.Years) > 1e-9*all.Years {
			t.Fatalf("the kinds have %+v, the records %+v", kinds, all)
		}
	})
}

// One failure more makes a sort, and those above it, more suspect; one good part
// more makes them less so.
func TestMoreFailuresMoreSuspect(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		book := anyBook(t, "book")
		k := key{Kind: "chip", Family: "a", Maker: "b", Batch: rapid.SampledFrom([]string{"", "a"}).Draw(t, "batch")}
		worse := experience.Merge(book)
		better := experience.Merge(book)
		if err := worse.Add(record{Bench: "three", ID: "1", Revision: 1, Key: k, Count: count{Failed: 1}}); err != nil {
			t.Fatal(err)
		}
		if err := better.Add(record{Bench: "three", ID: "1", Revision: 1, Key: k, Count: count{Good: 50}}); err != nil {
			t.Fatal(err)
		}
		before, bad, good := book.Tally().Factor(k), worse.Tally().Factor(k), better.Tally().Factor(k)
		if !(good < before && before < bad) {
			t.Fatalf("%v before, %v after a failure, %v after fifty good ones", before, bad, good)
		}
	})
}

// A book read back is the book that was written.
func TestRoundTrip(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		book := anyBook(t, "book")
		text, err := json.Marshal(book)
		if err != nil {
			t.Fatal(err)
		}
		back, err := experience.Parse("book.json", text)
		if err != nil {
			t.Fatalf("%v\n%s", err, text)
		}
		if diff := cmp.Diff(book.Records(), back.Records()); diff != "" {
			t.Fatal(diff)
		}
		var spread bytes.Buffer // as a person would lay it out
		if err := json.Indent(&spread, text, "", "  "); err != nil {
			t.Fatal(err)
		}
		if back, err = experience.Parse("book.json", spread.Bytes()); err != nil {
			t.Fatalf("%v\n%s", err, &spread)
		}
		if diff := cmp.Diff(book.Records(), back.Records()); diff != "" {
			t.Fatal(diff)
		}
	})
}

// What was seen of chips of two ages is set beside what is usual at each.
func TestAges(t *testing.T) {
	family := key{Kind: "chip", Family: "a"}
	book, err := experience.NewBook(seen("1", family, 44, 1, 9), seen("2", key{Kind: "chip", Family: "A", Maker: "b"}, 48, 0, 10), seen("3", family, 12, 0, 5), seen("4", key{Kind: "chip"}, 44, 9, 9))
	if err != nil {
		t.Fatal(err)
	}
	got := book.Tally().Ages(family)
	if len(got) != 2 || got[0].Age.String() != "10-20" || got[0].Seen() != 5 || got[1].Age.String() != "40-50" || got[1].Seen() != 20 || got[1].Failed != 1 {
		t.Fatalf("%+v", got)
	}
	if want := 20 * 0.003 * math.Pow(45.0/40, 0.3); math.Abs(got[1].Usual-want) > 1e-9 {
		t.Errorf("usual %v, want %v", got[1].Usual, want)
	}
}

func TestRefusals(t *testing.T) {
	const record = `{"bench": "one", "id": "1", "revision": 1, "kind": "chip", "good": 3}`
	for _, test := range []struct{ name, text, want string }{
		{"empty", ``, "experience"},
		{"other version", `{"experience": 2, "records": [` + record + `]}`, "version 2"},
		{"unknown key", `{"experience": 1, "records": [{"bench": "one", "id": "1", "revision": 1, "kind": "chip", "god": 3}]}`, "good"},
		{"key twice", `{"experience": 1, "records": [{"bench": "one", "bench": "two", "id": "1", "revision": 1, "kind": "chip", "good": 3}]}`, "given twice"},
		{"no kind", `{"experience": 1, "records": [{"bench": "one", "id": "1", "revision": 1, "good": 3}]}`, "kind"},
		{"kind misspelt", `{"experience": 1, "records": [{"bench": "one", "id": "1", "revision": 1, "kind": "tantalm", "good": 3}]}`, "tantalum"},
		{"negative", `{"experience": 1, "records": [{"bench": "one", "id": "1", "revision": 1, "kind": "chip", "good": -3}]}`, "-3 good"},
		{"half a part", `{"experience": 1, "records": [{"bench": "one", "id": "1", "revision": 1, "kind": "chip", "good": 0.5}]}`, "0.5"},
		{"age", `{"experience": 1, "records": [{"bench": "one", "id": "1", "revision": 1, "kind": "chip", "good": 3, "age": "44"}]}`, "40-50"},
		{"nothing counted", `{"experience": 1, "records": [{"bench": "one", "id": "1", "revision": 1, "kind": "chip"}]}`, "counts nothing"},
		{"revision", `{"experience": 1, "records": [{"bench": "one", "id": "1", "revision": 0, "kind": "chip", "good": 1}]}`, "the first is 1"},
		{"years", `{"experience": 1, "records": [{"bench": "one", "id": "1", "revision": 1, "kind": "chip", "years": -1}]}`, "-1 years"},
		{"no bench", `{"experience": 1, "records": [{"bench": " ", "id": "1", "revision": 1, "kind": "chip", "good": 1}]}`, "bench"},
		{"two texts", `{"experience": 1, "records": [` + record + `]} {}`, "1:"},
	} {
		t.Run(test.name, func(t *testing.T) {
			if _, err := experience.Parse("book.json", []byte(test.text)); err == nil || !strings.Contains(err.Error(), test.want) {
				t.Errorf("%v, want %q", err, test.want)
			}
		})
	}
	tally := (&experience.Book{}).Tally()
	if _, err := tally.Estimate(key{Kind: "resistr"}); err == nil || !strings.Contains(err.Error(), "resistor") {
		t.Error(err)
	}
	if got := tally.Factor(key{Kind: "resistr"}); got != 1 {
		t.Error(got)
	}
}

// Whatever is read is written again, and read again as the same.
func FuzzParse(f *testing.F) {
	f.Add([]byte(`{"experience": 1, "records": [{"bench": "one", "id": "1", "revision": 1, "kind": "chip", "family": "74LS157", "age": "40-50", "failed": 1, "good": 15, "years": 704}]}`))
	f.Add([]byte("experience: 1\nrecords:\n  - {bench: Saltmarsh, id: job 17, revision: 2, kind: electrolytic, batch: 8136, replaced: 3, years: 1e2}\n"))
	f.Add([]byte(`{"experience": 1, "records": []}`))
	f.Add([]byte(`{"experience": 1, "records": [{"bench": "\u00e9<", "id": "\"", "revision": 1, "kind": "dram", "years": 0.0000001}]}`))
	f.Fuzz(func(t *testing.T, text []byte) {
		book, err := experience.Parse("book.json", text)
		if err != nil {
			return
		}
		written, err := json.Marshal(book)
		if err != nil {
			t.Fatal(err)
		}
		back, err := experience.Parse("again.json", written)
		if err != nil {
			t.Fatalf("%v\n%s", err, written)
		}
		again, err := json.Marshal(back)
		if err != nil || !bytes.Equal(written, again) {
			t.Fatalf("%s\n%s, %v", written, again, err)
		}
		book.Tally()
	})
}

func ExampleEstimate() {
	book, _ := experience.NewBook(experience.Record{Bench: "Saltmarsh Sound Archive", ID: "until 2026", Revision: 1,
		Key: experience.Key{Kind: "electrolytic"}, Count: experience.Count{Failed: 3, Good: 38, Years: 2310}})
	e, _ := book.Tally().Estimate(experience.Key{Kind: "electrolytic"})
	fmt.Println(e)
	// Output: 3 failed of 41 seen, of 2,310 part-years; usual 0.4; so 1.8 times as likely as usual (0.8 to 3.1, 90 %)
}

// Two workshops lay their counts together.
func Example() {
	saltmarsh, _ := experience.Parse("saltmarsh.json", []byte(`{"experience": 1, "records": [
		{"bench": "Saltmarsh Sound Archive", "id": "job 17", "revision": 1, "kind": "electrolytic", "family": "blue radial", "maker": "Norbel", "batch": "8136", "age": "40-50", "failed": 2, "good": 9, "years": 484},
		{"bench": "Saltmarsh Sound Archive", "id": "job 21", "revision": 1, "kind": "electrolytic", "family": "blue radial", "maker": "Norbel", "batch": "8240", "age": "40-50", "good": 20, "replaced": 4, "years": 1032},
		{"bench": "Saltmarsh Sound Archive", "id": "job 22", "revision": 1, "kind": "electrolytic", "family": "axial", "age": "40-50", "failed": 1, "good": 46, "years": 2068}]}`))
	other, _ := experience.NewBook(experience.Record{Bench: "Tideway Museum", ID: "2031-4", Revision: 1, Age: experience.BandOf(48),
		Key: experience.Key{Kind: "electrolytic", Family: "blue radial", Maker: "Norbel", Batch: "8136"}, Count: experience.Count{Failed: 1, Good: 5, Years: 288}})
	tally := experience.Merge(saltmarsh, other, saltmarsh).Tally()
	for _, k := range tally.Sorts() {
		e, _ := tally.Estimate(k)
		fmt.Printf("%v:\n  %v\n", k, e)
	}
	// Output:
	// electrolytic:
	//   4 failed of 88 seen, of 3,872 part-years; usual 0.8; so 1.7 times as likely as usual (0.8 to 3.0, 90 %)
	// electrolytic, blue radial:
	//   3 failed of 41 seen, of 1,804 part-years; usual 0.4; so 2.2 times as likely as usual (0.9 to 4.1, 90 %)
	// electrolytic, blue radial, Norbel:
	//   3 failed of 41 seen, of 1,804 part-years; usual 0.4; so 2.8 times as likely as usual (1.0 to 5.3, 90 %)
	// electrolytic, blue radial, Norbel, batch 8136:
	//   3 failed of 17 seen, of 772 part-years; usual 0.2; so 3.5 times as likely as usual (1.2 to 6.7, 90 %)
	// electrolytic, blue radial, Norbel, batch 8240:
	//   0 failed of 24 seen, of 1,032 part-years; usual 0.2; so 2.5 times as likely as usual (0.5 to 5.6, 90 %)
	// electrolytic, axial:
	//   1 failed of 47 seen, of 2,068 part-years; usual 0.4; so 1.8 times as likely as usual (0.6 to 3.6, 90 %)
}

func ExampleTally_Seen() {
	book, _ := experience.NewBook(experience.Record{Bench: "Saltmarsh Sound Archive", ID: "job 17", Revision: 1,
		Key: experience.Key{Kind: "dynamic ram", Family: "4116"}, Count: experience.Count{Failed: 4, Good: 28}})
	ram, _ := fault.Find("dynamic ram")
	odds, why := ram.OddsIn(fault.Life{Family: "4116", Record: book.Tally()})
	fmt.Printf("%.1f times a logic chip, %.0f by itself\n", odds, ram.Odds)
	for _, r := range why {
		fmt.Printf("%s: × %.1f\n", r.Text, r.Factor)
	}
	// Output:
	// 8.3 times a logic chip, 4 by itself
	// of 32 seen here (dynamic ram) 4 had failed: × 2.1
}

package datecode_test

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"

	"halfsplit/part/datecode"
)

// A terminal of 1981: what its chips may say, and what comes first.
func TestRankedByTheUnit(t *testing.T) {
	for _, example := range []struct {
		code, first string
		form        datecode.Form
	}{
		{"8036", "week 36 of 1980", datecode.YearWeek},
		{"3680", "week 36 of 1980", datecode.WeekYear}, // 1936 and 2036 are out
		{"1281", "week 12 of 1981", datecode.WeekYear}, // 81 is no week
		{"8108", "week 8 of 1981", datecode.YearWeek},  // or August 1981, or week 81: no
		{"L9", "September 1979", datecode.IECTwo},      // or 1999, 2019
		{"036", "week 36 of 1980", datecode.DigitWeek}, // or 1970, 1990
		{"137-8022", "week 22 of 1980", datecode.EIASource},
		{"A8036", "week 36 of 1980", datecode.YearWeek},
		{"12/80", "December 1980", datecode.PlainDate},
		{"MAR 81", "March 1981", datecode.PlainDate},
		{"1980-W36", "week 36 of 1980", datecode.PlainWeek},
		{"1980-09-02", "2 September 1980", datecode.PlainDate},
	} {
		readings, _, err := datecode.Read(example.code, datecode.Window{Unit: 1981, Now: 2026})
		if err != nil || len(readings) == 0 {
			t.Fatalf("%s: %v, %v", example.code, readings, err)
		}
		if got := readings[0]; got.String() != example.first || got.Form != example.form {
			t.Errorf("%s reads first as %v (%s), want %s", example.code, got, got.Form, example.first)
		}
	}
}

func TestAgainstTheUnit(t *testing.T) {
	for year, want := range map[int]string{
		1987: "newer than the unit by 6 years: probably replaced", 1982: "a year newer", 1981: "fits", 1979: "fits",
		1977: "4 years older", 1960: "21 years older",
	} {
		if got := (datecode.Reading{Year: year}).Against(1981); !strings.HasPrefix(got, want) {
			t.Errorf("%d: %s", year, got)
		}
	}
	if (datecode.Reading{Year: 1987}).Against(0) != "" {
		t.Error("nothing can be said without the unit's year")
	}
}

func TestRefusals(t *testing.T) {
	for code, want := range map[string]string{
		"8454": "no week 54", "8400": "no week 0", "81366": "no month 13", "80230": "days, not 30", "9400": "no day 400",
		"G5": "not used", "RM": "no month", "I": "left out", "80-13": "", "2099-W01": "after 2029", "1981-13": "no month 13", "1981-02-00": "no day 0",
	} {
		_, refused, err := datecode.Read(code, datecode.Window{})
		if err != nil {
			t.Fatal(err)
		}
		if text := strings.Join(refused, "; "); !strings.Contains(text, want) || want != "" && text == "" {
			t.Errorf("%s: %q, want %q", code, text, want)
		}
	}
	for _, w := range []datecode.Window{{Unit: 1700}, {Unit: 2030, Now: 2026}, {Now: 12}} {
		if _, _, err := datecode.Read("8312", w); err == nil {
			t.Errorf("%+v is accepted", w)
		}
	}
}

// A week 53 that ISO does not have is read, and flagged.
func TestWeekThatISODoesNotHave(t *testing.T) {
	readings, _, _ := datecode.Read("8253", datecode.Window{Unit: 1983, Now: 2026})
	if len(readings) == 0 || len(readings[0].Notes) == 0 || !strings.Contains(readings[0].Notes[0], "52 weeks") {
		t.Error(readings)
	}
}

// Whatever is written is read back as a date that holds the day.
func TestRoundTrip(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		day := time.Date(1970, 1, 1+rapid.IntRange(0, 55*365).Draw(t, "days"), 0, 0, 0, 0, time.UTC)
		for _, m := range datecode.Write(day) {
			readings, refused, err := datecode.Read(m.Text, datecode.Window{Now: 2026})
			if err != nil {
				t.Fatal(err)
			}
			found := false
			for _, r := range readings {
				found = found || r.Form == m.Form && !day.Before(r.First) && !day.After(r.Last)
			}
			if !found {
				t.Fatalf("%v is marked %s (%s), which reads as %v, refused %v", day, m.Text, m.Form, readings, refused)
			}
		}
	})
}

func FuzzRead(f *testing.F) {
	for _, seed := range []string{"8312", "1283", "R1", "a", "137-6-34", "1980-W36", "12/83", "MAR 81", "A8312B", "9197", "70313", "8G", "８３１２", ""} {
		f.Add(seed, 1981, 2026)
	}
	f.Fuzz(func(t *testing.T, text string, unit, now int) {
		readings, _, err := datecode.Read(text, datecode.Window{Unit: unit, Now: now})
		if err != nil {
			return
		}
		weight := 1.0
		for _, r := range readings {
			if r.Weight > weight || r.Weight <= 0 || r.Last.Before(r.First) || r.Week < 0 || r.Week > 53 || r.Month < 0 || r.Month > 12 || r.Published == "" {
				t.Fatalf("%q: %+v after weight %v", text, r, weight)
			}
			weight = r.Weight
		}
	})
}

func ExampleRead() {
	readings, refused, _ := datecode.Read("8312", datecode.Window{Unit: 1981, Now: 2026})
	for _, r := range readings[:2] {
		fmt.Printf("%v (%s); %s\n", r, r.Form, r.Against(1981))
	}
	fmt.Println(refused[0])
	// Output:
	// week 12 of 1983 (year and week); newer than the unit by 2 years: probably replaced
	// December 1983 (year and month); newer than the unit by 2 years: probably replaced
	// as week and year: there is no week 83; a year has 52 or 53
}

func ExampleWrite() {
	for _, m := range datecode.Write(time.Date(1983, 3, 21, 0, 0, 0, 0, time.UTC)) {
		fmt.Println(m.Text, "–", m.Form)
	}
	// Output:
	// 8312 – year and week
	// 1283 – week and year
	// 312 – last digit of year, and week
	// R3 – IEC 60062, letter for the year and character for the month
	// c – IEC 60062, one letter in a cycle of four years
}

func BenchmarkRead(b *testing.B) {
	for b.Loop() {
		if _, _, err := datecode.Read("8312", datecode.Window{Unit: 1981, Now: 2026}); err != nil {
			b.Fatal(err)
		}
	}
}

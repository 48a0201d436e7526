package demo

import (
	"time"

	"halfsplit/internal/record"
)

// day is an evening at the bench.
func day(year int, month time.Month, d int) time.Time {
	return time.Date(year, month, d, 21, 0, 0, 0, time.Local)
}

// theMachines are the four machines. All of it is invented.
var theMachines = []machine{
	{
		sheet: "vt9.sheet.yaml",
		unit: record.Unit{Place: "bench 1", Source: "cleared from a harbour office in 2019", Owner: "Saltmarsh Sound Archive", LastOn: "2026-02",
			Fitted: []record.Fitted{
				{Name: "supply board", What: "board", Marking: "VT9-SUP rev C", DateCode: "8136", Original: record.Original},
				{Name: "logic board", What: "board", Marking: "VT9-LOG rev B", DateCode: "8138", Original: record.Original},
				{Name: "memory, bank 1", What: "option", Marking: "eight of 16K×1", DateCode: "8112", Original: record.Original, Note: "two makers mixed"},
			}},
		history: []work{
			{example: "vt9-three-chips", outcome: record.Repaired, lesson: "Chips of date 8112 go in threes: test the whole bank before the first one is unsoldered.", finished: day(2025, time.October, 14)},
			{example: "vt9-shuts-down", needs: []record.Need{
				{Part: "47 uF 25 V 105 °C electrolytic", For: "C3", Count: 1, Progress: record.SetAside},
				{Part: "220 uF 400 V electrolytic", For: "C1", Count: 1, Progress: record.Wanted, Note: "while the board is out"},
			}},
		},
	},
	{
		sheet: "p6.sheet.yaml",
		unit: record.Unit{Place: "bench 2", Source: "rehearsal room of a dissolved band", Owner: "Joost", LastOn: "2026-02",
			Fitted: []record.Fitted{
				{Name: "memory battery", What: "battery", Marking: "3.6 V nickel-cadmium", DateCode: "8302", Original: record.Original, Note: "a little green on the positive end"},
				{Name: "voice boards", What: "board", Marking: "P6-V, six of them", DateCode: "8316", Original: record.Original},
			}},
		history: []work{
			{example: "p6-hum-and-voice-four", needs: []record.Need{{Part: "quad operational amplifier, DIL-14", For: "U41", Count: 1, Progress: record.Wanted}}},
		},
	},
	{
		sheet: "f220.sheet.yaml",
		unit: record.Unit{Place: "studio", Source: "radio station, with three others", Owner: "Saltmarsh Sound Archive", LastOn: "2026-02",
			Fitted: []record.Fitted{{Name: "supply board", What: "board", Marking: "220-01", DateCode: "7914", Original: record.Original}}},
		history: []work{
			{example: "f220-resets", outcome: record.Repaired, lesson: "C1 stands against R10 in all four: move the resistor when it is changed.", finished: day(2026, time.February, 11)},
		},
	},
	{
		sheet: "t40.sheet.yaml",
		unit: record.Unit{Place: "bench 1", Source: "bought as not working", Owner: "Ines", LastOn: "2026-01",
			Fitted: []record.Fitted{
				{Name: "inlet filter", What: "film", Marking: "100 nF X2 310 V", DateCode: "2544", Original: record.Replaced, Since: "2026-01-12"},
				{Name: "socket of U21", What: "joint", Marking: "turned pins", Original: record.Replaced, Since: "2026-01-19"},
			}},
		history: []work{
			{example: "t40-rom", outcome: record.Repaired, lesson: "Single-wipe sockets of 1977: press each chip before anything is dumped.", finished: day(2026, time.January, 30)},
		},
	},
}

// theRest is what else stands on the shelves.
var theRest = []record.Unit{
	{Maker: "Ferrand", Model: "220", Serial: "1107", Year: 1979, Place: "shelf 1", Source: "radio station", Sheet: "f220", LastOn: "2004"},
	{Maker: "Ferrand", Model: "220", Serial: "1131", Year: 1980, Place: "shelf 1", Source: "radio station", Sheet: "f220", LastOn: "1994"},
	{Maker: "Corvane", Model: "P6", Serial: "0522", Year: 1984, Place: "studio", Owner: "Maren", Sheet: "p6", LastOn: "2025-11",
		Fitted: []record.Fitted{{Name: "memory battery", What: "battery", Marking: "lithium cell in a holder", Original: record.Replaced, Since: "2022"}}},
	{Maker: "Ostrel", Model: "VT-9", Serial: "005120", Year: 1982, Place: "shelf 2", Sheet: "vt9", LastOn: "2011", Note: "complete, never opened here"},
	{Maker: "Tarn", Model: "12", Year: 1974, Place: "shelf 2", LastOn: "1990", Note: "signal generator with valves; paper capacitors by the look of it"},
	{Maker: "Hesk", Model: "Trio", Serial: "A-881", Year: 1986, Place: "shelf 3", Owner: "Joost", LastOn: "2016", Note: "drum machine",
		Fitted: []record.Fitted{{Name: "memory battery", What: "battery", Marking: "nickel-cadmium, soldered in", Original: record.Original}}},
	{Maker: "Ondra", Model: "RX 30", Year: 1977, Place: "shelf 3", LastOn: "2020", Note: "receiver, one channel weak"},
	{Maker: "Ondra", Model: "RX 30", Year: 1978, Place: "store", LastOn: "2001"},
}

// aBin is a bin with what lies in it.
type aBin struct {
	code, place string
	stock       []record.Stock
}

// theDrawer is the parts drawer.
var theDrawer = []aBin{
	{"box 1", "cabinet, top", []record.Stock{
		{Part: "2200 uF 35 V electrolytic", Count: 4, Least: 2, Maker: "Norbel", Batch: "2503", Price: 180, Origin: "new"},
		{Part: "4700 uF 50 V 105 °C electrolytic", Count: 1, Least: 2, Maker: "Norbel", Batch: "2531", Price: 420, Origin: "new"},
		{Part: "47 uF 25 V 105 °C electrolytic", Count: 12, Least: 5, Price: 15, Origin: "new"},
		{Part: "100 uF 25 V electrolytic", Count: 9, Least: 5, Price: 12, Origin: "new"},
	}},
	{"box 4", "cabinet, middle", []record.Stock{
		{Part: "16K×1 dynamic memory", Count: 5, Least: 4, Maker: "Arlo", Batch: "8309", Origin: "donor", Note: "tested"},
		{Part: "quad operational amplifier, DIL-14", Count: 0, Least: 2, Price: 90, Origin: "new"},
		{Part: "28-way socket, turned pins", Count: 3, Price: 110, Origin: "new"},
	}},
	{"box 7", "cabinet, bottom, in the lidded box", []record.Stock{
		{Part: "100 nF 275 V X2", Count: 6, Least: 3, Batch: "2544", Price: 65, Origin: "new"},
		{Part: "2.2 nF 250 V Y2", Count: 4, Least: 2, Price: 40, Origin: "new"},
	}},
}

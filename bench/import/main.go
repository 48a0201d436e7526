// Command import times what package trace does with ten million rows beside
// DuckDB and pandas. See run.sh and docs/performance-trace.md.
package main

import (
	"bufio"
	"context"
	"flag"
	"fmt"
	"io"
	"log"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strconv"
	"strings"
	"syscall"
	"time"

	"gonum.org/v1/gonum/dsp/fourier"

	"halfsplit/trace"
	"halfsplit/trace/column"
	"halfsplit/trace/spectrum"
	"halfsplit/trace/table"
)

func main() {
	log.SetFlags(0)
	folder := flag.String("folder", os.TempDir(), "where to put files, and where DuckDB is")
	pandas := flag.String("pandas", "", "the script that runs pandas")
	rows := flag.Int("rows", 10_000_000, "rows of the table")
	rounds := flag.Int("rounds", 5, "how often each side has its turn")
	child := flag.Bool("child", false, "import once and print the time and the peak of memory")
	flag.Parse()
	if *child {
		importOnce(*folder, flag.Arg(0))
		return
	}
	file := filepath.Join(*folder, fmt.Sprintf("table-%d.csv", *rows))
	size := writeTable(file, *rows)
	fmt.Printf("%d rows of 3 columns, %.0f MB, %d processors\n\n", *rows, float64(size)/1e6, runtime.NumCPU())
	runTable(file, *folder, *pandas, *rows, *rounds, size)
	runSpectrum(*rounds)
	runWindows(filepath.Join(*folder, "ours.trace"))
}

// writeTable writes the table once: time, a rail with noise, a case that warms up.
func writeTable(file string, rows int) int64 {
	if info, err := os.Stat(file); err == nil {
		return info.Size()
	}
	f, err := os.Create(file)
	check(err)
	w := bufio.NewWriterSize(f, 1<<20)
	fmt.Fprintln(w, "time,rail,temp")
	var b []byte
	for i := range rows {
		x := float64(i)
		b = strconv.AppendFloat(b[:0], x*0.01, 'f', 2, 64)
		b = strconv.AppendFloat(append(b, ','), 5+0.02*math.Sin(x*0.7)+0.003*math.Sin(x*12.1), 'f', 5, 64)
		b = strconv.AppendFloat(append(b, ','), 25+18*(1-math.Exp(-x/2e6)), 'f', 3, 64)
		_, err = w.Write(append(b, '\n'))
		check(err)
	}
	check(w.Flush())
	check(f.Close())
	info, err := os.Stat(file)
	check(err)
	return info.Size()
}

// side is one program that has its turns; the least time counts.
type side struct {
	name   string
	run    func() (ms, kilobytes float64, found string)
	least  float64
	memory float64
	found  string
}

// runTable lets all sides read the table in turn.
func runTable(file, folder, pandas string, rows, rounds int, size int64) {
	sides := []*side{
		{name: "halfsplit, read only", run: func() (float64, float64, string) { return scan(file) }},
		{name: "halfsplit, import to a trace file", run: func() (float64, float64, string) { return imported(folder, file) }},
	}
	if duck, version := peer(folder, "node", filepath.Join(folder, "duck.js")); duck != nil {
		ask := func(what string) func() (float64, float64, string) {
			return func() (float64, float64, string) { return duck(what) }
		}
		sides = append(sides,
			&side{name: "DuckDB " + version + ", read only, 2 threads", run: ask("scan " + file)},
			&side{name: "DuckDB, into a table in memory", run: ask("memory " + file)},
			&side{name: "DuckDB, into a database file", run: ask("keep " + file + " " + filepath.Join(folder, "duck.db"))})
	}
	if frame, version := peer("", "/usr/bin/python3", pandas); frame != nil {
		sides = append(sides, &side{name: "pandas " + version + ", into memory", run: func() (float64, float64, string) { return frame(file) }})
	}
	for range rounds {
		for _, s := range sides {
			ms, memory, found := s.run()
			if s.least == 0 || ms < s.least {
				s.least = ms
			}
			s.memory, s.found = max(s.memory, memory), found
		}
	}
	fmt.Println("| | ms, least | MB/s | million rows/s | peak memory MB |\n|---|---|---|---|---|")
	for _, s := range sides {
		fmt.Printf("| %s | %.0f | %.0f | %.1f | %.0f |\n", s.name, s.least, float64(size)/1e3/s.least, float64(rows)/1e3/s.least, s.memory/1e3)
	}
	fmt.Println()
	for _, s := range sides {
		fmt.Printf("found by %s: %s\n", s.name, s.found)
	}
	fmt.Println()
}

// scan reads the table and sums up, as the other sides do.
func scan(file string) (ms, kilobytes float64, found string) {
	begin := time.Now()
	f, err := os.Open(file)
	check(err)
	defer f.Close()
	r, err := table.Open(f, table.Options{})
	check(err)
	sum, low, high := 0.0, math.Inf(1), math.Inf(-1)
	s, err := r.Read(context.Background(), runtime.GOMAXPROCS(0), func(b *trace.Block) error {
		for _, v := range b.Values[0] {
			sum += v
		}
		for _, v := range b.Values[1] {
			low, high = min(low, v), max(high, v)
		}
		return nil
	})
	check(err)
	ms = float64(time.Since(begin).Microseconds()) / 1e3
	return ms, peak(), fmt.Sprint(s.Rows, sum, low, high)
}

// imported imports in a process of its own, so that its memory is told apart.
func imported(folder, file string) (ms, kilobytes float64, found string) {
	self, err := os.Executable()
	check(err)
	out, err := exec.Command(self, "-child", "-folder", folder, file).Output()
	check(err)
	_, err = fmt.Sscan(string(out), &ms, &kilobytes, &found)
	check(err)
	return ms, kilobytes, found
}

// importOnce imports a table into a trace file.
func importOnce(folder, file string) {
	begin := time.Now()
	in, err := os.Open(file)
	check(err)
	out, err := os.Create(filepath.Join(folder, "ours.trace"))
	check(err)
	r, err := table.Open(in, table.Options{})
	check(err)
	w, err := column.NewWriter(out, r.Head())
	check(err)
	s, err := r.Read(context.Background(), runtime.GOMAXPROCS(0), w.Append)
	check(err)
	check(w.Close())
	check(out.Close())
	fmt.Println(float64(time.Since(begin).Microseconds())/1e3, peak(), s.Rows)
}

// peak is the most memory this process has had, in kilobytes.
func peak() float64 {
	var u syscall.Rusage
	check(syscall.Getrusage(syscall.RUSAGE_SELF, &u))
	return float64(u.Maxrss)
}

// peer starts another program that answers lines; nil where it does not start.
func peer(folder, name, script string) (ask func(string) (float64, float64, string), version string) {
	c := exec.Command(name, script)
	c.Dir = folder
	c.Stderr = io.Discard
	in, err := c.StdinPipe()
	check(err)
	out, err := c.StdoutPipe()
	check(err)
	if c.Start() != nil {
		return nil, ""
	}
	lines := bufio.NewScanner(out)
	if !lines.Scan() || !strings.HasPrefix(lines.Text(), "ready ") {
		fmt.Printf("%s %s does not run and is left out\n", name, filepath.Base(script))
		return nil, ""
	}
	version = strings.TrimPrefix(lines.Text(), "ready ")
	return func(line string) (ms, kilobytes float64, found string) {
		fmt.Fprintln(in, line)
		if !lines.Scan() {
			log.Fatalf("%s %s stopped", name, script)
		}
		fields := strings.SplitN(lines.Text(), " ", 3)
		ms, err = strconv.ParseFloat(fields[0], 64)
		check(err)
		kilobytes, err = strconv.ParseFloat(fields[1], 64)
		check(err)
		return ms, kilobytes, fields[2]
	}, version
}

// runSpectrum times a spectrum of four million readings and the bare transform.
func runSpectrum(rounds int) {
	const n = 4_000_000
	v := make([]float64, n)
	for i := range v {
		v[i] = 12 + 0.1*math.Sin(2*math.Pi*float64(i)/997)
	}
	bare, whole, averaged := math.Inf(1), math.Inf(1), math.Inf(1)
	timed := func(least *float64, f func()) {
		begin := time.Now()
		f()
		*least = min(*least, float64(time.Since(begin).Microseconds())/1e3)
	}
	for range rounds {
		timed(&bare, func() { fourier.NewFFT(n).Coefficients(nil, v) })
		timed(&whole, func() {
			_, err := spectrum.Of(v, 1e-5)
			check(err)
		})
		timed(&averaged, func() {
			s, err := spectrum.Averaged(v, 1e-5, 0.5)
			check(err)
			s.Lines(12)
		})
	}
	fmt.Printf("Spectrum of %d readings: bare transform %.0f ms; flat-top and Hann together %.0f ms (%.2f times); averaged to 0.5 Hz, with its lines %.0f ms\n\n", n, bare, whole, whole/bare, averaged)
}

// runWindows times the drawing of windows of the trace file, opened anew for
// each: the least of five tries, so that other work on the machine does not
// count, and the worst of twenty places.
func runWindows(file string) {
	fmt.Println("| window | readings in it | points | ms, worst of 20 places |\n|---|---|---|---|")
	for _, share := range []float64{1, 0.3, 0.1, 0.03, 0.01, 0.001, 0.0001} {
		worst, points, readings := 0.0, 0, 0.0
		for place := range 20 {
			least := math.Inf(1)
			for range 5 {
				begin := time.Now()
				f, err := os.Open(file)
				check(err)
				info, err := f.Stat()
				check(err)
				c, err := column.Open(f, info.Size())
				check(err)
				length := (c.End() - c.Begin()) * share
				from := c.Begin() + (c.End()-c.Begin()-length)*float64(place)/19
				p, err := c.Window(0, from, from+length, 1500)
				check(err)
				least = min(least, float64(time.Since(begin).Microseconds())/1e3)
				points, readings = len(p), float64(c.Rows())*share
				check(f.Close())
			}
			worst = max(worst, least)
		}
		fmt.Printf("| %g %% | %.0f | %d | %.1f |\n", share*100, readings, points, worst)
	}
}

func check(err error) {
	if err != nil {
		log.Fatal(err)
	}
}

// Command load asks a bench for pages over loopback, with many clients at once,
// and prints how long answers took and how much memory it came to.
//
//	go run ./bench/load                                  the demo, 200 clients
//	go run ./bench/load -records FOLDER -clients 1       large records, one at a time
//
// Large records are made by
//
//	go test ./internal/store -run none -bench Scale/open -benchtime 1x -records FOLDER
package main

import (
	"context"
	"flag"
	"fmt"
	"io"
	"log"
	"net"
	"net/http"
	"net/http/cookiejar"
	"os"
	"runtime"
	"slices"
	"strings"
	"sync"
	"time"

	"halfsplit/internal/bench"
	"halfsplit/internal/demo"
	"halfsplit/internal/store"
	"halfsplit/internal/web"
)

var (
	records = flag.String("records", "", "folder of the records; the demo in a folder of its own when not given")
	clients = flag.Int("clients", 200, "clients at once")
	lasts   = flag.Duration("for", 20*time.Second, "how long to ask")
	pause   = flag.Duration("pause", time.Second, "what a client waits between two pages, as a reader would; 0 asks without end")
	pages   = flag.String("pages", "/ /collection /collection?q=warm /units/3 /drawer /upkeep /search?q=bleeder /settings/workshop /tools /library", "pages to ask for, in turn")
)

func main() {
	log.SetFlags(0)
	flag.Parse()
	if err := run(context.Background()); err != nil {
		log.Fatal("load: ", err)
	}
}

// run serves, asks and prints.
func run(ctx context.Context) error {
	folder := *records
	if folder == "" {
		made, err := os.MkdirTemp("", "load")
		if err != nil {
			return err
		}
		defer os.RemoveAll(made)
		folder = made
	}
	s, err := store.Open(folder, store.Options{})
	if err != nil {
		return err
	}
	defer s.Close()
	work := bench.New(s, bench.Options{})
	if *records == "" {
		if err := demo.Fill(ctx, s, work, time.Now()); err != nil {
			return err
		}
	}
	on, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		return err
	}
	server := web.New(web.Options{Records: s, Bench: work, Unpaced: true})
	ctx, stop := context.WithCancel(ctx)
	defer stop()
	ended := make(chan error, 1)
	go func() { ended <- server.Serve(ctx, on) }()

	jar, err := cookiejar.New(nil)
	if err != nil {
		return err
	}
	client := &http.Client{Jar: jar, Transport: &http.Transport{MaxIdleConnsPerHost: *clients}}
	base := "http://" + on.Addr().String()
	answer, err := client.Get(base + server.Enter())
	if err != nil {
		return err
	}
	answer.Body.Close()
	list := strings.Fields(*pages)
	for _, page := range list { // once each, so that what is kept ready is there
		if _, err := ask(client, base+page); err != nil {
			return err
		}
	}
	took := make([][]time.Duration, len(list))
	var mu sync.Mutex
	var wait sync.WaitGroup
	var failed error
	until := time.Now().Add(*lasts)
	for n := range *clients {
		wait.Go(func() {
			time.Sleep(*pause * time.Duration(n) / time.Duration(*clients))
			for i := n; time.Now().Before(until); i++ {
				page := i % len(list)
				d, err := ask(client, base+list[page])
				mu.Lock()
				took[page] = append(took[page], d)
				if err != nil {
					failed = err
				}
				mu.Unlock()
				time.Sleep(*pause)
			}
		})
	}
	wait.Wait()
	fmt.Printf("%-28s %8s %9s %9s %9s\n", "page", "answers", "middle", "95 %", "longest")
	total := 0
	for i, page := range list {
		slices.Sort(took[i])
		total += len(took[i])
		at := func(share float64) time.Duration {
			if len(took[i]) == 0 {
				return 0
			}
			return took[i][int(share*float64(len(took[i])-1))].Round(100 * time.Microsecond)
		}
		fmt.Printf("%-28s %8d %9s %9s %9s\n", page, len(took[i]), at(0.5), at(0.95), at(1))
	}
	var memory runtime.MemStats
	runtime.ReadMemStats(&memory)
	fmt.Printf("%d answers in %s with %d clients; taken from the system: %d MB, clients included\n", total, *lasts, *clients, memory.Sys>>20)
	stop()
	if err := <-ended; err != nil {
		return err
	}
	return failed
}

// ask gets a page and gives how long that took.
func ask(client *http.Client, address string) (time.Duration, error) {
	start := time.Now()
	answer, err := client.Get(address)
	if err != nil {
		return 0, err
	}
	defer answer.Body.Close()
	if _, err := io.Copy(io.Discard, answer.Body); err != nil {
		return 0, err
	}
	if answer.StatusCode != http.StatusOK {
		return 0, fmt.Errorf("%s: %s", address, answer.Status)
	}
	return time.Since(start), nil
}

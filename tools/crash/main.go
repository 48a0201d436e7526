// Command crash kills a program that writes records, again and again in the
// middle of it, and looks whether anything that was acknowledged is lost and
// whether the file is whole. docs/reliability.md has the figures.
//
//	go run ./tools/crash -kills 10000
package main

import (
	"context"
	"flag"
	"fmt"
	"os"
	"os/signal"
	"time"
)

func main() {
	kills := flag.Int("kills", 300, "how often to kill")
	fresh := flag.Int("fresh", 50, "kills until new records are begun")
	every := flag.Int("verify", 10, "kills until everything is verified")
	random := flag.Uint64("random", 1, "number that the moments of killing are drawn from")
	writer := flag.String("writer", "", "write into the records in this folder until killed (the program calls itself so)")
	flag.Parse()
	if *writer != "" {
		if err := write(*writer, os.Stdout); err != nil {
			fmt.Fprintln(os.Stderr, "crash: writer:", err)
			os.Exit(1)
		}
		return
	}
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt)
	defer stop()
	start := time.Now()
	h := &harness{kills: *kills, fresh: *fresh, every: *every, random: newRandom(*random), progress: os.Stderr}
	err := h.run(ctx)
	fmt.Printf("%d kills (%d while opening, %d while writing), %d entries, %d revisions and %d files acknowledged, %d lost, %d verifications, %d files of records damaged, %.0f s\n",
		h.done, h.opening, h.done-h.opening, h.entries, h.revisions, h.files, h.lost, h.verified, h.damaged, time.Since(start).Seconds())
	if err != nil {
		fmt.Fprintln(os.Stderr, "crash:", err)
	}
	if err != nil || h.lost > 0 || h.damaged > 0 {
		os.Exit(1)
	}
}

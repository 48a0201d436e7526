package main

import (
	"context"
	"errors"
	"fmt"
	"html"
	"log/slog"
	"net"
	"net/netip"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"time"

	"halfsplit/internal/web"
)

// benchCommand serves the bench as web pages.
type benchCommand struct {
	recordsFolder
	serving
}

// serving says how the bench is served.
type serving struct {
	Listen  string `default:"127.0.0.1:8765" placeholder:"ADDRESS" help:"Where to listen. 0.0.0.0:8765 lets phones and tablets on the same network pair with it."`
	Name    string `placeholder:"HOST" help:"A further name by which it may be called, such as bench.lan."`
	Open    bool   `help:"Open it in the browser."`
	Verbose bool   `help:"Log every request."`
}

// Help says how one gets in.
func (benchCommand) Help() string {
	return "It prints a link that lets one browser in, once; the browser is remembered. Phones and tablets are paired from Settings, Devices. It ends with Ctrl-C."
}

// Run serves until the context ends.
func (c *benchCommand) Run(ctx context.Context, to console) (err error) {
	w, err := c.open(ctx)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, w.Close()) }()
	return c.serve(ctx, to, w)
}

// serve serves records until the context ends.
func (c *serving) serve(ctx context.Context, to console, w *workshop) error {
	level := slog.LevelWarn
	if c.Verbose {
		level = slog.LevelDebug
	}
	on, err := net.Listen("tcp", c.Listen)
	if err != nil {
		return badInput{fmt.Errorf("--listen %s: %w; write an address and a free port, such as 127.0.0.1:8765", c.Listen, err)}
	}
	defer on.Close()
	options := web.Options{
		Records: w.Store,
		Bench:   w.Bench,
		Log:     slog.New(slog.NewTextHandler(to.errors, &slog.HandlerOptions{Level: level})),
		Phones:  func() []string { return phoneAddresses(on.Addr()) },
	}
	if c.Name != "" {
		options.Hosts = []string{c.Name}
	}
	server := web.New(options)
	link := "http://" + localAddress(on.Addr()) + server.Enter()
	fmt.Fprintf(to.out, "The bench is open. Let this computer's browser in with\n\n  %s\n\nThe link works once. End with Ctrl-C.\n", link)
	if c.Open {
		remove, err := openBrowser(ctx, link)
		if err != nil {
			fmt.Fprintf(to.errors, "halfsplit: the browser could not be opened: %v\n", err)
		} else {
			defer remove()
		}
	}
	return server.Serve(ctx, on)
}

// localAddress gives the address by which this computer reaches the bench.
func localAddress(listens net.Addr) string {
	at, err := netip.ParseAddrPort(listens.String())
	if err != nil || !at.Addr().IsUnspecified() {
		return listens.String()
	}
	return fmt.Sprintf("127.0.0.1:%d", at.Port())
}

// phoneAddresses gives the addresses by which others on the network reach it.
func phoneAddresses(listens net.Addr) []string {
	at, err := netip.ParseAddrPort(listens.String())
	if err != nil || at.Addr().IsLoopback() {
		return nil
	}
	if !at.Addr().IsUnspecified() {
		return []string{"http://" + at.String()}
	}
	var list []string
	interfaces, err := net.InterfaceAddrs()
	if err != nil {
		return nil
	}
	for _, one := range interfaces {
		prefix, err := netip.ParsePrefix(one.String())
		if err != nil || !prefix.Addr().Is4() || prefix.Addr().IsLoopback() || prefix.Addr().IsLinkLocalUnicast() {
			continue
		}
		list = append(list, "http://"+netip.AddrPortFrom(prefix.Addr(), at.Port()).String())
	}
	return list
}

// openBrowser opens a link. The link is a secret, and the arguments of a program
// can be read by everyone on the computer; so a page that only its owner can
// read leads there, and is removed when done with.
func openBrowser(ctx context.Context, link string) (remove func(), err error) {
	folder, err := os.MkdirTemp("", "halfsplit")
	if err != nil {
		return nil, err
	}
	remove = func() { os.RemoveAll(folder) }
	file := filepath.Join(folder, "open.html")
	page := `<!DOCTYPE html><meta charset="utf-8"><meta http-equiv="refresh" content="0;url=` + html.EscapeString(link) + `"><title>The bench</title>`
	if err := os.WriteFile(file, []byte(page), 0o600); err != nil {
		return remove, err
	}
	name, arguments := "xdg-open", []string{file}
	switch runtime.GOOS {
	case "darwin":
		name = "open"
	case "windows":
		name, arguments = "rundll32", []string{"url.dll,FileProtocolHandler", file}
	}
	if name, err = exec.LookPath(name); err != nil {
		remove()
		return nil, errors.New("no program to open it with was found; open the link yourself")
	}
	ctx, stop := context.WithTimeout(ctx, 10*time.Second)
	defer stop()
	if err := exec.CommandContext(ctx, name, arguments...).Start(); err != nil {
		remove()
		return nil, err
	}
	return remove, nil
}

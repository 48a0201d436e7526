package table

import (
	"bufio"
	"bytes"
	"compress/gzip"
	"errors"
	"fmt"
	"io"
	"unicode/utf16"
	"unicode/utf8"
)

// Plain returns the text of a file as UTF-8 or Latin-1: it unpacks gzip, takes
// away a byte order mark, and turns UTF-16 with such a mark into UTF-8.
func Plain(r io.Reader) (io.Reader, error) {
	in := bufio.NewReaderSize(r, 1<<16)
	if mark, _ := in.Peek(2); bytes.Equal(mark, []byte{0x1f, 0x8b}) {
		unpacked, err := gzip.NewReader(in)
		if err != nil {
			return nil, fmt.Errorf("the file begins like gzip, but cannot be unpacked: %w", err)
		}
		in = bufio.NewReaderSize(whole{unpacked}, 1<<16)
	}
	mark, _ := in.Peek(3)
	switch {
	case bytes.HasPrefix(mark, []byte{0xef, 0xbb, 0xbf}):
		_, err := in.Discard(3)
		return in, err
	case bytes.HasPrefix(mark, []byte{0xff, 0xfe}):
		_, err := in.Discard(2)
		return &wide{in: in}, err
	case bytes.HasPrefix(mark, []byte{0xfe, 0xff}):
		_, err := in.Discard(2)
		return &wide{in: in, big: true}, err
	}
	return in, nil
}

// whole tells a packed file that is cut short from one that has ended.
type whole struct{ packed io.Reader }

func (w whole) Read(to []byte) (int, error) {
	n, err := w.packed.Read(to)
	if err == io.ErrUnexpectedEOF {
		err = errors.New("the gzip file is cut short")
	}
	return n, err
}

// wide turns UTF-16 into UTF-8.
type wide struct {
	in   *bufio.Reader
	big  bool
	left []byte // of the last character, not yet handed out
	held rune   // a unit read ahead; 0 for none
}

// unit reads one unit of 16 bits.
func (w *wide) unit() (rune, error) {
	if u := w.held; u != 0 {
		w.held = 0
		return u, nil
	}
	var b [2]byte
	if _, err := io.ReadFull(w.in, b[:]); err != nil {
		if err == io.ErrUnexpectedEOF {
			err = io.EOF // half a unit at the end of a cut file
		}
		return 0, err
	}
	if w.big {
		b[0], b[1] = b[1], b[0]
	}
	return rune(b[0]) | rune(b[1])<<8, nil
}

func (w *wide) Read(to []byte) (n int, err error) {
	for n < len(to) {
		if len(w.left) > 0 {
			k := copy(to[n:], w.left)
			w.left, n = w.left[k:], n+k
			continue
		}
		u, err := w.unit()
		if err != nil {
			if n > 0 {
				return n, nil
			}
			return 0, err
		}
		if utf16.IsSurrogate(u) {
			second, err := w.unit()
			whole := utf16.DecodeRune(u, second)
			if err == nil && whole == utf8.RuneError {
				w.held = second
			}
			u = whole
		}
		w.left = utf8.AppendRune(w.left[:0], u)
	}
	return n, nil
}

// latin returns text as UTF-8, taking it as Latin-1 where it is not that yet,
// so that the degree sign and the micro sign of older programs are read.
func latin(b []byte) string {
	if utf8.Valid(b) {
		return string(b)
	}
	runes := make([]rune, len(b))
	for i, c := range b {
		runes[i] = rune(c)
	}
	return string(runes)
}

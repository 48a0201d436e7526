package column

import (
	"encoding/binary"
	"fmt"
	"hash/crc32"
	"io"
	"math"
)

// The file begins with fileMark and, when it is complete, ends with a tail that
// begins with tailMark.
const (
	fileMark  = "HSTRACE1"
	tailMark  = "HSTRACE."
	blockMark = "HSBK"
)

// kind is what a block holds.
type kind byte

const (
	headBlock    kind = 1
	columnBlock  kind = 2
	pyramidBlock kind = 3
	notesBlock   kind = 4
	indexBlock   kind = 5
)

// Sizes in bytes.
const (
	headerSize = 32
	tailSize   = 32
)

// groupRows is the most rows that stand together; a stretch of a column is 128 KiB
// at most.
const groupRows = 1 << 14

// mostChannels is the most channels a file may have.
const mostChannels = 4096

var castagnoli = crc32.MakeTable(crc32.Castagnoli)

func checksum(b []byte) uint32 { return crc32.Checksum(b, castagnoli) }

// header goes before each block.
type header struct {
	kind   kind
	level  byte   // of a pyramid block
	column int    // 0 is the time, 1 the first channel
	length int64  // of the payload in bytes
	row    int64  // the first row that a column or pyramid block stands for
	sum    uint32 // checksum of the payload
}

func (h header) bytes() [headerSize]byte {
	var b [headerSize]byte
	copy(b[:], blockMark)
	b[4], b[5] = byte(h.kind), h.level
	binary.LittleEndian.PutUint16(b[6:], uint16(h.column))
	binary.LittleEndian.PutUint64(b[8:], uint64(h.length))
	binary.LittleEndian.PutUint64(b[16:], uint64(h.row))
	binary.LittleEndian.PutUint32(b[24:], h.sum)
	binary.LittleEndian.PutUint32(b[28:], checksum(b[:28]))
	return b
}

// readHeader reads the header at an offset; room is how much follows it at most.
func readHeader(r io.ReaderAt, offset, size int64) (header, error) {
	var b [headerSize]byte
	if offset < 0 || offset > size-headerSize {
		return header{}, damaged(offset, "the file ends before the block")
	}
	if _, err := r.ReadAt(b[:], offset); err != nil {
		return header{}, fmt.Errorf("reading at byte %d: %w", offset, err)
	}
	if string(b[:4]) != blockMark || binary.LittleEndian.Uint32(b[28:]) != checksum(b[:28]) {
		return header{}, damaged(offset, "no sound block begins there")
	}
	h := header{
		kind: kind(b[4]), level: b[5],
		column: int(binary.LittleEndian.Uint16(b[6:])),
		length: int64(binary.LittleEndian.Uint64(b[8:])),
		row:    int64(binary.LittleEndian.Uint64(b[16:])),
		sum:    binary.LittleEndian.Uint32(b[24:]),
	}
	if h.length < 0 || h.length > size-offset-headerSize {
		return header{}, damaged(offset, "the file ends within the block")
	}
	return h, nil
}

// readPayload reads what follows a header into a buffer, which grows as needed,
// and checks it.
func readPayload(r io.ReaderAt, offset int64, h header, buffer []byte) ([]byte, error) {
	if int64(cap(buffer)) < h.length {
		buffer = make([]byte, h.length)
	}
	buffer = buffer[:h.length]
	if _, err := r.ReadAt(buffer, offset+headerSize); err != nil {
		return buffer, fmt.Errorf("reading at byte %d: %w", offset, err)
	}
	if checksum(buffer) != h.sum {
		return buffer, damaged(offset, "the checksum of the block does not fit")
	}
	return buffer, nil
}

// Damage is the error of a file that is not as it was written.
type Damage struct {
	Offset int64  // where, in bytes from the beginning
	What   string // what is wrong there
}

// Error says where the file is damaged.
func (d *Damage) Error() string {
	return fmt.Sprintf("the trace file is damaged at byte %d: %s", d.Offset, d.What)
}

func damaged(offset int64, what string) error { return &Damage{offset, what} }

// putFloats writes numbers as bytes.
func putFloats(b []byte, values []float64) []byte {
	n := len(values) * 8
	if cap(b) < n {
		b = make([]byte, n)
	}
	b = b[:n]
	for i, v := range values {
		binary.LittleEndian.PutUint64(b[8*i:8*i+8], math.Float64bits(v))
	}
	return b
}

// floats reads numbers from bytes and appends them.
func floats(to []float64, b []byte) []float64 {
	for ; len(b) >= 8; b = b[8:] {
		to = append(to, float(b))
	}
	return to
}

func float(b []byte) float64 { return math.Float64frombits(binary.LittleEndian.Uint64(b)) }

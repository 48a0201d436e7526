package memory

import (
	"crypto/md5"
	"crypto/sha1"
	"crypto/sha256"
	"encoding/hex"
	"math/bits"
)

// CRC is a cyclic redundancy check by its parameters, in the form that the
// catalogue of parametrised CRC algorithms uses (G. Cook): width in bits (8 to
// 32), generator polynomial without its highest bit, initial value, whether
// bytes and the result are reflected, and what the result is combined with by
// exclusive or.
type CRC struct {
	Name       string
	Width      int
	Polynomial uint32
	Initial    uint32
	ReflectIn  bool
	ReflectOut bool
	Final      uint32
}

// CRCs lists usual checks. Parameters: G. Cook's catalogue and the definitions it
// quotes; each is tested against its check value.
func CRCs() []CRC {
	return []CRC{
		{"CRC-32", 32, 0x04C11DB7, 0xFFFFFFFF, true, true, 0xFFFFFFFF},
		{"CRC-16 CCITT-FALSE", 16, 0x1021, 0xFFFF, false, false, 0},
		{"CRC-16 XMODEM", 16, 0x1021, 0, false, false, 0},
		{"CRC-16 ARC", 16, 0x8005, 0, true, true, 0},
	}
}

// Of gives the check of some data.
func (c CRC) Of(data []byte) uint32 {
	shift := 32 - c.Width
	polynomial := c.Polynomial << shift
	var table [256]uint32
	for i := range table {
		v := uint32(i) << 24
		for range 8 {
			if v&(1<<31) != 0 {
				v = v<<1 ^ polynomial
			} else {
				v <<= 1
			}
		}
		table[i] = v
	}
	sum := c.Initial << shift
	for _, b := range data {
		if c.ReflectIn {
			b = bits.Reverse8(b)
		}
		sum = sum<<8 ^ table[byte(sum>>24)^b]
	}
	if c.ReflectOut {
		sum = bits.Reverse32(sum)
	} else {
		sum >>= shift
	}
	return (sum ^ c.Final) & uint32(1<<c.Width-1)
}

// Checksums are what makers and collectors print for an image.
type Checksums struct {
	Sum16  uint16            `json:"sum16"`  // of all bytes, modulo 65536
	Sum8   uint8             `json:"sum8"`   // modulo 256
	Minus8 uint8             `json:"minus8"` // two's complement: what makes Sum8 zero
	Xor8   uint8             `json:"xor8"`
	CRC    map[string]string `json:"crc"`
	MD5    string            `json:"md5"`
	SHA1   string            `json:"sha1"`
	SHA256 string            `json:"sha256"`
}

// Sum gives the checksums and hashes of an image. MD5 (RFC 1321) and SHA-1 (FIPS
// 180-4) name an image; they do not protect it.
func Sum(image []byte) Checksums {
	c := Checksums{CRC: map[string]string{}}
	for _, b := range image {
		c.Sum16 += uint16(b)
		c.Xor8 ^= b
	}
	c.Sum8 = uint8(c.Sum16)
	c.Minus8 = -c.Sum8
	for _, crc := range CRCs() {
		sum := crc.Of(image)
		digits := make([]byte, 4)
		for i := range digits {
			digits[i] = byte(sum >> (24 - 8*i))
		}
		c.CRC[crc.Name] = hex.EncodeToString(digits[4-crc.Width/8:])
	}
	m, one, two := md5.Sum(image), sha1.Sum(image), sha256.Sum256(image)
	c.MD5, c.SHA1, c.SHA256 = hex.EncodeToString(m[:]), hex.EncodeToString(one[:]), hex.EncodeToString(two[:])
	return c
}

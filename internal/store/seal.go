package store

import (
	"crypto/sha256"

	"halfsplit/internal/record"
)

// A seal is the SHA-256 of a record as JSON. A field that is added to a record
// later must be left out of its JSON while it is empty, or old seals would not
// fit any more; TestSealsStay watches over that.
type seal [sha256.Size]byte

// sealOf is the seal of a record.
func sealOf(value any) (seal, error) {
	plain, err := canonical(value)
	return sha256.Sum256(plain), err
}

// follow is the chain after an entry: the seal of what came before and of the
// entry as it was written, which does not yet know that it will be corrected.
func (s seal) follow(entry record.Entry) (seal, error) {
	entry.CorrectedBy = 0
	plain, err := canonical(entry)
	if err != nil {
		return s, err
	}
	return sha256.Sum256(append(s[:], plain...)), nil
}

// add is the sum of two seals as numbers of 256 bits; the order of adding makes
// no difference.
func (s seal) add(other seal) seal {
	carry := 0
	for i := len(s) - 1; i >= 0; i-- {
		carry += int(s[i]) + int(other[i])
		s[i] = byte(carry)
		carry >>= 8
	}
	return s
}

// subtract takes a seal out of a sum.
func (s seal) subtract(other seal) seal {
	borrow := 0
	for i := len(s) - 1; i >= 0; i-- {
		d := int(s[i]) - int(other[i]) - borrow
		borrow = 0
		if d < 0 {
			d, borrow = d+256, 1
		}
		s[i] = byte(d)
	}
	return s
}

// Scan reads a seal from a column.
func (s *seal) Scan(found any) error {
	v, ok := found.([]byte)
	if !ok || len(v) != len(s) {
		return unexpected(found)
	}
	copy(s[:], v)
	return nil
}

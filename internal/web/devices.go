package web

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"slices"
	"sync"

	"halfsplit/internal/record"
)

// Devices keeps the browsers that were let in, each with the hash of what it
// proves itself by. Implementations are safe for use by several goroutines.
type Devices interface {
	// Devices lists all devices that were ever let in, the oldest first.
	Devices(ctx context.Context) ([]record.Device, error)
	// DeviceByToken gives the device with that hash of its token, also one that was
	// shut out since, or record.ErrNotFound.
	DeviceByToken(ctx context.Context, token record.Hash) (record.Device, error)
	// SaveDevice keeps a device; a new one, whose ID is zero, is given its ID.
	SaveDevice(ctx context.Context, d *record.Device) error
}

// hashOf gives what is kept of a token.
func hashOf(token string) record.Hash {
	sum := sha256.Sum256([]byte(token))
	return record.Hash(hex.EncodeToString(sum[:]))
}

// MemoryDevices keeps devices until the program ends. The zero value is empty and
// ready.
type MemoryDevices struct {
	mutex sync.Mutex
	list  []record.Device
}

// Devices lists all devices.
func (m *MemoryDevices) Devices(context.Context) ([]record.Device, error) {
	m.mutex.Lock()
	defer m.mutex.Unlock()
	return slices.Clone(m.list), nil
}

// DeviceByToken gives the device with that hash, or record.ErrNotFound.
func (m *MemoryDevices) DeviceByToken(_ context.Context, token record.Hash) (record.Device, error) {
	m.mutex.Lock()
	defer m.mutex.Unlock()
	for _, d := range m.list {
		if d.Token == token {
			return d, nil
		}
	}
	return record.Device{}, record.ErrNotFound
}

// SaveDevice keeps a device.
func (m *MemoryDevices) SaveDevice(_ context.Context, d *record.Device) error {
	m.mutex.Lock()
	defer m.mutex.Unlock()
	if d.ID == 0 {
		d.ID = record.ID(len(m.list) + 1)
		m.list = append(m.list, *d)
		return nil
	}
	for i := range m.list {
		if m.list[i].ID == d.ID {
			m.list[i] = *d
			return nil
		}
	}
	return record.ErrNotFound
}

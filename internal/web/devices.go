package web

import (
	"context"
	"crypto/sha256"
	"errors"
	"slices"
	"sync"
	"time"
)

// Device is a browser that was let in: the desktop's, or that of a phone. What
// it proves itself by is kept as a hash only.
type Device struct {
	ID      string // public, for lists and for revoking
	Name    string // as its owner named it
	Desktop bool   // let in by the link that was printed at the start
	Hash    [sha256.Size]byte
	Since   time.Time
	Seen    time.Time // last used, to the hour
}

// Devices keeps the devices that were let in. Implementations are safe for
// use by several goroutines.
type Devices interface {
	// Add keeps a new device.
	Add(ctx context.Context, d Device) error
	// Find gives the device with that hash, or ErrNoDevice.
	Find(ctx context.Context, hash [sha256.Size]byte) (Device, error)
	// Touch notes that a device was used.
	Touch(ctx context.Context, id string, at time.Time) error
	// List gives all devices, the oldest first.
	List(ctx context.Context) ([]Device, error)
	// Revoke shuts a device out for good, or gives ErrNoDevice.
	Revoke(ctx context.Context, id string) error
}

// ErrNoDevice says that a device is not, or no longer, known.
var ErrNoDevice = errors.New("this device is not known")

// MemoryDevices keeps devices until the program ends. The zero value is empty
// and ready.
type MemoryDevices struct {
	mutex sync.Mutex
	list  []Device
}

// Add keeps a new device.
func (m *MemoryDevices) Add(_ context.Context, d Device) error {
	m.mutex.Lock()
	defer m.mutex.Unlock()
	m.list = append(m.list, d)
	return nil
}

// Find gives the device with that hash, or ErrNoDevice.
func (m *MemoryDevices) Find(_ context.Context, hash [sha256.Size]byte) (Device, error) {
	m.mutex.Lock()
	defer m.mutex.Unlock()
	for _, d := range m.list {
		if d.Hash == hash {
			return d, nil
		}
	}
	return Device{}, ErrNoDevice
}

// Touch notes that a device was used.
func (m *MemoryDevices) Touch(_ context.Context, id string, at time.Time) error {
	m.mutex.Lock()
	defer m.mutex.Unlock()
	for i := range m.list {
		if m.list[i].ID == id {
			m.list[i].Seen = at
			return nil
		}
	}
	return ErrNoDevice
}

// List gives all devices, the oldest first.
func (m *MemoryDevices) List(context.Context) ([]Device, error) {
	m.mutex.Lock()
	defer m.mutex.Unlock()
	return slices.Clone(m.list), nil
}

// Revoke shuts a device out for good, or gives ErrNoDevice.
func (m *MemoryDevices) Revoke(_ context.Context, id string) error {
	m.mutex.Lock()
	defer m.mutex.Unlock()
	before := len(m.list)
	m.list = slices.DeleteFunc(m.list, func(d Device) bool { return d.ID == id })
	if len(m.list) == before {
		return ErrNoDevice
	}
	return nil
}

package instrument_test

import (
	"os"
	"path/filepath"
	"sync"
	"testing"

	"halfsplit/instrument"
	"halfsplit/instrument/simulator"
	"halfsplit/internal/pseudoterminal"
)

func init() { lines["serial"] = serialLine }

// serialLine serves a meter at one end of a pair of terminals until the test
// ends. Where the meter hangs up, the pair is gone, as if an adapter were pulled
// out; it is then plugged in again under the same name.
func serialLine(t testing.TB, m *simulator.Meter) instrument.Address {
	t.Helper()
	name := filepath.Join(t.TempDir(), "port")
	plug := func() *os.File {
		end, device, err := pseudoterminal.Open()
		if err == nil {
			err = os.Symlink(device, name+".new")
		}
		if err == nil {
			err = os.Rename(name+".new", name)
		}
		if err != nil {
			t.Error(err)
			return nil
		}
		return end
	}
	var mutex sync.Mutex
	over := false
	end := plug()
	if end == nil {
		t.FailNow()
	}
	var running sync.WaitGroup
	running.Go(func() {
		for {
			m.Serve(end)
			mutex.Lock()
			if over {
				mutex.Unlock()
				return
			}
			end = plug()
			mutex.Unlock()
		}
	})
	t.Cleanup(func() {
		mutex.Lock()
		over = true
		end.Close()
		mutex.Unlock()
		running.Wait()
	})
	return instrument.Address{Device: name, Line: instrument.DefaultLine}
}

// TestLineIsSet checks that a port takes other settings than the usual ones.
func TestLineIsSet(t *testing.T) {
	a := serialLine(t, &simulator.Meter{Identity: identity, Source: fiveVolts})
	a.Line = instrument.LineSettings{Baud: 19200, DataBits: 7, Parity: instrument.EvenParity, StopBits: 2}
	m, err := instrument.Connect(t.Context(), instrument.Setup{Address: a, Function: function(t, "DC volts"), Timeout: slow})
	if err != nil {
		t.Fatal(err)
	}
	defer m.Close()
	if v, err := m.Read(t.Context()); v != 5.0125 || err != nil {
		t.Error(v, err)
	}
}

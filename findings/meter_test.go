package findings

import (
	"testing"

	"halfsplit/metrology"
)

// TestUsualMeter: the meter taken when none is named must be one that package
// metrology knows, with every function a restorer reads by hand.
func TestUsualMeter(t *testing.T) {
	meter, err := metrology.InstrumentByName(usualMeter)
	if err != nil {
		t.Fatal(err)
	}
	for _, function := range []metrology.Function{metrology.DCVolts, metrology.ACVolts, metrology.Ohms} {
		if len(meter.Ranges[function]) == 0 {
			t.Errorf("the usual meter does not read %s", function)
		}
	}
}

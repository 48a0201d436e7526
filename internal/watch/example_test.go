package watch_test

import (
	"fmt"

	"halfsplit/internal/watch"
)

func ExampleParseWanted() {
	w, err := watch.ParseWanted("heatsink=/dev/ttyUSB0 measure=temperature baud=19200 limits=at most 70 °C", false)
	if err != nil {
		fmt.Println(err)
		return
	}
	c, err := watch.NewChannel(w, nil)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(c.Name, "in", c.Unit, "at", w.Setup.Address, w.Setup.Address.Line)
	for _, reading := range []float64{41.5, 69.5, 80} {
		fmt.Println(reading, c.Judge(reading).Word)
	}
	_, err = watch.ParseWanted("+5=192.168.1.20 mesure=ohms", false)
	fmt.Println(err)
	// Output:
	// heatsink in °C at /dev/ttyUSB0 19200 8N1
	// 41.5 within
	// 69.5 too close to call
	// 80 outside
	// meter "+5": there is no mesure=; did you mean "measure"?
}

package findings

import (
	"fmt"
	"strings"

	"halfsplit/flow"
	"halfsplit/form"
	"halfsplit/logbook"
)

func scalar(w form.Word) form.Scalar { return form.Scalar{Text: w.Text, Place: w.Place} }

// readLog goes through the log and gathers evidence.
func (w *work) readLog() {
	for i := range w.logCase.Log {
		e := &w.logCase.Log[i]
		if e.Corrected() {
			continue
		}
		switch e.Verb() {
		case "symptom":
			w.symptom(e)
		case "measure":
			for _, at := range e.Measure {
				w.observe(e, at, flow.Scene{})
			}
		case "test":
			for _, name := range e.Test {
				w.test(e, name.Text)
			}
		case "look":
			if e.At.Text != "" && len(e.Reads) > 0 {
				w.partReading(e, e.At.Text, logbook.ByEye)
			}
		case "check":
			w.check(e)
		case "memory":
			w.memory(e)
		case "chill":
			w.watch(e, flow.Scene{Chilled: w.itemNumbers(e.Chill)})
		case "heat":
			w.watch(e, flow.Scene{Heated: w.itemNumbers(e.Heat)})
		case "press":
			w.watch(e, flow.Scene{Pressed: w.itemNumbers(e.Press)})
		case "piggyback":
			w.watch(e, flow.Scene{Piggybacked: w.itemNumbers(e.Piggyback)})
		case "swap":
			w.replace(e.Swap)
		case "mend":
			w.replace(e.Mend)
		}
	}
}

// replace notes that items were replaced or mended.
func (w *work) replace(names []form.Word) {
	w.epoch++
	for _, item := range w.itemNumbers(names) {
		if !contains(w.replaced, item) {
			w.replaced = append(w.replaced, item)
		}
	}
}

// itemNumbers gives the items that names stand for; a block whose parts are
// listed stands for all of them.
func (w *work) itemNumbers(names []form.Word) []int {
	var items []int
	for _, name := range names {
		items = append(items, w.itemsNamed(name.Text)...)
	}
	return items
}

func (w *work) itemsNamed(name string) []int {
	var onBoard []int
	for i := range w.sheet.Blocks {
		if b := &w.sheet.Blocks[i]; b.Board == name && b.Name.Text != name {
			onBoard = append(onBoard, w.model.ItemsOf(b.Name.Text)...)
		}
	}
	if len(onBoard) > 0 {
		return onBoard
	}
	if w.sheet.Block(name) != nil {
		return w.model.ItemsOf(name)
	}
	if item, ok := w.model.Item(name); ok {
		return []int{item}
	}
	return nil
}

// scene completes a scene with the state that an entry gives.
func (w *work) scene(e *logbook.Entry, scene flow.Scene) flow.Scene {
	if warm := w.warm(e.State); warm != flow.Unknown {
		scene.Warm = warm
	}
	scene.Replaced = append([]int(nil), w.replaced...)
	scene.Moment = w.moment
	scene.Lifted = w.itemNumbers(e.State.Lifted)
	for _, name := range e.State.Without {
		for i := range w.sheet.Blocks {
			b := &w.sheet.Blocks[i]
			if b.Board == name.Text || b.Name.Text == name.Text {
				if number, ok := w.model.Block(b.Name.Text); ok {
					scene.Without = append(scene.Without, number)
				}
			}
		}
	}
	for _, name := range e.State.Injected {
		if net, ok := w.model.Net(name.Text); ok {
			scene.Injected = append(scene.Injected, net)
		}
	}
	return scene
}

// suggest names the known word that was probably meant, or else the chief ones.
func suggest(word string, known, chief []string) string {
	if near := form.Nearest(word, known); near != "" {
		return fmt.Sprintf("did you mean %q?", near)
	}
	return form.Suggest(word, chief)
}

func (w *work) unused(e *logbook.Entry, format string, values ...any) {
	w.report.Unused = append(w.report.Unused, Unused{Line: e.Place.Line, Why: fmt.Sprintf(format, values...)})
}

func joined(words []form.Word) string {
	list := make([]string, len(words))
	for i, word := range words {
		list[i] = word.Text
	}
	return strings.Join(list, ", ")
}

func contains(list []int, x int) bool {
	for _, y := range list {
		if x == y {
			return true
		}
	}
	return false
}

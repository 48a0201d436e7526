package library

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"go.yaml.in/yaml/v4"

	"halfsplit/form"
	"halfsplit/quantity"
	"halfsplit/sheet"
	"halfsplit/wiring"
)

// Set gives the text of a sheet with some values set, such as "value of C1 = 2200
// uF", "C1 = 2200 uF", "T1 secondary = 18 V", "limits of out = ±2 %", "mains of model
// = 120 V". The file is only a name for messages. Structure, comments and layout
// stay as they are.
//
// What is set of a part may be its value, type, ratings, tolerance and the like, any
// setting that its kind takes in a circuit, and primary and secondary voltage of a
// transformer; of a rail its nominal voltage, limits, ripple, load; of a point what to
// expect; of the model and of hazards what they state. A value on its own is the value
// of a part, the nominal voltage of a rail, what to expect at a point. Ratings and
// tolerance that stand behind a value stay unless they are set too.
//
// What says the same follows: the load of a rail and that in the circuit, the mains of
// the model and that of its circuits, a capacitor and the charge that a hazard tells
// of. Then the circuits are solved as they were and as they are, and the voltages
// to expect on rails and at points follow in proportion, with the ripple of what is
// not regulated; but not what was set.
//
// Errors are a [*Wrong] for a change that cannot be, form.Problems when the sheet
// itself has mistakes, those of a circuit that cannot be solved with these values,
// and that of ctx.
func Set(ctx context.Context, file string, text []byte, changes []string) ([]byte, error) {
	was, err := sheet.Parse(file, text)
	if err != nil {
		return nil, err
	}
	p, err := newPage(string(text))
	if err != nil {
		return nil, err
	}
	e := &edit{file: file, text: text, page: p, was: was, now: was, set: map[figure]bool{}}
	ordered := slices.Clone(changes) // limits after what they are about
	slices.SortStableFunc(ordered, func(a, b string) int { return aboutLimits(a) - aboutLimits(b) })
	for _, one := range ordered {
		if err := e.change(one); err != nil {
			return nil, err
		}
	}
	if err := e.follow(ctx); err != nil {
		return nil, err
	}
	return []byte(e.page.text), nil
}

// aboutLimits is 1 for a change that sets limits.
func aboutLimits(change string) int {
	left, _, _ := strings.Cut(strings.ToLower(change), "=")
	if slices.Contains(strings.Fields(left), "limits") {
		return 1
	}
	return 0
}

// figure is one value on a sheet.
type figure struct {
	of  thing
	key string
}

// edit is a sheet that is being changed.
type edit struct {
	file     string
	text     []byte // as it was
	page     *page
	was, now *sheet.Sheet
	set      map[figure]bool // what was asked for; nothing else changes it
}

// change sets one value that was asked for.
func (e *edit) change(text string) error {
	c, err := parseChange(text, e.now)
	if err != nil {
		return err
	}
	f, value, err := e.resolve(c)
	if err != nil {
		return err
	}
	if err := e.put(f, value); err != nil {
		return e.wrong(text, err)
	}
	e.set[f] = true
	return nil
}

// wrong puts an error about a changed sheet as one about the change.
func (e *edit) wrong(text string, err error) error {
	var problems form.Problems
	if errors.As(err, &problems) && len(problems) > 0 {
		return &Wrong{text, problems[0].Message, problems[0].Hint}
	}
	return &Wrong{text, err.Error(), ""}
}

// resolve gives the figure that a change sets, and what will stand there.
func (e *edit) resolve(c change) (figure, string, error) {
	f := figure{c.of, c.key}
	if c.of.section != "parts" {
		return f, c.value, nil
	}
	p := e.now.Part(c.of.name)
	if slices.Contains(windings(p), c.key) {
		key, whole, err := wound(p, c)
		return figure{c.of, key}, whole, err
	}
	return f, c.value, nil
}

// put writes a value into its place, with the limits about it where those are in
// volt, and reads the sheet anew. When that cannot be, all stays as it was.
func (e *edit) put(f figure, value string) error {
	before := e.page.text
	limits, along := "", false
	if f.key == "nominal" || f.key == "expect" {
		limits, along = e.limits(f.of, number(value)/number(e.page.figure(e.now, f)))
	}
	err := e.write(f, value)
	if err == nil && along {
		err = e.write(figure{f.of, "limits"}, limits)
	}
	if err == nil {
		var now *sheet.Sheet
		if now, err = sheet.Parse(e.file, []byte(e.page.text)); err == nil {
			e.now = now
			return nil
		}
	}
	if back, wrong := newPage(before); wrong == nil {
		e.page = back
	}
	return err
}

// write writes a value into its place on the page.
func (e *edit) write(f figure, value string) error {
	places := e.page.places(f.of)
	if len(places) == 0 {
		return fmt.Errorf("%s has no place of its own on the sheet", f.of.name)
	}
	if f.of.section == "parts" {
		p := e.now.Part(f.of.name)
		kind, _ := wiring.Find(p.Kind.Text)
		switch {
		case slices.Contains(kind.SettingNames(), f.key):
			return e.setting(places, f.key, value)
		case f.key == "value" || f.key == "rated":
			return e.rated(places, f.key, value)
		}
	}
	return e.plain(places, f.key, value)
}

// plain sets a key in the first of several mappings that has it, or in the first.
func (e *edit) plain(places []place, key, text string) error {
	for _, at := range places {
		if value(at.Node, key) != nil {
			return e.page.set(text, at.under(key))
		}
	}
	return e.page.set(text, places[0].under(key))
}

// setting sets a setting of a part, beside those that it has.
func (e *edit) setting(places []place, key, text string) error {
	with := places[0]
	for _, at := range places {
		if there := value(at.Node, "settings"); there != nil && len(there.Content) > 0 {
			with = at
			if value(there, key) != nil {
				break
			}
		}
	}
	return e.page.set(text, with.under("settings", key))
}

// rated sets value or ratings of a part. Of what stands behind a value, and of
// several ratings, only those of the same unit are replaced.
func (e *edit) rated(places []place, key, text string) error {
	words := figures(text)
	for _, at := range places {
		there := value(at.Node, key)
		if there != nil && key == "value" {
			old := figures(there.Value)
			behind := slices.DeleteFunc(old[min(1, len(old)):], func(one string) bool { return alike(one, words[min(1, len(words)):]) })
			return e.page.set(strings.Join(append([]string{text}, behind...), " "), at.under(key))
		}
		if there != nil {
			for i, one := range there.Content {
				if alike(one.Value, words) {
					return e.page.set(text, at.under(key, fmt.Sprintf("#%d", i+1)))
				}
			}
			if there.Kind == yaml.ScalarNode && alike(there.Value, words) {
				return e.page.set(text, at.under(key))
			}
			return e.page.add(text, at.under(key))
		}
		if behind := value(at.Node, "value"); behind != nil && key == "rated" { // "2200 uF 25 V"
			old := figures(behind.Value)
			for i, one := range old {
				if i > 0 && alike(one, words) {
					old[i] = text
					return e.page.set(strings.Join(old, " "), at.under("value"))
				}
			}
		}
	}
	return e.page.set(text, places[0].under(key))
}

// figures parts "2200 uF 25 V ±20 %" into its figures.
func figures(text string) (list []string) {
	for _, word := range strings.Fields(text) {
		if len(list) > 0 && !strings.ContainsAny(word[:1], "0123456789.+-") && !strings.HasPrefix(word, "±") {
			list[len(list)-1] += " " + word
		} else {
			list = append(list, word)
		}
	}
	return list
}

// alike tells whether a figure has the unit of one of others.
func alike(one string, others []string) bool {
	unit := unitOf(one)
	return slices.ContainsFunc(others, func(other string) bool { return unitOf(other) == unit })
}

// unitOf gives the unit of a figure; that of a tolerance is percent.
func unitOf(text string) quantity.Unit {
	if strings.HasSuffix(text, "%") {
		return quantity.Percent
	}
	q, err := quantity.Parse(text)
	if err != nil {
		return quantity.None
	}
	return q.Unit
}

// windings are the words for the windings of a transformer, one by one.
func windings(p *sheet.Part) (words []string) {
	_, list := winding(p)
	if len(list) < 2 {
		return nil
	}
	words = []string{"primary", "secondary"}
	for i := range list[1:] {
		words = append(words, "secondary "+strconv.Itoa(i+1))
	}
	return words
}

// winding gives the figures of the windings of a transformer, and the setting that
// they stand under.
func winding(p *sheet.Part) (key string, list []string) {
	for _, key := range []string{"voltages", "turns"} {
		if whole, ok := p.Settings.Get(key); ok {
			for one := range strings.SplitSeq(whole.Text, "/") {
				list = append(list, strings.TrimSpace(one))
			}
			return key, list
		}
	}
	return "", nil
}

// wound gives the setting of a transformer with some of its windings changed. The
// secondary without a number is all of them when they are alike.
func wound(p *sheet.Part, c change) (key, whole string, err error) {
	key, list := winding(p)
	first, last := 1, len(list)-1
	if c.key == "primary" {
		first, last = 0, 0
	} else if number, ok := strings.CutPrefix(c.key, "secondary "); ok {
		first, _ = strconv.Atoi(number)
		last = first
	}
	for i := first; i <= last; i++ {
		if list[i] != list[first] {
			return "", "", &Wrong{c.text, fmt.Sprintf("the secondaries of %s are not alike: %s", p.Name.Text, strings.Join(list[1:], ", ")), `say which, as in "secondary 1"`}
		}
	}
	for i := first; i <= last; i++ {
		list[i] = c.value
	}
	return key, strings.Join(list, " / "), nil
}

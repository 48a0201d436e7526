package schematic

import (
	"bufio"
	"fmt"
	"html"
	"io"
	"math"
	"strconv"
	"strings"
)

// Unit is the length of a unit of the grid in pixels.
const Unit = 10

// Style is the style sheet of a drawing. A page may set the variables
// --schematic-ink, -paper, -wire, -faint, -good, -doubt and -bad; without, they
// follow the reader's choice of light or dark.
const Style = `.schematic{--sk-ink:var(--schematic-ink,#1a1a1a);--sk-paper:var(--schematic-paper,#fff);--sk-wire:var(--schematic-wire,#1f4e79);--sk-faint:var(--schematic-faint,#555);--sk-good:var(--schematic-good,#1b6e3c);--sk-doubt:var(--schematic-doubt,#8a5a00);--sk-bad:var(--schematic-bad,#b3261e)}
@media (prefers-color-scheme:dark){.schematic{--sk-ink:var(--schematic-ink,#eee);--sk-paper:var(--schematic-paper,#16191d);--sk-wire:var(--schematic-wire,#8fc1f0);--sk-faint:var(--schematic-faint,#aaa);--sk-good:var(--schematic-good,#6fd196);--sk-doubt:var(--schematic-doubt,#f0b64d);--sk-bad:var(--schematic-bad,#ff8a80)}}
.schematic{font-family:system-ui,sans-serif;font-size:13px}
.sk-paper{fill:var(--sk-paper)}
.sk-mark{stroke:var(--sk-ink);fill:none}
.sk-solid{stroke:var(--sk-ink);fill:var(--sk-ink)}
.sk-wire{stroke:var(--sk-wire);fill:none}
.sk-dot{fill:var(--sk-wire);stroke:none}
.sk-ring{fill:var(--sk-paper);stroke:var(--sk-wire)}
.sk-hit{fill:#000;stroke:#000;opacity:0}
.schematic text{fill:var(--sk-ink);stroke:none}
.schematic .sk-name{font-weight:600}
.schematic .sk-inside{font-size:11px}
.schematic .sk-node-name{fill:var(--sk-faint);font-style:italic}
.schematic .sk-point{fill:var(--sk-wire);font-weight:600}
.schematic .sk-next{font-weight:600}
.sk-flag{fill:none;stroke:var(--sk-wire)}
.sk-lead{stroke:var(--sk-faint);fill:none}
.sk-bar{stroke:var(--sk-ink);fill:none}
.sk-level{fill:var(--sk-ink);stroke:none}
.sk-good .sk-level{fill:var(--sk-good)}.sk-doubt .sk-level{fill:var(--sk-doubt)}.sk-bad .sk-level{fill:var(--sk-bad)}
.schematic .sk-good .sk-reading{fill:var(--sk-good)}.schematic .sk-doubt .sk-reading{fill:var(--sk-doubt)}.schematic .sk-bad .sk-reading{fill:var(--sk-bad)}
.sk-part:focus,.sk-node:focus,.sk-part:hover,.sk-node:hover{outline:none}
.sk-part:hover .sk-mark,.sk-part:focus .sk-mark,.sk-part.sk-chosen .sk-mark{stroke-width:2.6}
.sk-node:hover .sk-wire,.sk-node:focus .sk-wire,.sk-node.sk-chosen .sk-wire{stroke-width:3}
`

// A Format says how a drawing is written.
type Format struct {
	// Within leaves out style sheet and paper, for a page that has a style sheet
	// with Style of its own.
	Within bool
	// Prefix begins every id, so that a page may hold several drawings.
	Prefix string
}

// WriteSVG writes the drawing as SVG 1.1. Parts are groups with data-part, nodes
// groups with data-node, each with an id and a title. One unit of the grid is
// Unit pixels; text is 13 pixels high and not made smaller with the window.
func (d *Drawing) WriteSVG(to io.Writer, set Format) error {
	w := &writer{Writer: bufio.NewWriter(to), ids: map[string]int{}, prefix: set.Prefix}
	fmt.Fprintf(w, `<svg xmlns="http://www.w3.org/2000/svg" class="schematic" width="%s" height="%s" viewBox="0 0 %s %s" font-family="sans-serif" font-size="13" stroke-width="1.5" stroke-linecap="round" stroke-linejoin="round" role="group">`+"\n",
		px(d.Width), px(d.Height), px(d.Width), px(d.Height))
	fmt.Fprintf(w, "<title>%s</title>\n", text("Circuit "+d.Name))
	if !set.Within {
		fmt.Fprintf(w, "<style>%s</style>\n<rect class=\"sk-paper\" width=\"100%%\" height=\"100%%\" fill=\"#fff\"/>\n", Style)
	}
	for i := range d.Nodes {
		w.node(&d.Nodes[i])
	}
	for i := range d.Parts {
		w.part(&d.Parts[i])
	}
	fmt.Fprintln(w, "</svg>")
	return w.Flush()
}

type writer struct {
	*bufio.Writer
	ids    map[string]int
	prefix string
}

// px writes a length in pixels.
func px(v float64) string { return strconv.FormatFloat(math.Round(v*Unit*10)/10, 'f', -1, 64) }

// at writes a place.
func at(p XY) string { return px(p.X) + " " + px(p.Y) }

// text escapes what somebody wrote; what no XML may hold is replaced.
func text(s string) string {
	s = strings.Map(func(r rune) rune {
		if r < ' ' || r == 0xfffe || r == 0xffff {
			return ' '
		}
		return r
	}, strings.ToValidUTF8(s, "\ufffd"))
	return html.EscapeString(s)
}

// id makes an id of a name: letters and digits, and a number when it is taken.
func (w *writer) id(what, name string) string {
	id := w.prefix + what + "-" + strings.Map(func(r rune) rune {
		if r >= 'a' && r <= 'z' || r >= 'A' && r <= 'Z' || r >= '0' && r <= '9' {
			return r
		}
		return '-'
	}, name)
	w.ids[id]++
	for n := w.ids[id]; n > 1; n++ {
		if other := id + "-" + strconv.Itoa(n); w.ids[other] == 0 {
			w.ids[id] = n
			w.ids[other] = 1
			return other
		}
	}
	return id
}

// class adds a tone to a class.
func class(name string, tone Tone) string {
	if tone == Plain {
		return name
	}
	return name + " sk-" + string(tone)
}

// node writes the wires of a node.
func (w *writer) node(n *Wires) {
	tone, title := Plain, n.Title
	if n.Reading != nil {
		tone = n.Reading.Tone
		title = strings.Join(append([]string{title}, n.Reading.Lines...), ", ")
	}
	fmt.Fprintf(w, `<g class="%s" id="%s" data-node="%s" tabindex="0">`+"\n<title>%s</title>\n", text(class("sk-node", tone)), text(w.id("node", n.Name)), text(n.Name), text(title))
	var path strings.Builder
	for _, l := range n.Lines {
		fmt.Fprintf(&path, "M%sL%s", at(l[0]), at(l[1]))
	}
	if path.Len() > 0 {
		fmt.Fprintf(w, `<path class="sk-hit" d="%s" fill="none" stroke="#000" stroke-width="9" opacity="0"/>`+"\n", path.String())
		fmt.Fprintf(w, `<path class="sk-wire" d="%s" fill="none" stroke="#1f4e79"/>`+"\n", path.String())
	}
	for _, m := range n.Marks {
		fmt.Fprintf(w, `<path class="sk-wire" d="M%sL%sM%sL%sM%sL%s" fill="none" stroke="#1f4e79"/>`+"\n",
			at(XY{m.X - .8, m.Y}), at(XY{m.X + .8, m.Y}), at(XY{m.X - .5, m.Y + .35}), at(XY{m.X + .5, m.Y + .35}), at(XY{m.X - .2, m.Y + .7}), at(XY{m.X + .2, m.Y + .7}))
	}
	for _, p := range n.Dots {
		fmt.Fprintf(w, `<circle class="sk-dot" cx="%s" cy="%s" r="3.2" fill="#1f4e79"/>`+"\n", px(p.X), px(p.Y))
	}
	for _, p := range n.Ends {
		w.ring(p)
	}
	for i := range n.Tags {
		w.tag(&n.Tags[i])
	}
	fmt.Fprintln(w, "</g>")
}

// ring draws the small circle of an open end or a test point.
func (w *writer) ring(p XY) {
	fmt.Fprintf(w, `<circle class="sk-ring" cx="%s" cy="%s" r="3.6" fill="#fff" stroke="#1f4e79"/>`+"\n", px(p.X), px(p.Y))
}

// tag writes what stands at a node.
func (w *writer) tag(t *Tag) {
	if t.Leader {
		to := XY{min(max(t.At.X, t.Box.Left), t.Box.Right), min(max(t.At.Y, t.Box.Top), t.Box.Bottom)}
		fmt.Fprintf(w, `<path class="sk-lead" d="M%sL%s" fill="none" stroke="#555" stroke-dasharray="2 4"/>`+"\n", at(t.At), at(to))
	}
	if t.Point {
		w.ring(t.At)
	}
	if t.Flag {
		fmt.Fprintf(w, `<rect class="sk-flag" x="%s" y="%s" width="%s" height="%s" rx="3" fill="none" stroke="#1f4e79"/>`+"\n", px(t.Box.Left-.1), px(t.Box.Top), px(t.Box.Right-t.Box.Left+.2), px(t.Box.Bottom-t.Box.Top))
	}
	for _, line := range t.Texts {
		w.text(line)
	}
}

// classes and looks of texts by their role.
var looks = map[string][2]string{
	"name":    {"sk-name", `font-weight="600"`},
	"value":   {"sk-value", ""},
	"inside":  {"sk-inside", `font-size="11"`},
	"node":    {"sk-node-name", `font-style="italic" fill="#555"`},
	"point":   {"sk-point", `font-weight="600" fill="#1f4e79"`},
	"reading": {"sk-reading", ""},
	"next":    {"sk-next", `font-weight="600"`},
}

func (w *writer) text(t Text) {
	look := looks[t.Class]
	anchor := ""
	if t.Anchor != "start" {
		anchor = ` text-anchor="` + t.Anchor + `"`
	}
	if look[1] != "" {
		anchor += " " + look[1]
	}
	fmt.Fprintf(w, `<text class="%s" x="%s" y="%s"%s>%s</text>`+"\n", look[0], px(t.At.X), px(t.At.Y), anchor, text(t.Text))
}

// part writes a part with what is written beside it.
func (w *writer) part(p *Figure) {
	tone, title := Plain, p.Title
	if p.Suspect != nil {
		tone = p.Suspect.Tone
		title += "; suspect " + p.Suspect.Text
	}
	fmt.Fprintf(w, `<g class="%s" id="%s" data-part="%s" tabindex="0">`+"\n<title>%s</title>\n", text(class("sk-part", tone)), text(w.id("part", p.Name)), text(p.Name), text(title))
	fmt.Fprintf(w, `<rect class="sk-hit" x="%s" y="%s" width="%s" height="%s" opacity="0"/>`+"\n", px(p.Box.Left-.3), px(p.Box.Top), px(p.Box.Right-p.Box.Left+.6), px(p.Box.Bottom-p.Box.Top))
	var open strings.Builder
	for _, s := range p.Strokes {
		switch {
		case s.Filled:
			fmt.Fprintf(w, `<path class="sk-solid" d="%s" fill="#1a1a1a" stroke="#1a1a1a"/>`+"\n", steps(s))
		case s.Dashed:
			fmt.Fprintf(w, `<path class="sk-mark" d="%s" fill="none" stroke="#1a1a1a" stroke-dasharray="3 3"/>`+"\n", steps(s))
		default:
			open.WriteString(steps(s))
		}
	}
	fmt.Fprintf(w, `<path class="sk-mark" d="%s" fill="none" stroke="#1a1a1a"/>`+"\n", open.String())
	for _, t := range p.Texts {
		w.text(t)
	}
	if p.Suspect != nil {
		b, s := p.Bar, p.Suspect
		fmt.Fprintf(w, `<rect class="sk-bar" x="%s" y="%s" width="%s" height="9" fill="none" stroke="#1a1a1a"/>`+"\n", px(b.Left), px(b.Bottom-1.2), px(barWidth))
		fmt.Fprintf(w, `<rect class="sk-level" x="%s" y="%s" width="%s" height="9" fill="#1a1a1a"/>`+"\n", px(b.Left), px(b.Bottom-1.2), px(barWidth*s.Strength))
		w.text(Text{At: XY{b.Left + barWidth + .4, b.Bottom - textDepth}, Anchor: "start", Text: s.Text, Class: "reading"})
	}
	fmt.Fprintln(w, "</g>")
}

// steps writes a stroke as the data of a path.
func steps(s Stroke) string {
	var b strings.Builder
	for _, step := range s.Steps {
		b.WriteByte(step.Do)
		for i, p := range step.At {
			if i > 0 {
				b.WriteByte(' ')
			}
			b.WriteString(at(p))
		}
	}
	return b.String()
}

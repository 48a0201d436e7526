package paper

import (
	"archive/zip"
	"fmt"
	"io"
	"strings"
)

// Markdown writes the document as a zip archive: NAME.md and, in the folder
// pictures, its drawings as SVG and its photos. Marks on photos are listed
// beneath them.
func (d *Document) Markdown(to io.Writer, name string) error {
	archive := zip.NewWriter(to)
	put := func(file string, data []byte) error {
		w, err := archive.CreateHeader(&zip.FileHeader{Name: file, Method: zip.Deflate, Modified: d.Made})
		if err != nil {
			return err
		}
		_, err = w.Write(data)
		return err
	}
	var text strings.Builder
	text.WriteString("# " + plain(d.Title) + "\n\n")
	if d.Subtitle != "" {
		text.WriteString(plain(d.Subtitle) + "\n\n")
	}
	figures := 0
	for _, b := range d.Blocks {
		switch b := b.(type) {
		case Heading:
			text.WriteString("## " + plain(string(b)) + "\n\n")
		case Text:
			text.WriteString(plain(string(b)) + "\n\n")
		case Caution:
			text.WriteString("> **Caution.** " + plain(string(b)) + "\n\n")
		case Facts:
			for _, f := range b {
				text.WriteString("- " + plain(f.Name) + ": " + plain(f.Value) + "\n")
			}
			text.WriteString("\n")
		case Table:
			writeTable(&text, b)
		case Figure:
			figures++
			file := fmt.Sprintf("pictures/figure-%d.svg", figures)
			if err := put(file, []byte(b.Drawing.SVG(b.Caption))); err != nil {
				return err
			}
			fmt.Fprintf(&text, "![%s](%s)\n\n%s\n\n", plain(b.Caption), file, plain(b.Caption))
		case Photo:
			figures++
			file := fmt.Sprintf("pictures/%d-%s", figures, b.Name)
			if err := put(file, b.Data); err != nil {
				return err
			}
			fmt.Fprintf(&text, "![%s](%s)\n\n%s\n\n", plain(b.Caption), file, plain(b.Caption))
			for _, s := range b.Spots {
				fmt.Fprintf(&text, "- %s: %.0f %% from the left, %.0f %% from the top\n", plain(s.Name), 100*s.X, 100*s.Y)
			}
			if len(b.Spots) > 0 {
				text.WriteString("\n")
			}
		}
	}
	last := append(compact(plain(d.Workshop)), d.Made.Format("2006-01-02"))
	text.WriteString(strings.Join(last, ", ") + "\n")
	if err := put(name+".md", []byte(text.String())); err != nil {
		return err
	}
	return archive.Close()
}

// writeTable writes a table.
func writeTable(text *strings.Builder, t Table) {
	if len(t.Rows) == 0 {
		return
	}
	row := func(cells []string) {
		for _, c := range cells {
			text.WriteString("| " + plain(c) + " ")
		}
		text.WriteString("|\n")
	}
	row(t.Header)
	text.WriteString(strings.Repeat("|---", len(t.Header)) + "|\n")
	for _, r := range t.Rows {
		row(r)
	}
	if t.Caption != "" {
		text.WriteString("\n" + plain(t.Caption) + "\n")
	}
	text.WriteString("\n")
}

// plain makes what a person typed stand in Markdown as it was typed.
func plain(text string) string {
	return strings.Join(strings.Fields(strings.NewReplacer(`\`, `\\`, "`", "\\`", "*", `\*`, "_", `\_`, "<", "&lt;", ">", "&gt;", "[", `\[`, "]", `\]`, "|", `\|`, "#", `\#`).Replace(text)), " ")
}

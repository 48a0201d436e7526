package paper_test

import (
	"archive/zip"
	"bytes"
	"context"
	"fmt"
	"image"
	"image/color"
	"image/jpeg"
	"image/png"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"halfsplit/findings"
	"halfsplit/internal/paper"
	"halfsplit/internal/record"
	"halfsplit/logbook"
)

var made = time.Date(2026, 3, 9, 17, 0, 0, 0, time.UTC)

// hum is the report of the synthesizer that hummed, as its case tells it.
func hum(t testing.TB) *paper.Document {
	t.Helper()
	c, s, err := logbook.Load("../../examples/p6-hum-and-voice-four.case.yaml")
	if err != nil {
		t.Fatal(err)
	}
	found, err := findings.Reason(context.Background(), c, s, findings.Options{Circuits: findings.NoCircuits})
	if err != nil {
		t.Fatal(err)
	}
	source := paper.Source{
		Settings: record.Settings{Workshop: "Saltmarsh Sound Archive", Currency: "EUR"},
		Unit: record.Unit{Code: "SSA-0017", Maker: "Corvane", Model: "P6", Serial: c.Unit.Serial, Year: 1983, Owner: "Joost", History: c.Unit.History,
			Fitted: []record.Fitted{{Name: "memory battery", DateCode: "8302", Original: record.Replaced}}},
		Job: record.Job{Title: "hums, and voice four goes when warm", Complaint: "It hums <b>on everything</b>.", Stage: record.HandBack, Outcome: record.Repaired,
			Opened: made.AddDate(0, 0, -7), Closed: made, DoneWhen: "an evening's playing", Lesson: "Look at C1 first: it stands beside the regulator."},
		Findings: found, Said: map[record.ID]string{}, Made: made,
	}
	for i := range c.Log {
		e := record.Entry{ID: record.ID(i + 1), Number: i + 1, At: made.Add(time.Duration(i-40) * time.Hour), Verb: c.Log[i].Verb(), Who: "Ines", Seconds: 300}
		if e.Verb == "swap" {
			e.Swaps = []record.Swap{{Part: c.Log[i].Swap[0].Text, OutMarking: "4700 uF 40 V", OutBatch: "8314", Condition: record.ConditionSpent, Measured: "325 µF, 3.2 Ω", InMarking: "4700 µF 50 V 105 °C"}}
			e.Cost = 420
		}
		source.Log = append(source.Log, e)
		source.Said[e.ID] = c.Log[i].Say()
	}
	picture := image.NewRGBA(image.Rect(0, 0, 400, 300))
	for y := range 300 {
		for x := range 400 {
			picture.Set(x, y, color.RGBA{30, 90 + uint8(x/8), 60, 255})
		}
	}
	var data bytes.Buffer
	if err := jpeg.Encode(&data, picture, nil); err != nil {
		t.Fatal(err)
	}
	source.Photos = []paper.Photo{{Name: "board.jpg", Media: "image/jpeg", Data: data.Bytes(), Width: 400, Height: 300, Caption: "The supply board", Spots: []paper.Spot{{Name: "C1", X: 0.3, Y: 0.4}}}}
	return paper.Report(source)
}

// keep writes a file to look at, when HALFSPLIT_LOOK names a folder.
func keep(t *testing.T, name string, data []byte) {
	if folder := os.Getenv("HALFSPLIT_LOOK"); folder != "" {
		if err := os.WriteFile(filepath.Join(folder, name), data, 0o644); err != nil {
			t.Fatal(err)
		}
	}
}

// tell is what the report must say, in whichever form.
var tell = []string{"Corvane P6", "SSA-0017", "0417", "Saltmarsh Sound Archive", "What was wrong", "Parts", "C1", "8314", "spent",
	"Readings, before and after", "within", "Safety", "Logbook", "complaint: hum", "For the next one", "Caution", "Pictures"}

// TestPDF reads the pages back with pdftotext of Poppler, which tools/check
// installs.
func TestPDF(t *testing.T) {
	var out, again bytes.Buffer
	d := hum(t)
	if err := d.PDF(&out); err != nil {
		t.Fatal(err)
	}
	if err := d.PDF(&again); err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(out.Bytes(), again.Bytes()) {
		t.Error("the same document gives another file the second time")
	}
	keep(t, "report.pdf", out.Bytes())
	read := exec.Command("pdftotext", "-layout", "-", "-")
	read.Stdin = &out
	text, err := read.Output()
	if err != nil {
		t.Fatalf("pdftotext (of poppler-utils) is needed to read the PDF: %v", err)
	}
	for _, word := range append(tell, "1 of ", "<b>on everything</b>") {
		if !strings.Contains(string(text), word) {
			t.Errorf("the PDF does not say %q", word)
		}
	}
	if pages := strings.Count(string(text), "\f"); pages < 2 || pages > 8 {
		t.Errorf("%d pages", pages)
	}
}

// TestHTML looks for everything in the page, and for what was typed as it was
// typed.
func TestHTML(t *testing.T) {
	var out bytes.Buffer
	if err := hum(t).HTML(&out); err != nil {
		t.Fatal(err)
	}
	keep(t, "report.html", out.Bytes())
	for _, word := range append(tell, "<svg", "data:image/jpeg;base64,", "&lt;b&gt;on everything&lt;/b&gt;") {
		if !strings.Contains(out.String(), word) {
			t.Errorf("the page does not say %q", word)
		}
	}
	if strings.Contains(out.String(), "<b>on everything") {
		t.Error("what was typed reached the page as marks")
	}
}

// TestMarkdown looks into the archive.
func TestMarkdown(t *testing.T) {
	var out bytes.Buffer
	if err := hum(t).Markdown(&out, "hum"); err != nil {
		t.Fatal(err)
	}
	archive, err := zip.NewReader(bytes.NewReader(out.Bytes()), int64(out.Len()))
	if err != nil {
		t.Fatal(err)
	}
	files := map[string]string{}
	for _, f := range archive.File {
		r, err := f.Open()
		if err != nil {
			t.Fatal(err)
		}
		data, err := io.ReadAll(r)
		if err != nil {
			t.Fatal(err)
		}
		files[f.Name] = string(data)
	}
	text := files["hum.md"]
	for _, word := range append(tell, "&lt;b&gt;on everything&lt;/b&gt;") {
		if !strings.Contains(text, word) {
			t.Errorf("the write-up does not say %q", word)
		}
	}
	for name := range files {
		if name != "hum.md" && !strings.Contains(text, "("+name+")") {
			t.Errorf("%s is in the archive, but not in the text", name)
		}
	}
	if len(files) < 3 {
		t.Errorf("only %d files in the archive", len(files))
	}
}

// TestLeave leaves a section out.
func TestLeave(t *testing.T) {
	d := hum(t)
	d.Leave("Logbook", "Pictures")
	var out bytes.Buffer
	if err := d.HTML(&out); err != nil {
		t.Fatal(err)
	}
	if s := out.String(); strings.Contains(s, "complaint: hum") || strings.Contains(s, "data:image") || !strings.Contains(s, "Before it is used again") {
		t.Error("sections left out stand in the page, or others are gone")
	}
}

// TestCode reads a code back with zbarimg of ZBar, which tools/check installs.
func TestCode(t *testing.T) {
	for _, text := range []string{"SSA-0017", "http://192.168.1.20:8765/unit/17", strings.Repeat("x", 200)} {
		d, err := paper.QR(text, 300)
		if err != nil {
			t.Fatal(err)
		}
		file := filepath.Join(t.TempDir(), "code.png")
		if err := os.WriteFile(file, raster(t, &d), 0o644); err != nil {
			t.Fatal(err)
		}
		got, err := exec.Command("zbarimg", "--quiet", "--raw", file).Output()
		if err != nil {
			t.Fatalf("zbarimg (of zbar-tools) is needed to read the code: %v", err)
		}
		if strings.TrimSpace(string(got)) != text {
			t.Errorf("the code of %q reads %q", text, got)
		}
	}
}

// raster paints the areas of a drawing, two pixels a point.
func raster(t *testing.T, d *paper.Drawing) []byte {
	picture := image.NewGray(image.Rect(0, 0, int(2*d.Width), int(2*d.Height)))
	for i := range picture.Pix {
		picture.Pix[i] = 255
	}
	for _, s := range d.Shapes {
		if a, ok := s.(paper.Area); ok {
			for y := int(2 * a.At.Y); y < int(2*(a.At.Y+a.Height)); y++ {
				for x := int(2 * a.At.X); x < int(2*(a.At.X+a.Width)); x++ {
					picture.SetGray(x, y, color.Gray{})
				}
			}
		}
	}
	var out bytes.Buffer
	if err := png.Encode(&out, picture); err != nil {
		t.Fatal(err)
	}
	return out.Bytes()
}

// TestTags prints labels on two sheets, the first places left free.
func TestTags(t *testing.T) {
	var tags []paper.Tag
	for i := range 30 {
		tags = append(tags, paper.Tag{Code: fmt.Sprintf("SSA-%04d", i+1), Lines: []string{"Corvane P6", "serial 0417, 1983, a very long line that does not fit the label at all"}})
	}
	var out bytes.Buffer
	if err := paper.Tags(&out, paper.Sheet24, 5, tags); err != nil {
		t.Fatal(err)
	}
	keep(t, "labels.pdf", out.Bytes())
	read := exec.Command("pdftotext", "-layout", "-", "-")
	read.Stdin = &out
	text, err := read.Output()
	if err != nil {
		t.Fatal(err)
	}
	if pages := strings.Count(string(text), "\f"); pages != 2 {
		t.Errorf("%d sheets, want 2: 30 labels and 5 places free of 24", pages)
	}
	for _, tag := range tags {
		if !strings.Contains(string(text), tag.Code) {
			t.Errorf("no label %s", tag.Code)
		}
	}
	if err := paper.Tags(io.Discard, paper.Sheet24, -1, nil); err == nil {
		t.Error("a negative number of places to skip was taken")
	}
}

func BenchmarkPDF(b *testing.B) {
	d := hum(b)
	for b.Loop() {
		if err := d.PDF(io.Discard); err != nil {
			b.Fatal(err)
		}
	}
}

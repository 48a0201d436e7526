package web

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"image"
	"image/color"
	"image/jpeg"
	"image/png"
	"mime/multipart"
	"net/http"
	"strings"
	"testing"
)

// marked is a picture of 40 by 20 pixels, white, with its upper left quarter red.
func marked() image.Image {
	m := image.NewRGBA(image.Rect(0, 0, 40, 20))
	for y := range 20 {
		for x := range 40 {
			m.Set(x, y, color.White)
			if x < 20 && y < 10 {
				m.Set(x, y, color.RGBA{200, 0, 0, 255})
			}
		}
	}
	return m
}

// jpegWith is that picture as a JPEG whose camera noted which way is up, and a
// place. The segment is written as Exif 2.3 describes it.
func jpegWith(t testing.TB, orientation uint16, order binary.AppendByteOrder) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := jpeg.Encode(&b, marked(), &jpeg.Options{Quality: 95}); err != nil {
		t.Fatal(err)
	}
	tiff := []byte("II")
	if order == binary.AppendByteOrder(binary.BigEndian) {
		tiff = []byte("MM")
	}
	tiff = order.AppendUint16(tiff, 42)
	tiff = order.AppendUint32(tiff, 8)
	tiff = order.AppendUint16(tiff, 1)
	tiff = order.AppendUint16(tiff, 0x0112)
	tiff = order.AppendUint16(tiff, 3)
	tiff = order.AppendUint32(tiff, 1)
	tiff = order.AppendUint16(tiff, orientation)
	tiff = order.AppendUint16(tiff, 0)
	tiff = append(order.AppendUint32(tiff, 0), "SALTMARSH 52.9N"...)
	segment := append([]byte("Exif\x00\x00"), tiff...)
	out := append([]byte{0xff, 0xd8, 0xff, 0xe1}, binary.BigEndian.AppendUint16(nil, uint16(len(segment)+2))...)
	return append(append(out, segment...), b.Bytes()[2:]...)
}

// Where the red quarter is after turning, by orientation: Exif 2.3, table 6, says
// where the first row and column of what is stored lie.
func TestPhotosStandUpright(t *testing.T) {
	for _, order := range []binary.AppendByteOrder{binary.LittleEndian, binary.BigEndian} {
		for orientation, want := range map[uint16]string{0: "wide top left", 1: "wide top left", 2: "wide top right", 3: "wide bottom right", 4: "wide bottom left",
			5: "tall top left", 6: "tall top right", 7: "tall bottom right", 8: "tall bottom left", 9: "wide top left"} {
			file, w, h, err := photoOf(jpegWith(t, orientation, order))
			if err != nil {
				t.Fatal(err)
			}
			if bytes.Contains(file, []byte("Exif")) || bytes.Contains(file, []byte("SALTMARSH")) {
				t.Errorf("orientation %d: what the camera noted is still in it", orientation)
			}
			m, err := jpeg.Decode(bytes.NewReader(file))
			if err != nil {
				t.Fatal(err)
			}
			got := "tall "
			if w > h {
				got = "wide "
			}
			red := func(x, y int) bool { r, g, _, _ := m.At(x, y).RGBA(); return r > 0x8000 && g < 0x6000 }
			for _, corner := range []struct {
				name string
				x, y int
			}{{"top left", w / 4, h / 4}, {"top right", 3 * w / 4, h / 4}, {"bottom left", w / 4, 3 * h / 4}, {"bottom right", 3 * w / 4, 3 * h / 4}} {
				if red(corner.x, corner.y) {
					got += corner.name
				}
			}
			if got != want {
				t.Errorf("orientation %d: %s, want %s", orientation, got, want)
			}
		}
	}
}

func TestPhotosThatAreRefused(t *testing.T) {
	var huge bytes.Buffer
	if err := png.Encode(&huge, image.NewGray(image.Rect(0, 0, 9000, 8000))); err != nil {
		t.Fatal(err)
	}
	whole := jpegWith(t, 1, binary.LittleEndian)
	for name, c := range map[string]struct {
		content []byte
		says    string
	}{
		"HEIC":       {[]byte("\x00\x00\x00\x18ftypheic\x00\x00\x00\x00mif1heic"), "JPEG"},
		"text":       {[]byte("a photo, honestly"), "no photo"},
		"nothing":    {nil, "no photo"},
		"too many":   {huge.Bytes(), "9000 by 8000"},
		"broken off": {whole[:len(whole)-40], "damaged"},
	} {
		if _, _, _, err := photoOf(c.content); err == nil || !strings.Contains(err.Error(), c.says) {
			t.Errorf("%s: %v", name, err)
		}
	}
}

func FuzzOrientation(f *testing.F) {
	f.Add(jpegWith(f, 6, binary.LittleEndian))
	f.Add(jpegWith(f, 3, binary.BigEndian))
	f.Add([]byte("\xff\xd8\xff\xe1\x00\x08Exif\x00\x00"))
	f.Fuzz(func(t *testing.T, content []byte) {
		orientation(content) // whatever stands there, it ends
	})
}

// send sends files as a form does.
func (b *jobBench) send(t *testing.T, path string, files map[string][]byte) (int, string) {
	t.Helper()
	var body bytes.Buffer
	form := multipart.NewWriter(&body)
	for name, content := range files {
		w, err := form.CreateFormFile("photo", name)
		if err == nil {
			_, err = w.Write(content)
		}
		if err != nil {
			t.Fatal(err)
		}
	}
	form.WriteField("caption", "supply board")
	form.Close()
	answer := request(t, b.http, b.token, "POST", path, &body, func(r *http.Request) { r.Header.Set("Content-Type", form.FormDataContentType()) })
	return answer.StatusCode, bodyOf(t, answer)
}

func TestPhotosOfAJob(t *testing.T) {
	b := benchOfCase(t, threeChips)
	b.settled(t)
	if status, page := b.send(t, b.path+"/photos", nil); status != http.StatusUnprocessableEntity {
		t.Errorf("no photo: %d\n%s", status, page)
	}
	status, page := b.send(t, b.path+"/photos", map[string][]byte{"a.heic": []byte("\x00\x00\x00\x18ftypheic\x00\x00\x00\x00mif1heic")})
	if status != http.StatusUnprocessableEntity {
		t.Errorf("a HEIC photo: %d", status)
	}
	has(t, page, "as JPEG")
	for range 2 { // sent twice
		if status, page = b.send(t, b.path+"/photos", map[string][]byte{"board.jpg": jpegWith(t, 6, binary.LittleEndian)}); status != http.StatusSeeOther {
			t.Fatalf("a photo: %d\n%s", status, page)
		}
	}
	list, err := b.records.Photos(t.Context(), 0, b.job)
	if err != nil || len(list) != 1 || list[0].Width != 20 || list[0].Height != 40 {
		t.Fatalf("kept: %+v, %v", list, err)
	}
	one := fmt.Sprintf("%s/photos/%d", b.path, list[0].ID)
	answer := request(t, b.http, b.token, "GET", one+"/picture?width=100", nil, nil)
	if kind := answer.Header.Get("Content-Type"); kind != "image/jpeg" || !strings.Contains(answer.Header.Get("Cache-Control"), "immutable") {
		t.Errorf("the picture is %s, %s", kind, answer.Header.Get("Cache-Control"))
	}
	if status, _, page := b.post(t, one, "do", "spot", "name", "U20", "x", "110", "y", ""); status != http.StatusUnprocessableEntity {
		t.Errorf("a spot beside the picture: %d\n%s", status, page)
	}
	for _, x := range []string{"10", "25.5"} { // set anew, a spot moves
		if status, _, page := b.post(t, one, "do", "spot", "name", "U20", "x", x, "y", "50"); status != http.StatusSeeOther {
			t.Fatalf("a spot: %d\n%s", status, page)
		}
	}
	p, err := b.records.Photo(t.Context(), list[0].ID)
	if err != nil || len(p.Spots) != 1 || p.Spots[0].X != 0.255 {
		t.Errorf("spots: %+v, %v", p.Spots, err)
	}
	has(t, b.get(t, one), "U20 12 %", "ring suspect")
	if status, _, page := b.post(t, one, "do", "caption", "caption", "memory board", "cover", "yes"); status != http.StatusSeeOther {
		t.Errorf("a caption: %d\n%s", status, page)
	}
	if status, _, _ := b.post(t, b.path+"/log", "verb", "note", "subject", "see the photo", "attach", fmt.Sprintf("photo/%d", p.ID), "key", "p"); status != http.StatusSeeOther {
		t.Errorf("a photo at an entry: %d", status)
	}
	has(t, b.get(t, b.path+"/log"), "memory board")
	b.post(t, one, "do", "drop", "name", "U20")
	if p, err := b.records.Photo(t.Context(), list[0].ID); err != nil || len(p.Spots) != 0 {
		t.Errorf("spots after taking it off: %+v, %v", p.Spots, err)
	}
	if status, _, _ := b.post(t, one, "do", "polish"); status != http.StatusUnprocessableEntity {
		t.Errorf("something that cannot be done: %d", status)
	}
	b.post(t, one, "do", "hide")
	if answer := request(t, b.http, b.token, "GET", one, nil, nil); answer.StatusCode != http.StatusNotFound {
		t.Errorf("hidden, and still there: %s", answer.Status)
	}
}

func TestCircuitAndMemory(t *testing.T) {
	b := benchOfCase(t, threeChips)
	b.settled(t)
	has(t, b.get(t, b.path+"/circuit"), `data-part="Q1"`, "read 5.04 V, within", "Parts of the circuit")
	has(t, b.get(t, "/circuits.css"), ".schematic")
	has(t, b.get(t, b.path+"/memory"), "4000 to 7FFF", "U27", "12 %", "no suspect")
	if status, _, page := b.post(t, b.path+"/log", "verb", "memory", "subject", "main", "says", "bit 2 at 4000-7FFF; bit 5 at 4000-7FFF", "key", "m"); status != http.StatusSeeOther {
		t.Fatalf("what a self-test said: %d\n%s", status, page)
	}
	b.settled(t)
	has(t, b.get(t, b.path+"/memory"), "What the self-test means", "U22")
}

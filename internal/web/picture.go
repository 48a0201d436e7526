package web

import (
	"bytes"
	"encoding/binary"
	"errors"
	"fmt"
	"image"
	"image/jpeg"
	_ "image/png" // photos come as PNG too
	"io"

	"golang.org/x/image/draw"
	_ "golang.org/x/image/webp" // and as WebP
)

// Limits of a photo.
const (
	photoBytes  = 25 << 20   // as it is sent
	photoPixels = 64_000_000 // that are decoded
	photoSide   = 2400       // of what is kept, the longer side
)

// errPhoto is a file that cannot be taken as a photo, with advice.
type errPhoto struct{ text string }

func (e errPhoto) Error() string { return e.text }

// photoOf reads a photo, turns it upright, makes it no larger than a board needs,
// and writes it as JPEG: what the camera noted, such as where it was, stays out.
func photoOf(content []byte) (file []byte, width, height int, err error) {
	if len(content) > photoBytes {
		return nil, 0, 0, errPhoto{"The photo is larger than 25 MB. Send a smaller one."}
	}
	if isHEIC(content) {
		return nil, 0, 0, errPhoto{"This is a HEIC photo, which cannot be read here. Let the phone take or send it as JPEG: in its camera settings this is called most compatible, or JPEG."}
	}
	config, kind, err := image.DecodeConfig(bytes.NewReader(content))
	if err != nil {
		return nil, 0, 0, errPhoto{"This is no photo that can be read. Send it as JPEG, PNG or WebP."}
	}
	if config.Width <= 0 || config.Height <= 0 || config.Width*config.Height > photoPixels {
		return nil, 0, 0, errPhoto{fmt.Sprintf("The photo has %d by %d pixels, which is more than is read. Send one of at most 64 million.", config.Width, config.Height)}
	}
	whole, _, err := image.Decode(bytes.NewReader(content))
	if err != nil {
		return nil, 0, 0, errPhoto{"The photo is damaged or broken off. Send it again."}
	}
	if kind == "jpeg" {
		whole = upright(scaled(whole, photoSide), orientation(content))
	} else {
		whole = scaled(whole, photoSide)
	}
	var b bytes.Buffer
	if err := jpeg.Encode(&b, whole, &jpeg.Options{Quality: 86}); err != nil {
		return nil, 0, 0, fmt.Errorf("writing the photo: %w", err)
	}
	return b.Bytes(), whole.Bounds().Dx(), whole.Bounds().Dy(), nil
}

// scaled makes a picture smaller until its longer side is so long at most. What
// can be seen through becomes white.
func scaled(from image.Image, side int) image.Image {
	bounds := from.Bounds()
	w, h := bounds.Dx(), bounds.Dy()
	if longer := max(w, h); longer > side {
		w, h = max(1, w*side/longer), max(1, h*side/longer)
	}
	to := image.NewRGBA(image.Rect(0, 0, w, h))
	draw.Draw(to, to.Bounds(), image.White, image.Point{}, draw.Src)
	draw.ApproxBiLinear.Scale(to, to.Bounds(), from, bounds, draw.Over, nil)
	return to
}

// upright turns a picture as its orientation says (Exif 2.3, table 6, tag 274):
// where the first row and the first column of what was stored lie.
func upright(from image.Image, orientation int) image.Image {
	if orientation < 2 || orientation > 8 {
		return from
	}
	w, h := from.Bounds().Dx(), from.Bounds().Dy()
	width, height := w, h
	if orientation >= 5 {
		width, height = h, w
	}
	to := image.NewRGBA(image.Rect(0, 0, width, height))
	for y := range height {
		for x := range width {
			var fx, fy int
			switch orientation {
			case 2:
				fx, fy = w-1-x, y
			case 3:
				fx, fy = w-1-x, h-1-y
			case 4:
				fx, fy = x, h-1-y
			case 5:
				fx, fy = y, x
			case 6:
				fx, fy = y, h-1-x
			case 7:
				fx, fy = w-1-y, h-1-x
			case 8:
				fx, fy = w-1-y, x
			}
			to.Set(x, y, from.At(from.Bounds().Min.X+fx, from.Bounds().Min.Y+fy))
		}
	}
	return to
}

// isHEIC tells a photo of the kind that phones make and few programs read (ISO/IEC
// 14496-12 file type box, brands of ISO/IEC 23008-12).
func isHEIC(content []byte) bool {
	if len(content) < 12 || string(content[4:8]) != "ftyp" {
		return false
	}
	switch string(content[8:12]) {
	case "heic", "heix", "hevc", "hevx", "heim", "heis", "mif1", "msf1", "avif":
		return true
	}
	return false
}

// errNoOrientation says that a JPEG does not say which way is up.
var errNoOrientation = errors.New("no orientation")

// orientation reads which way a JPEG is to be turned; 1, upright, when it does not
// say.
func orientation(content []byte) int {
	r := bytes.NewReader(content)
	segment, err := exif(r)
	if err != nil {
		return 1
	}
	n, err := orientationTag(segment)
	if err != nil {
		return 1
	}
	return n
}

// exif finds the Exif segment of a JPEG (Exif 2.3, section 4.5.4).
func exif(r io.Reader) ([]byte, error) {
	var two [2]byte
	if _, err := io.ReadFull(r, two[:]); err != nil || two != [2]byte{0xff, 0xd8} {
		return nil, errNoOrientation
	}
	for {
		var head [4]byte
		if _, err := io.ReadFull(r, head[:]); err != nil || head[0] != 0xff || head[1] == 0xda {
			return nil, errNoOrientation
		}
		length := int(binary.BigEndian.Uint16(head[2:])) - 2
		if length < 0 {
			return nil, errNoOrientation
		}
		body := make([]byte, length)
		if _, err := io.ReadFull(r, body); err != nil {
			return nil, errNoOrientation
		}
		if head[1] == 0xe1 && len(body) > 6 && string(body[:6]) == "Exif\x00\x00" {
			return body[6:], nil
		}
	}
}

// orientationTag reads the tag from the first directory of a TIFF header (TIFF 6.0,
// section 2).
func orientationTag(tiff []byte) (int, error) {
	if len(tiff) < 8 {
		return 0, errNoOrientation
	}
	var order binary.ByteOrder
	switch string(tiff[:2]) {
	case "II":
		order = binary.LittleEndian
	case "MM":
		order = binary.BigEndian
	default:
		return 0, errNoOrientation
	}
	at := int64(order.Uint32(tiff[4:]))
	if at+2 > int64(len(tiff)) {
		return 0, errNoOrientation
	}
	count := int64(order.Uint16(tiff[at:]))
	for i := range count {
		entry := at + 2 + 12*i
		if entry+12 > int64(len(tiff)) {
			return 0, errNoOrientation
		}
		if order.Uint16(tiff[entry:]) == 0x0112 {
			return int(order.Uint16(tiff[entry+8:])), nil
		}
	}
	return 0, errNoOrientation
}

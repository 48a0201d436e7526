package web

import (
	"bytes"
	"cmp"
	"errors"
	"fmt"
	"image"
	"image/jpeg"
	"io"
	"math"
	"net/http"
	"slices"
	"strconv"
	"strings"

	"halfsplit/internal/record"
	"halfsplit/internal/web/look"
	"halfsplit/quantity"
)

// photoSource is the address of a picture, at most so many pixels wide; 0 for as
// it is kept.
func photoSource(p record.Photo, width int) string {
	return fmt.Sprintf("/jobs/%d/photos/%d/picture?width=%d&of=%.12s", p.Job, p.ID, width, p.File)
}

// photoAlt says what a picture shows.
func photoAlt(p record.Photo) string { return cmp.Or(p.Caption, "Photo without a caption") }

// photosScreen shows the pictures of a job.
func (s *Server) photosScreen(r *http.Request) (View, error) {
	v, err := s.workOf(r)
	if err != nil {
		return View{}, err
	}
	return s.photosView(r, v, blank())
}

func (s *Server) photosView(r *http.Request, v *jobView, in *Input) (View, error) {
	list, err := s.records.Photos(r.Context(), 0, v.Job.ID)
	if err != nil {
		return View{}, err
	}
	return View{Title: "Photos", Place: "/collection", Back: v.back(), Body: photosPage(v, list, in), Status: in.Status()}, nil
}

// takePhotos keeps the photos that were sent. One that the job has already is not
// kept twice.
func (s *Server) takePhotos(r *http.Request) (View, error) {
	v, err := s.workOf(r)
	if err != nil {
		return View{}, err
	}
	in, err := Read(r)
	if err != nil {
		return View{}, err
	}
	have, err := s.records.Photos(r.Context(), 0, v.Job.ID)
	if err != nil {
		return View{}, err
	}
	if r.MultipartForm == nil || len(r.MultipartForm.File["photo"]) == 0 {
		in.Wrong("photo", "Choose a photo, or take one.")
		return s.photosView(r, v, in)
	}
	kept := 0
	for _, sent := range r.MultipartForm.File["photo"] {
		from, err := sent.Open()
		if err != nil {
			return View{}, err
		}
		content, err := io.ReadAll(io.LimitReader(from, photoBytes+1))
		from.Close()
		if err != nil {
			return View{}, err
		}
		jpg, w, h, err := photoOf(content)
		var refused errPhoto
		if errors.As(err, &refused) {
			in.Wrong("photo", sent.Filename+": "+refused.text)
			continue
		}
		if err != nil {
			return View{}, err
		}
		file, err := s.records.PutFile(r.Context(), bytes.NewReader(jpg), "image/jpeg", photoBytes)
		if err != nil {
			return View{}, err
		}
		if slices.ContainsFunc(have, func(p record.Photo) bool { return p.File == file.Hash }) {
			continue
		}
		p := record.Photo{Unit: v.Unit.ID, Job: v.Job.ID, File: file.Hash, Media: "image/jpeg", Width: w, Height: h, Caption: in.Text("caption"), Taken: s.now().Add(-in.Waited())}
		if err := s.records.SavePhoto(r.Context(), &p); err != nil {
			if told(in, "caption", err) {
				break
			}
			return View{}, err
		}
		have = append(have, p)
		kept++
	}
	if in.OK() {
		return View{Go: v.path("/photos"), Said: fmt.Sprintf("Photos kept: %d.", kept)}, nil
	}
	return s.photosView(r, v, in)
}

// photoOfJob reads the photo of a request.
func (s *Server) photoOfJob(r *http.Request) (record.Photo, error) {
	id, err := number(r, "photo")
	if err != nil {
		return record.Photo{}, err
	}
	p, err := s.records.Photo(r.Context(), id)
	if err != nil {
		return p, missing(err)
	}
	if job, err := number(r, "job"); err != nil || p.Job != job || p.Hidden {
		return p, ErrNotFound
	}
	return p, nil
}

// photoFile gives the picture itself.
func (s *Server) photoFile(r *http.Request) (View, error) {
	p, err := s.photoOfJob(r)
	if err != nil {
		return View{}, err
	}
	content, err := s.fileOf(r.Context(), p.File)
	if err != nil {
		return View{}, missing(err)
	}
	file := &File{Kind: p.Media, Content: content, Fixed: true}
	if width, err := strconv.Atoi(r.URL.Query().Get("width")); err == nil && width > 0 && width < max(p.Width, p.Height) {
		whole, _, err := image.Decode(bytes.NewReader(content))
		if err != nil {
			return View{}, err
		}
		var b bytes.Buffer
		if err := jpeg.Encode(&b, scaled(whole, max(64, width)), &jpeg.Options{Quality: 80}); err != nil {
			return View{}, err
		}
		file.Kind, file.Content = "image/jpeg", b.Bytes()
	}
	return View{File: file}, nil
}

// spotMark is a spot with what is believed of what it marks.
type spotMark struct {
	record.Spot
	Number int
	Chance float64 // 0 where it is no suspect
	Said   string
}

// marks are the spots of a photo with the suspects among them.
func (v *jobView) marks(p *record.Photo) []spotMark {
	var list []spotMark
	for i, spot := range p.Spots {
		m := spotMark{Spot: spot, Number: i, Said: spot.Name}
		if r := v.report(); r != nil {
			for _, one := range r.Suspects {
				if one.Name == spot.Name {
					m.Chance = one.Probability
					m.Said += " " + quantity.FormatChance(one.Probability)
				}
			}
		}
		list = append(list, m)
	}
	return list
}

// spotSize is the size of a mark for a picture so wide, larger for what is likelier.
func spotSize(p *record.Photo, chance float64) float64 {
	return float64(p.Width) * (0.012 + 0.03*math.Sqrt(chance))
}

// photoScreen shows one picture with its spots.
func (s *Server) photoScreen(r *http.Request) (View, error) {
	v, err := s.workOf(r)
	if err != nil {
		return View{}, err
	}
	p, err := s.photoOfJob(r)
	if err != nil {
		return View{}, err
	}
	return s.photoView(v, &p, blank())
}

func (s *Server) photoView(v *jobView, p *record.Photo, in *Input) (View, error) {
	var names []string
	if v.Work != nil {
		names = append(v.subjects("test"), v.subjects("measure")...)
		slices.Sort(names)
		names = slices.Compact(names)
	}
	return View{Title: "Photo", Place: "/collection", Back: look.Link{Text: "Photos", Path: v.path("/photos")}, Body: photoPage(v, p, v.marks(p), names, in), Status: in.Status(), Wide: true}, nil
}

// changePhoto sets a spot on a photo, takes one off, or changes what is said of it.
func (s *Server) changePhoto(r *http.Request) (View, error) {
	v, err := s.workOf(r)
	if err != nil {
		return View{}, err
	}
	p, err := s.photoOfJob(r)
	if err != nil {
		return View{}, err
	}
	in, err := Read(r)
	if err != nil {
		return View{}, err
	}
	was := p
	p.Spots = slices.Clone(p.Spots)
	said, to := "Kept.", v.path(fmt.Sprintf("/photos/%d", p.ID))
	switch in.Text("do") {
	case "spot":
		name := in.Need("name", "Say what is there: a designator or a test point.")
		x, y := in.shareOf("x"), in.shareOf("y")
		p.Spots = slices.DeleteFunc(p.Spots, func(spot record.Spot) bool { return spot.Name == name })
		p.Spots = append(p.Spots, record.Spot{Name: name, X: x, Y: y, Note: oneLine(in.Text("note"))})
		said = name + " is marked."
	case "drop":
		name := in.Text("name")
		p.Spots = slices.DeleteFunc(p.Spots, func(spot record.Spot) bool { return spot.Name == name })
		said = name + " is not marked any more."
	case "hide":
		if err := s.records.RemovePhoto(r.Context(), p.ID); err != nil {
			return View{}, missing(err)
		}
		return View{Go: v.path("/photos"), Said: "The photo is off the pages. It is still kept with the records."}, nil
	case "caption":
		p.Caption, p.Cover = in.Text("caption"), in.Text("cover") != ""
	default:
		return View{}, Refused(http.StatusUnprocessableEntity, "It was not said what is to be done with the photo.")
	}
	if in.OK() {
		if err = s.records.SavePhoto(r.Context(), &p); err == nil {
			return View{Go: to, Said: said}, nil
		}
		if !told(in, "name", err) {
			return View{}, err
		}
	}
	return s.photoView(v, &was, in)
}

// shareOf reads a place on a picture, in percent of its side.
func (in *Input) shareOf(name string) float64 {
	x, err := strconv.ParseFloat(strings.ReplaceAll(strings.TrimSpace(strings.TrimSuffix(in.Text(name), "%")), ",", "."), 64)
	if err != nil || math.IsNaN(x) || x < 0 || x > 100 {
		in.Wrong(name, "Tap on the picture, or write 0 to 100 percent.")
		return 0
	}
	return x / 100
}

// coverValue says whether the photo stands for its unit.
func coverValue(p *record.Photo) string {
	if p.Cover {
		return "yes"
	}
	return ""
}

package web

import (
	"fmt"
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"strings"

	"github.com/skip2/go-qrcode"

	"halfsplit/internal/record"
	"halfsplit/internal/web/look"
)

// enter lets in the browser that opens the link of the start.
func (s *Server) enter(r *http.Request) (View, error) {
	if !s.tries.take(clientOf(r)) {
		return View{}, Refused(http.StatusTooManyRequests, "Too many attempts; wait a minute.")
	}
	desktop, ok := s.door.look(r.URL.Query().Get("key"), true)
	if !ok || !desktop {
		return View{}, Refused(http.StatusForbidden, "This link has been used, or is not of this start. Start the bench anew, or open the bench in the browser that was let in before.")
	}
	cookie, err := s.admit(r, "This computer")
	if err != nil {
		return View{}, err
	}
	// Not a redirect: a browser that was sent here by another program would
	// not bring the cookie along on one.
	return View{Title: "Come in", Body: enteredPage(), Bare: true, Lead: "/", Cookies: []*http.Cookie{cookie}}, nil
}

// pairing shows a phone that scanned the code what is about to happen.
func (s *Server) pairing(r *http.Request) (View, error) {
	code := r.URL.Query().Get("code")
	if err := s.tried(r, code, false); err != nil {
		return View{}, err
	}
	return s.pairingView(code, look.Field{Value: deviceName(r.UserAgent())}, http.StatusOK), nil
}

func (s *Server) pairingView(code string, name look.Field, status int) View {
	name.Name, name.Label, name.Need = "name", "Name of this device", true
	name.Hint = "It stands in the list of devices, where it can be shut out again."
	return View{Title: "Pair this device", Body: pairPage(code, name), Bare: true, Status: status}
}

// pair lets the phone in.
func (s *Server) pair(r *http.Request) (View, error) {
	in, err := Read(r)
	if err != nil {
		return View{}, err
	}
	code, name := in.Text("code"), in.Need("name", "Give it a name, such as Phone of Maren.")
	if len(name) > 60 {
		in.Wrong("name", "A shorter name, please: 60 characters at most.")
	}
	if err := s.tried(r, code, in.OK()); err != nil {
		return View{}, err
	}
	if !in.OK() {
		return s.pairingView(code, in.Field(look.Field{Name: "name"}), in.Status()), nil
	}
	cookie, err := s.admit(r, name)
	if err != nil {
		return View{}, err
	}
	return View{Go: "/", Said: name + " is paired with the bench.", Cookies: []*http.Cookie{cookie}}, nil
}

// tried looks at a code, and uses it up.
func (s *Server) tried(r *http.Request, code string, use bool) error {
	if !s.tries.take(clientOf(r)) {
		return Refused(http.StatusTooManyRequests, "Too many attempts; wait a minute.")
	}
	if desktop, ok := s.door.look(code, use); !ok || desktop {
		return Refused(http.StatusForbidden, "This code has run out or was used. Show a new one on the desktop and scan that.")
	}
	return nil
}

// deviceName guesses a name from what a browser says of itself.
func deviceName(agent string) string {
	for _, known := range []struct{ sign, name string }{
		{"iPad", "Tablet"}, {"Tablet", "Tablet"}, {"iPhone", "Phone"}, {"Mobile", "Phone"}, {"Android", "Tablet"},
	} {
		if strings.Contains(agent, known.sign) {
			return known.name
		}
	}
	return "Computer"
}

// devicesScreen lists the devices and pairs new ones.
func (s *Server) devicesScreen(r *http.Request) (View, error) {
	list, err := s.devices.Devices(r.Context())
	if err != nil {
		return View{}, err
	}
	list = slices.DeleteFunc(list, func(d record.Device) bool { return !d.Revoked.IsZero() })
	return View{Title: "Devices", Place: "/settings", Back: look.Link{Text: "Settings", Path: "/settings"},
		Body: devicesPage(list, DeviceOf(r.Context()).ID, atDesk(r), len(s.phones()) > 0)}, nil
}

// pairCode is a code for a phone, as it is shown.
type pairCode struct {
	address string
	drawing qrDrawing
}

// offerCode shows a new code for a phone.
func (s *Server) offerCode(r *http.Request) (View, error) {
	if !atDesk(r) {
		return View{}, Refused(http.StatusForbidden, "New devices are paired from the computer that runs the bench.")
	}
	addresses := s.phones()
	if len(addresses) == 0 {
		return View{}, Refused(http.StatusConflict, "The bench listens to this computer alone.")
	}
	code := s.door.offer(false, s.now().Add(codeFor))
	var codes []pairCode
	for _, address := range addresses {
		drawing, err := drawQR(address + "/pair?code=" + url.QueryEscape(code))
		if err != nil {
			return View{}, err
		}
		codes = append(codes, pairCode{address, drawing})
	}
	return View{Title: "Pair a phone", Place: "/settings", Back: look.Link{Text: "Devices", Path: "/settings/devices"},
		Body: codePage(codes)}, nil
}

// revoke shuts a device out.
func (s *Server) revoke(r *http.Request) (View, error) {
	id, err := strconv.ParseInt(r.PathValue("device"), 10, 64)
	if err != nil {
		return View{}, ErrNotFound
	}
	if !atDesk(r) && DeviceOf(r.Context()).ID != record.ID(id) {
		return View{}, Refused(http.StatusForbidden, "Other devices are shut out from the computer that runs the bench.")
	}
	list, err := s.devices.Devices(r.Context())
	if err != nil {
		return View{}, err
	}
	at := slices.IndexFunc(list, func(d record.Device) bool { return d.ID == record.ID(id) && d.Revoked.IsZero() })
	if at < 0 {
		return View{}, ErrNotFound
	}
	list[at].Revoked = s.now()
	if err := s.devices.SaveDevice(r.Context(), &list[at]); err != nil {
		return View{}, err
	}
	s.hub.Publish("devices")
	return View{Go: "/settings/devices", Said: "The device is shut out."}, nil
}

// qrDrawing is a code as the path of an SVG, one unit a module.
type qrDrawing struct {
	size int
	path string
}

func drawQR(text string) (qrDrawing, error) {
	code, err := qrcode.New(text, qrcode.Medium)
	if err != nil {
		return qrDrawing{}, err
	}
	bitmap := code.Bitmap()
	var b strings.Builder
	for y, row := range bitmap {
		for x := 0; x < len(row); x++ {
			if !row[x] {
				continue
			}
			start := x
			for x < len(row) && row[x] {
				x++
			}
			b.WriteString(run(start, y, x-start))
		}
	}
	return qrDrawing{len(bitmap), b.String()}, nil
}

// run draws a row of dark modules.
func run(x, y, length int) string {
	return fmt.Sprintf("M%d %dh%dv1h-%dz", x, y, length, length)
}

// Package web serves the bench as web pages: to the desktop it runs on, and to
// phones and tablets that were paired with it.
//
// Every request goes through the same guards (guard.go): a known Host, the same
// site, a bounded body, a rate a person could keep up, and a device that was let
// in (access.go). The desktop is let in by a link that works once; a phone by a
// code that is shown on the desktop as a picture. No page loads anything from
// elsewhere, and nothing that was typed reaches a page unescaped.
//
// A screen is a function from a request to a View; a table of them is in
// pages.go. The server always answers with whole pages, and a small script takes
// over the parts that changed, so that everything works without it too. Screens
// follow each other live by topics (hub.go): who changes something publishes its
// topic, and every part of a screen that names the topic is fetched anew.
//
// # Adding a screen
//
// Write a method of Server, func(r *http.Request) (View, error), and a line for it
// in Server.Pages with an example path, by which the browser tests look at it. Its
// body is a templ component, made of those of package look; after a change of a
// .templ, .ts or .css file run
//
//	go run ./tools/web
//
// A form is read with Read, and its fields are written with Input.Field, which
// keeps what was typed and puts a mistake beside it:
//
//	in, err := Read(r)
//	if err != nil {
//		return View{}, err
//	}
//	name := in.Need("name", "Give it a name, such as Ostrel VT-9.")
//	volts := in.Figure("volts", quantity.Volt) // nil when empty or wrong
//	if !in.OK() {
//		return View{Title: ..., Body: ..., Status: in.Status()}, nil
//	}
//	s.hub.Publish("collection")
//	return View{Go: "/units/12", Said: "Taken in."}, nil
//
// A part of a screen that follows changes is an element with an id and the topics
// it depends on, <section id="suspects" data-live="job/12">, or a look.Card with a
// topic. The page is fetched anew and the part taken from it; no path of its own
// is needed. A part in which someone is typing waits until they are done, so forms
// are best kept outside.
//
// A form with data-outbox="A reading" is kept in the browser while the bench cannot
// be reached, and sent later; it holds a look.Key, and whoever takes it in does so
// once for each key (Input.Key). Input.Waited says how long it waited. A form with
// an id and method post keeps what was typed over a reload too. A form with method
// get and data-part="answer" has its answer, the element with that id, and the
// remarks at its fields taken over without leaving the page.
//
// A button with data-opens="id" opens a look.Dialog; one with data-prints prints.
// Styles and scripts within a page are refused by the content security policy: use
// the classes of bench.css, and attributes of SVG for sizes.
package web

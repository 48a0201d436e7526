package look

import "github.com/a-h/templ"

// attributes are those that all kinds of field share.
func (f Field) attributes() templ.Attributes {
	a := templ.Attributes{}
	if by := f.describedBy(); by != "" {
		a["aria-describedby"] = by
	}
	if f.Problem != "" {
		a["aria-invalid"] = "true"
	}
	if f.Need {
		a["aria-required"] = "true"
	}
	if f.Focus {
		a["autofocus"] = true
	}
	switch f.Kind {
	case "file":
		a["accept"] = f.Accept
	case "select", "check", "date":
	default:
		a["autocomplete"], a["spellcheck"] = "off", "false"
		if f.Kind == "" || f.Kind == "number" {
			a["inputmode"] = f.inputMode()
		}
		if len(f.Suggest) > 0 {
			a["list"] = f.id() + "-list"
		}
	}
	return a
}

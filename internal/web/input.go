package web

import (
	"fmt"
	"net/http"
	"strconv"
	"strings"
	"time"

	"halfsplit/internal/web/look"
	"halfsplit/quantity"
)

// textLimit is how many characters a field of one line takes.
const textLimit = 2000

// Input is a form that was sent: its values, and what is wrong with them. The
// methods that read a value note a mistake beside its field and go on, so that
// all mistakes are shown at once and all that was typed is kept.
type Input struct {
	values   map[string][]string
	problems map[string]string
}

// Read reads the form, or the query, of a request. The error is one of the
// request itself, such as a body that is too large, and is to be returned.
func Read(r *http.Request) (*Input, error) {
	var err error
	if strings.HasPrefix(r.Header.Get("Content-Type"), "multipart/form-data") {
		err = r.ParseMultipartForm(4 << 20)
	} else {
		err = r.ParseForm()
	}
	if err != nil {
		return nil, fmt.Errorf("reading the form: %w", err)
	}
	return &Input{r.Form, map[string]string{}}, nil
}

// Text gives what stands in a field, without spaces around it.
func (in *Input) Text(name string) string {
	if len(in.values[name]) == 0 {
		return ""
	}
	text := strings.TrimSpace(strings.ToValidUTF8(in.values[name][0], "�"))
	if len(text) > textLimit && !strings.Contains(text, "\n") {
		in.Wrong(name, fmt.Sprintf("This is longer than %d characters.", textLimit))
	}
	return text
}

// All gives everything that was sent under a name, as from rows of a table.
func (in *Input) All(name string) []string { return in.values[name] }

// Need gives what stands in a field, and notes it as wrong when it is empty.
func (in *Input) Need(name, advice string) string {
	text := in.Text(name)
	if text == "" {
		in.Wrong(name, advice)
	}
	return text
}

// Figure gives a quantity in a unit, nil when the field is empty or wrong.
func (in *Input) Figure(name string, unit quantity.Unit) *float64 {
	text := in.Text(name)
	if text == "" {
		return nil
	}
	q, err := quantity.ParseAs(text, unit)
	if err != nil {
		in.Wrong(name, sentence(err.Error()))
		return nil
	}
	return &q.Value
}

// Wrong notes what is wrong with a field; the first word counts.
func (in *Input) Wrong(name, problem string) {
	if in.problems[name] == "" {
		in.problems[name] = problem
	}
}

// OK tells whether nothing was found wrong.
func (in *Input) OK() bool { return len(in.problems) == 0 }

// Status is the status to answer with: 422 when something is wrong.
func (in *Input) Status() int {
	if in.OK() {
		return http.StatusOK
	}
	return http.StatusUnprocessableEntity
}

// Key is what the browser made so that this entry is taken in once only.
func (in *Input) Key() string { return in.Text("key") }

// Waited gives how long ago the form was filled in, where it had to wait in the
// browser until the bench could be reached.
func (in *Input) Waited() time.Duration {
	seconds, err := strconv.ParseInt(in.Text("waited"), 10, 64)
	if err != nil || seconds < 0 || seconds > 366*24*3600 {
		return 0
	}
	return time.Duration(seconds) * time.Second
}

// Field gives a field with what was typed and what is wrong with it.
func (in *Input) Field(f look.Field) look.Field {
	if _, sent := in.values[f.Name]; sent {
		f.Value = strings.ToValidUTF8(in.values[f.Name][0], "�")
	}
	f.Problem = in.problems[f.Name]
	return f
}

// sentence makes a message into a sentence.
func sentence(text string) string {
	if text == "" {
		return text
	}
	if !strings.HasSuffix(text, ".") && !strings.HasSuffix(text, "?") {
		text += "."
	}
	return strings.ToUpper(text[:1]) + text[1:]
}

// share gives a share such as 95 %, nil when the field is empty or wrong.
func (in *Input) share(name string) *float64 {
	p := in.Figure(name, quantity.Percent)
	if p != nil && !(*p > 0 && *p < 1) {
		in.Wrong(name, "Write more than 0 % and less than 100 %, as in 95 %.")
		return nil
	}
	return p
}

// blank is a form that nobody has sent yet.
func blank() *Input { return &Input{map[string][]string{}, map[string]string{}} }

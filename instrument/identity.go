package instrument

import (
	"fmt"
	"strings"
)

// Identity is what a meter says of itself. IEEE 488.2, section 10.14, has a 0
// for a serial number or firmware that is not known.
type Identity struct {
	Maker, Model, Serial, Firmware string
}

// ParseIdentity reads the answer to *IDN?: four fields with commas between
// them. A comma too many belongs to the last field.
func ParseIdentity(answer string) (Identity, error) {
	fields := strings.SplitN(answer, ",", 4)
	if len(fields) != 4 {
		return Identity{}, fmt.Errorf("%s is no identity; a meter should answer *IDN? with maker,model,serial number,firmware", quoted(answer))
	}
	for i, f := range fields {
		fields[i] = strings.TrimSpace(f)
	}
	if fields[0] == "" && fields[1] == "" {
		return Identity{}, fmt.Errorf("%s is no identity: maker and model are empty", quoted(answer))
	}
	return Identity{fields[0], fields[1], fields[2], fields[3]}, nil
}

// String gives maker, model and, where there is one, the serial number.
func (i Identity) String() string {
	s := strings.TrimSpace(i.Maker + " " + i.Model)
	if i.Serial != "" && i.Serial != "0" {
		s += ", serial number " + i.Serial
	}
	return s
}

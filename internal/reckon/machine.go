package reckon

import (
	"errors"
	"fmt"
	"strings"

	"benchtag/internal/fault"
	"benchtag/internal/layout"
)

// machineIn is the machine a request is about: a map of its own, or the code
// of one that comes with the program.
type machineIn struct {
	Map     *layout.Map `json:"map,omitempty"`
	Shipped layout.Key  `json:"shipped,omitempty"`
}

// compile gives the map. Faults: reckon.map_unclear, reckon.map_unknown, and
// those of layout, each with its place in the request.
func (in machineIn) compile() (*layout.Compiled, error) {
	if (in.Map == nil) == (in.Shipped == "") {
		return nil, fault.Invalid("reckon.map_unclear", "/map", "Give a machine map, or the code of a shipped one, and not both.")
	}
	if in.Map != nil {
		m, err := layout.Compile(*in.Map)
		return m, under("/map", err)
	}
	m, known, err := layout.ShippedMap(in.Shipped)
	if err != nil {
		return nil, err
	}
	if !known {
		return nil, fault.Invalid("reckon.map_unknown", "/shipped", fmt.Sprintf("No machine map with the code %.64q comes with the program; there are: %s.", in.Shipped, strings.Join(shippedCodes(), ", ")))
	}
	return layout.Compile(m)
}

func shippedCodes() []string {
	maps, _, err := layout.Shipped()
	if err != nil {
		return nil
	}
	codes := make([]string, len(maps))
	for i, m := range maps {
		codes[i] = string(m.Code)
	}
	return codes
}

// sheet gives the limit sheet of a request: its own, or for a shipped map the
// one that comes with it; nil for none. It has been checked.
func (in machineIn) sheet(own *layout.Sheet, m *layout.Compiled) (*layout.Sheet, error) {
	if own != nil {
		return own, under("/sheet", layout.Refusal(layout.CheckSheet(*own, m.Map())))
	}
	if in.Shipped == "" {
		return nil, nil
	}
	sheet, found, err := layout.ShippedSheet(in.Shipped)
	if err != nil || !found {
		return nil, err
	}
	return &sheet, nil
}

// under puts the places of a fault below a member of the request.
func under(pointer string, err error) error {
	var f *fault.Error
	if !errors.As(err, &f) {
		return err
	}
	moved := *f
	moved.Fields = make([]fault.Field, len(f.Fields))
	for i, field := range f.Fields {
		moved.Fields[i] = fault.Field{Pointer: pointer + field.Pointer, Message: field.Message}
	}
	return &moved
}

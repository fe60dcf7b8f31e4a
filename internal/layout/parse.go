package layout

import (
	_ "embed" // for the schemas

	"benchtag/internal/fault"
	"benchtag/internal/wire"
)

// MaxDocument bounds a document, in bytes.
const MaxDocument = 1 << 20

// ParseMap reads a machine map. It takes the form alone; whether the map
// makes sense is for Check. Faults: layout.document_too_large,
// layout.format_unknown, and json.* for what cannot be read (wire.Decode).
func ParseMap(document []byte) (Map, error) {
	m, err := parse[Map](document)
	if err != nil {
		return Map{}, err
	}
	return m, format(m.Format, MapFormat)
}

// ParseSheet reads a limit sheet, as ParseMap reads a map.
func ParseSheet(document []byte) (Sheet, error) {
	s, err := parse[Sheet](document)
	if err != nil {
		return Sheet{}, err
	}
	return s, format(s.Format, SheetFormat)
}

func parse[T any](document []byte) (T, error) {
	if len(document) > MaxDocument {
		var none T
		return none, fault.New(fault.TooLarge, "layout.document_too_large",
			"A machine map or limit sheet may have at most 1 MiB; leave out what is not needed.")
	}
	return wire.Decode[T](document)
}

func format(got, want string) error {
	if got == want {
		return nil
	}
	return fault.Invalid(string(FormatUnknown), "/format",
		"The document's format is not "+want+"; check that it is of this kind and of this version.")
}

// mapSchema and sheetSchema are JSON Schemas (draft 2020-12) of the two
// documents, for whoever writes one elsewhere. They say the form; what only
// makes sense as a whole is for Check.
//
//go:embed map.schema.json
var mapSchema string

//go:embed limits.schema.json
var sheetSchema string

// MapSchema gives the JSON Schema of machine maps.
func MapSchema() string { return mapSchema }

// SheetSchema gives the JSON Schema of limit sheets.
func SheetSchema() string { return sheetSchema }

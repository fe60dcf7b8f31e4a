package layout

import (
	"embed"
	"fmt"
	"io/fs"
	"path"
)

// shipped are the documents that come with the program. All of them are
// invented examples.
//
//go:embed all:maps
var shipped embed.FS

// Shipped gives the maps and sheets that come with the program, by code. An
// error is a defect of the program; a test keeps it from happening.
func Shipped() ([]Map, []Sheet, error) {
	maps, err := readAll(shipped, "maps/*.map.json", ParseMap)
	if err != nil {
		return nil, nil, err
	}
	sheets, err := readAll(shipped, "maps/*.limits.json", ParseSheet)
	return maps, sheets, err
}

// ShippedMap gives the shipped map of a code; ok is false where there is none.
func ShippedMap(code Key) (m Map, ok bool, err error) {
	maps, _, err := Shipped()
	for _, one := range maps {
		if one.Code == code {
			return one, true, err
		}
	}
	return Map{}, false, err
}

// readAll parses every file of a folder that fits a pattern, in the order of
// their names.
func readAll[T any](from fs.FS, pattern string, parse func([]byte) (T, error)) ([]T, error) {
	names, err := fs.Glob(from, pattern)
	if err != nil {
		return nil, err
	}
	out := make([]T, 0, len(names))
	for _, name := range names {
		text, err := fs.ReadFile(from, name)
		if err != nil {
			return nil, err
		}
		document, err := parse(text)
		if err != nil {
			return nil, fmt.Errorf("%s: %w", path.Base(name), err)
		}
		out = append(out, document)
	}
	return out, nil
}

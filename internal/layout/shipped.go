package layout

import (
	"embed"
	"errors"
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
	return readOne(code, ".map.json", ParseMap)
}

// ShippedSheet gives the shipped sheet of a map's code; ok is false where
// there is none.
func ShippedSheet(code Key) (s Sheet, ok bool, err error) {
	return readOne(code, ".limits.json", ParseSheet)
}

// readOne parses the file that is named for a map's code.
func readOne[T any](code Key, ending string, parse func([]byte) (T, error)) (document T, ok bool, err error) {
	if !wellFormed(code) {
		return document, false, nil
	}
	text, err := fs.ReadFile(shipped, "maps/"+string(code)+ending)
	if errors.Is(err, fs.ErrNotExist) {
		return document, false, nil
	}
	if err != nil {
		return document, false, err
	}
	document, err = parse(text)
	return document, err == nil, err
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

package testkit

import (
	"bytes"
	"encoding/json"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"testing"
)

// Case is one case of a vector file: what it shows, where its values come
// from, and its other members decoded into Data.
type Case[T any] struct {
	Name   string // file and position, for t.Run
	Desc   string
	Source string
	Data   T
}

// Vectors reads every case of the *.json files right in dir. A file holds
// one case or an array of them; a case is an object with desc, source and
// the members of T (in, want, tol, wantErr by custom). A member that T does
// not know fails the test, and so do a case without desc or source, a file
// without cases and a folder without files.
func Vectors[T any](t testing.TB, dir string) []Case[T] {
	t.Helper()
	cases, err := readVectors[T](dir)
	if err != nil {
		t.Fatalf("reading vectors: %v", err)
	}
	return cases
}

func readVectors[T any](dir string) ([]Case[T], error) {
	paths, err := filepath.Glob(filepath.Join(dir, "*.json"))
	if err != nil {
		return nil, err
	}
	if len(paths) == 0 {
		return nil, fmt.Errorf("no *.json file in %s", dir)
	}
	var all []Case[T]
	for _, path := range paths {
		cases, err := readVectorFile[T](path)
		if err != nil {
			return nil, fmt.Errorf("%s: %w", path, err)
		}
		all = append(all, cases...)
	}
	return all, nil
}

func readVectorFile[T any](path string) ([]Case[T], error) {
	text, err := os.ReadFile(path)
	if err != nil {
		return nil, err
	}
	objects, err := splitVectors(text)
	if err != nil {
		return nil, err
	}
	if len(objects) == 0 {
		return nil, fmt.Errorf("no case in it")
	}
	cases := make([]Case[T], len(objects))
	for i, object := range objects {
		cases[i], err = decodeCase[T](object)
		if err != nil {
			return nil, fmt.Errorf("case %d: %w", i, err)
		}
		cases[i].Name = fmt.Sprintf("%s#%d", filepath.Base(path), i)
	}
	return cases, nil
}

func splitVectors(text []byte) ([]json.RawMessage, error) {
	if bytes.HasPrefix(bytes.TrimSpace(text), []byte("[")) {
		var objects []json.RawMessage
		return objects, strictly(text, &objects)
	}
	return []json.RawMessage{text}, nil
}

func decodeCase[T any](object json.RawMessage) (Case[T], error) {
	var c Case[T]
	var members map[string]json.RawMessage
	err := strictly(object, &members)
	if err != nil {
		return c, err
	}
	for name, to := range map[string]*string{"desc": &c.Desc, "source": &c.Source} {
		err = json.Unmarshal(members[name], to)
		if err != nil || *to == "" {
			return c, fmt.Errorf("no %s", name)
		}
		delete(members, name)
	}
	rest, err := json.Marshal(members)
	if err != nil {
		return c, err
	}
	return c, strictly(rest, &c.Data)
}

// strictly decodes all of text and refuses members the value has no place for.
func strictly(text []byte, value any) error {
	decoder := json.NewDecoder(bytes.NewReader(text))
	decoder.DisallowUnknownFields()
	err := decoder.Decode(value)
	if err != nil {
		return err
	}
	_, err = decoder.Token()
	if err != io.EOF {
		return fmt.Errorf("more after the JSON value")
	}
	return nil
}

package main

import (
	"bytes"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// TestCheckMap runs the command on sound and broken documents.
func TestCheckMap(t *testing.T) {
	t.Parallel()
	const folder = "../../internal/layout/testdata/"
	text, err := os.ReadFile(folder + "example.map.json")
	if err != nil {
		t.Fatal(err)
	}
	dir := t.TempDir()
	write := func(name, content string) string {
		path := filepath.Join(dir, name)
		if err := os.WriteFile(path, []byte(content), 0o600); err != nil {
			t.Fatal(err)
		}
		return path
	}
	broken := write("broken.json", strings.ReplaceAll(string(text), `"to": "sump"`, `"to": "pan"`))
	unreadable := write("unreadable.json", `{"format":"benchtag-map/1","colour":"red"}`)
	huge := write("huge.json", strings.Repeat(" ", 1<<20+1))
	example, sheet := folder+"example.map.json", folder+"example.limits.json"
	for _, c := range []struct {
		name     string
		args     []string
		code     int
		out, err string
	}{
		{"sound", []string{example, sheet}, 0, "sound: 6 components, 1 circuit, 6 passages", ""},
		{"sheet with its map named", []string{"--map", example, sheet}, 0, "sound: 1 limit, 2 torques for the map example_engine", ""},
		{"sheet of an unknown map", []string{sheet}, 1, "layout.map_other", "faults found: 1"},
		{"dangling", []string{broken}, 1, `at /circuits/0/passages/0/to (engine_oil): There is no component or compartment "pan"`, "faults found: 1"},
		{"the others are still checked", []string{broken, example}, 1, "example.map.json: sound", "faults found: 1"},
		{"unreadable", []string{unreadable}, 1, "", "unknown field"},
		{"too large", []string{huge}, 1, "", "larger than 1 MiB"},
		{"not there", []string{filepath.Join(dir, "nothing")}, 1, "", "no such file"},
		{"a sheet as the map", []string{"--map", sheet, sheet}, 1, "", "is no machine map"},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			var out, errs bytes.Buffer
			code := run(t.Context(), append([]string{"check-map"}, c.args...), outputs{&out, &errs})

			if code != c.code || !strings.Contains(out.String(), c.out) || !strings.Contains(errs.String(), c.err) {
				t.Errorf("code %d\nout %s\nerr %s", code, out.String(), errs.String())
			}
		})
	}
}

func TestSchemaCommand(t *testing.T) {
	t.Parallel()
	for of, title := range map[string]string{"map": "Machine map, benchtag-map/1", "limits": "Limit sheet, benchtag-limits/1"} {
		var out, errs bytes.Buffer
		if code := run(t.Context(), []string{"schema", of}, outputs{&out, &errs}); code != 0 || !strings.Contains(out.String(), title) {
			t.Errorf("%s: %d %s", of, code, errs.String())
		}
	}
	var out, errs bytes.Buffer
	if code := run(t.Context(), []string{"schema", "bill"}, outputs{&out, &errs}); code == 0 {
		t.Error("there is a schema of bills")
	}
}

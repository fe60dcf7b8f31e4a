package main

import (
	"encoding/json"
	"fmt"
	"io"
	"os"
	"strings"

	"benchtag/internal/layout"
)

type checkMapCommand struct {
	Files []string `arg:"" name:"file" help:"Machine maps and limit sheets, as JSON."`
	Map   string   `help:"Machine map that the sheets are held against; without it, a map among the files or a shipped one." placeholder:"FILE"`
}

// Run checks documents and prints every fault with its place; it fails if
// there is any.
func (c checkMapCommand) Run(to outputs) error {
	documents, err := c.read()
	if err != nil {
		return err
	}
	faults := 0
	for _, d := range documents.all {
		found, summary := documents.check(d)
		faults += len(found)
		for _, f := range found {
			if _, err := fmt.Fprintf(to.out, "%s: at %s%s: %s [%s]\n", d.file, f.Pointer, under(f.Key), f.Message, f.Code); err != nil {
				return err
			}
		}
		if len(found) > 0 {
			continue
		}
		if _, err := fmt.Fprintf(to.out, "%s: sound: %s\n", d.file, summary); err != nil {
			return err
		}
	}
	if faults > 0 {
		return fmt.Errorf("faults found: %d", faults)
	}
	return nil
}

func under(key layout.Key) string {
	if key == "" {
		return ""
	}
	return " (" + string(key) + ")"
}

// layoutDocument is one file: a map or a sheet.
type layoutDocument struct {
	file  string
	m     *layout.Map
	sheet *layout.Sheet
}

// layoutDocuments are the files, and the maps that sheets may be for, those
// named first coming first.
type layoutDocuments struct {
	all  []layoutDocument
	maps []layout.Map
}

func (c checkMapCommand) read() (layoutDocuments, error) {
	var out layoutDocuments
	if c.Map != "" {
		d, err := readLayout(c.Map)
		if err != nil {
			return out, err
		}
		if d.m == nil {
			return out, fmt.Errorf("%s is no machine map; --map names one", c.Map)
		}
		out.maps = append(out.maps, *d.m)
	}
	for _, file := range c.Files {
		d, err := readLayout(file)
		if err != nil {
			return out, err
		}
		out.all = append(out.all, d)
		if d.m != nil {
			out.maps = append(out.maps, *d.m)
		}
	}
	shipped, _, err := layout.Shipped()
	out.maps = append(out.maps, shipped...)
	return out, err
}

// readLayout reads a file as what its format says it is.
func readLayout(file string) (layoutDocument, error) {
	d := layoutDocument{file: file}
	text, err := readBounded(file, layout.MaxDocument)
	if err != nil {
		return d, err
	}
	var head struct {
		Format string `json:"format"`
	}
	_ = json.Unmarshal(text, &head) // what cannot be read is said in full below
	if head.Format == layout.SheetFormat {
		sheet, err := layout.ParseSheet(text)
		d.sheet = &sheet
		return d, inFile(file, err)
	}
	m, err := layout.ParseMap(text)
	d.m = &m
	return d, inFile(file, err)
}

func inFile(file string, err error) error {
	if err != nil {
		return fmt.Errorf("%s: %w", file, inWords(err))
	}
	return nil
}

// readBounded reads a file of at most so many bytes.
func readBounded(file string, most int64) ([]byte, error) {
	f, err := os.Open(file)
	if err != nil {
		return nil, err
	}
	defer func() { _ = f.Close() }()
	text, err := io.ReadAll(io.LimitReader(f, most+1))
	if err != nil {
		return nil, err
	}
	if int64(len(text)) > most {
		return nil, fmt.Errorf("%s is larger than %d MiB; no such document may be", file, most>>20)
	}
	return text, nil
}

// check gives a document's faults, and in a few words what it holds.
func (all layoutDocuments) check(d layoutDocument) ([]layout.Fault, string) {
	if d.m != nil {
		n := layout.Count(*d.m, layout.Sheet{})
		return layout.Check(*d.m), strings.Join([]string{
			many(n.Components, "component"), many(n.Circuits, "circuit"), many(n.Passages, "passage"), many(n.Steps, "step"),
			many(n.Fastenings, "fastening"), many(n.Points, "point"), many(n.Looks, "look"),
		}, ", ")
	}
	for _, m := range all.maps {
		if m.Code == d.sheet.Map {
			return layout.CheckSheet(*d.sheet, m), fmt.Sprintf("%s, %s for the map %s",
				many(int64(len(d.sheet.Limits)), "limit"), many(int64(len(d.sheet.Torques)), "torque"), m.Code)
		}
	}
	return []layout.Fault{{Code: layout.MapOther, Pointer: "/map", Message: fmt.Sprintf(
		"The sheet is for the map %q, which is neither among the files nor shipped; name it with --map.", d.sheet.Map)}}, ""
}

// many gives a number with its noun.
func many(n int64, noun string) string {
	if n != 1 {
		noun += "s"
	}
	return fmt.Sprint(n, " ", noun)
}

type schemaCommand struct {
	Of string `arg:"" enum:"map,limits" help:"map or limits."`
}

// Run prints the JSON Schema of machine maps or of limit sheets.
func (c schemaCommand) Run(to outputs) error {
	schema := layout.MapSchema()
	if c.Of == "limits" {
		schema = layout.SheetSchema()
	}
	_, err := io.WriteString(to.out, schema)
	return err
}

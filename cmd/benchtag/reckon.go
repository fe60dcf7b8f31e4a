package main

import (
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"strings"

	"benchtag/internal/fault"
	"benchtag/internal/reckon"
)

type reckonCommand struct {
	Engine string `arg:"" optional:"" help:"Which engine; without one, they are listed."`
	File   string `arg:"" optional:"" help:"The input as JSON; without a file, standard input." placeholder:"FILE"`
}

// maxReckon bounds the input, as the server bounds a body.
const maxReckon = 1 << 20

// Run lets an engine answer, without a server and without a database.
func (c reckonCommand) Run(to outputs) error {
	if c.Engine == "" {
		for _, e := range reckon.Engines() {
			if _, err := fmt.Fprintf(to.out, "%-9s %s\n", e.Name, e.Does); err != nil {
				return err
			}
		}
		return nil
	}
	body, err := c.input()
	if err != nil {
		return err
	}
	answer, err := reckon.Run(c.Engine, body)
	if err != nil {
		return inWords(err)
	}
	out := json.NewEncoder(to.out)
	out.SetEscapeHTML(false)
	out.SetIndent("", "  ")
	return out.Encode(answer)
}

func (c reckonCommand) input() ([]byte, error) {
	in := io.Reader(os.Stdin)
	if c.File != "" {
		file, err := os.Open(c.File)
		if err != nil {
			return nil, err
		}
		defer func() { _ = file.Close() }()
		in = file
	}
	body, err := io.ReadAll(io.LimitReader(in, maxReckon+1))
	if err != nil {
		return nil, err
	}
	if len(body) > maxReckon {
		return nil, errors.New("the input is larger than 1 MiB; give less at once")
	}
	return body, nil
}

// inWords gives a fault as a person at a shell reads it: code, sentence, and
// each place that is wrong.
func inWords(err error) error {
	var f *fault.Error
	if !errors.As(err, &f) {
		return err
	}
	lines := []string{f.Code + ": " + f.Message}
	for _, field := range f.Fields {
		lines = append(lines, fmt.Sprintf("  at %s: %s", field.Pointer, field.Message))
	}
	return errors.New(strings.Join(lines, "\n"))
}

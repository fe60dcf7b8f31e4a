package layout_test

import (
	"encoding/json"
	"fmt"
	"strconv"
	"strings"
	"testing"

	"benchtag/internal/layout"
)

// follow walks a JSON Pointer (RFC 6901) through a document; the last member
// may be one that was left out.
func follow(document any, pointer string) error {
	text, err := json.Marshal(document)
	if err != nil {
		return err
	}
	var v any
	if err := json.Unmarshal(text, &v); err != nil {
		return err
	}
	tokens := strings.Split(pointer, "/")[1:]
	for i, token := range tokens {
		token = strings.NewReplacer("~1", "/", "~0", "~").Replace(token)
		switch at := v.(type) {
		case map[string]any:
			next, there := at[token]
			if !there && i < len(tokens)-1 {
				return fmt.Errorf("%s: no member %s", pointer, token)
			}
			v = next
		case []any:
			n, err := strconv.Atoi(token)
			if err != nil || n >= len(at) {
				return fmt.Errorf("%s: no item %s of %d", pointer, token, len(at))
			}
			v = at[n]
		default:
			return fmt.Errorf("%s: %s is inside of nothing", pointer, token)
		}
	}
	return nil
}

// BenchmarkCompile is the largest map that is taken: five hundred components
// and steps.
func BenchmarkCompile(b *testing.B) {
	m := example(b)
	for i := len(m.Components); i < 500; i++ {
		p := m.Components[0]
		p.Key = layout.Key(fmt.Sprintf("part_%d", i))
		m.Components = append(m.Components, p)
	}
	for i := len(m.Steps); i < 500; i++ {
		s := m.Steps[2]
		s.Key = layout.Key(fmt.Sprintf("step_%d", i))
		s.Needs = [][]layout.Key{{m.Steps[i-1].Key}}
		m.Steps = append(m.Steps, s)
	}
	for b.Loop() {
		if _, err := layout.Compile(m); err != nil {
			b.Fatal(err)
		}
	}
}

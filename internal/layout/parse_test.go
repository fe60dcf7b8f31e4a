package layout_test

import (
	"encoding/json"
	"errors"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"benchtag/internal/fault"
	"benchtag/internal/layout"
	"benchtag/internal/measure"
)

func TestParse(t *testing.T) {
	t.Parallel()
	whole := string(read(t, "example.map.json"))
	for _, tt := range []struct{ name, text, code string }{
		{"sound", whole, ""},
		{"a sheet", string(read(t, "example.limits.json")), "json.body_unreadable"},
		{"another version", strings.Replace(whole, "map/1", "map/2", 1), "layout.format_unknown"},
		{"nothing", "{}", "layout.format_unknown"},
		{"an unknown member", `{"format":"benchtag-map/1","colour":"red"}`, "json.body_unreadable"},
		{"a member twice", `{"format":"benchtag-map/1","format":"benchtag-map/1"}`, "json.key_twice"},
		{"a fraction of a minute", strings.Replace(whole, `"minutes": 25`, `"minutes": 2.5`, 1), "json.number_not_whole"},
		{"too large", `{"format":"` + strings.Repeat(" ", layout.MaxDocument) + `"}`, "layout.document_too_large"},
		{"no JSON", "format: benchtag-map/1", "json.body_not_json"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			t.Parallel()
			_, err := layout.ParseMap([]byte(tt.text))
			var f *fault.Error
			if tt.code == "" && err != nil || tt.code != "" && (!errors.As(err, &f) || f.Code != tt.code) {
				t.Errorf("got %v, want %s", err, tt.code)
			}
		})
	}
	if _, err := layout.ParseSheet([]byte(`{"format":"benchtag-map/1"}`)); err == nil {
		t.Error("a map is read as a sheet")
	}
}

func TestDerivationsAreSorted(t *testing.T) {
	t.Parallel()
	all := layout.Derivations()
	for i := 1; i < len(all); i++ {
		if all[i-1] >= all[i] {
			t.Errorf("%s before %s", all[i-1], all[i])
		}
	}
	if len(all) == 0 {
		t.Error("no formulas")
	}
}

func sheet(code layout.Key, revision int64, example bool, who layout.For) layout.Sheet {
	return layout.Sheet{Code: code, Revision: revision, Example: example, Map: "twin", For: who}
}

func TestMatch(t *testing.T) {
	t.Parallel()
	sheets := []layout.Sheet{
		sheet("example", 1, true, layout.For{}),
		sheet("make", 1, false, layout.For{Make: "Marrow"}),
		sheet("make_years", 9, false, layout.For{Make: "Marrow", YearFrom: 1990, YearTo: 1999}),
		sheet("model", 1, false, layout.For{Make: "Marrow", Model: "Drover 650"}),
		sheet("years", 1, false, layout.For{Make: "Marrow", Model: "Drover 650", YearFrom: 1998, YearTo: 2003}),
		sheet("onward", 2, false, layout.For{Make: "Marrow", Model: "Drover 650", YearFrom: 2004}),
		sheet("onward", 3, false, layout.For{Make: "Marrow", Model: "Drover 650", YearFrom: 2004}),
		sheet("onward", 1, false, layout.For{Make: "Marrow", Model: "Drover 650", YearFrom: 2004}),
	}
	for _, tt := range []struct {
		name    string
		machine layout.Machine
		want    layout.Key
		rev     int64
	}{
		{"own years", layout.Machine{Map: "twin", Make: "Marrow", Model: "Drover 650", Year: 1998}, "years", 1},
		{"last of its years", layout.Machine{Map: "twin", Make: "Marrow", Model: "Drover 650", Year: 2003}, "years", 1},
		{"later years, latest revision", layout.Machine{Map: "twin", Make: "Marrow", Model: "Drover 650", Year: 2004}, "onward", 3},
		{"earlier years", layout.Machine{Map: "twin", Make: "Marrow", Model: "Drover 650", Year: 1997}, "model", 1},
		{"the model tells more than the years", layout.Machine{Map: "twin", Make: "Marrow", Model: "Drover 650", Year: 1995}, "model", 1},
		{"another model of those years", layout.Machine{Map: "twin", Make: "Marrow", Model: "Tinker 125", Year: 1995}, "make_years", 9},
		{"year not known", layout.Machine{Map: "twin", Make: "marrow", Model: " drover  650 "}, "model", 1},
		{"another model", layout.Machine{Map: "twin", Make: "Marrow", Model: "Tinker 125", Year: 2004}, "make", 1},
		{"another make", layout.Machine{Map: "twin", Make: "Holloway", Model: "Drover 650", Year: 2004}, "example", 1},
		{"another map", layout.Machine{Map: "single", Make: "Marrow", Model: "Drover 650", Year: 2004}, "", 0},
	} {
		t.Run(tt.name, func(t *testing.T) {
			t.Parallel()
			for _, order := range [][]layout.Sheet{sheets, reversed(sheets)} {
				got, ok := layout.Match(order, tt.machine)
				if got.Code != tt.want || got.Revision != tt.rev || ok != (tt.want != "") {
					t.Errorf("got %s %d, %v", got.Code, got.Revision, ok)
				}
			}
		})
	}
}

func reversed(in []layout.Sheet) []layout.Sheet {
	var out []layout.Sheet
	for i := len(in) - 1; i >= 0; i-- {
		out = append(out, in[i])
	}
	return out
}

func TestSheetFinds(t *testing.T) {
	t.Parallel()
	s := figures(t)
	l, ok := s.Limit("chain_length")
	torque, found := s.Torque("pump_bolts")
	from, there := s.Source(l.Source)
	if !ok || !found || !there || l.Service.Max.Value != "1.5" || len(torque.Stages) != 2 || from.Kind != layout.FromExample {
		t.Errorf("got %v %v %v", l, torque, from)
	}
	_, ok = s.Limit("x")
	_, found = s.Torque("x")
	_, there = s.Source("x")
	if ok || found || there {
		t.Error("found what is not there")
	}
}

// TestWrittenAsRead holds that nothing is lost on the way through the types.
func TestWrittenAsRead(t *testing.T) {
	t.Parallel()
	text, err := json.Marshal(example(t))
	if err != nil {
		t.Fatal(err)
	}
	again, err := layout.ParseMap(text)
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(example(t), again); diff != "" {
		t.Error(diff)
	}
	if example(t).Points[0].Unit != measure.Percent {
		t.Error("the unit is lost")
	}
}

// FuzzParseMap holds that whatever is read can be checked, that a map without
// faults compiles, and that it reads the same once written.
func FuzzParseMap(f *testing.F) {
	f.Add(read(f, "example.map.json"))
	f.Add([]byte(`{"format":"benchtag-map/1","code":"a","revision":1,"title":"t","components":[{"key":"a","name":"a","kind":"k","safety":"major","assembly":"a"}],"assemblies":[{"key":"a","name":"a"}]}`))
	f.Add([]byte(`{"format":"benchtag-map/1","steps":[{"key":"a","needs":[["a"],["b"],[]],"back_after":["a","a"]}],"looks":[{}],"circuits":[{"passages":[{}]}]}`))
	f.Fuzz(func(t *testing.T, text []byte) {
		m, err := layout.ParseMap(text)
		if err != nil {
			return
		}
		faults := layout.Check(m)
		c, err := layout.Compile(m)
		if (err == nil) != (len(faults) == 0) {
			t.Fatalf("%d faults, and %v", len(faults), err)
		}
		for _, fault := range faults {
			if fault.Code == "" || fault.Message == "" || (fault.Pointer != "" && fault.Pointer[0] != '/') {
				t.Fatalf("%+v", fault)
			}
		}
		if err != nil {
			return
		}
		for _, node := range c.Nodes() {
			for _, w := range c.Out(node) {
				if !c.IsNode(w.To) {
					t.Fatalf("a way to %s, which is no node", w.To)
				}
			}
		}
		written, err := json.Marshal(m)
		if err != nil {
			t.Fatal(err)
		}
		if _, err := layout.ParseMap(written); err != nil {
			t.Fatal(err)
		}
	})
}

func FuzzParseSheet(f *testing.F) {
	f.Add(read(f, "example.limits.json"))
	m := example(f)
	f.Fuzz(func(t *testing.T, text []byte) {
		s, err := layout.ParseSheet(text)
		if err != nil {
			return
		}
		for _, fault := range layout.CheckSheet(s, m) {
			if fault.Code == "" || fault.Message == "" || fault.Pointer == "" {
				t.Fatalf("%+v", fault)
			}
		}
	})
}

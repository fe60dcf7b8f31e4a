package reckon_test

import (
	"encoding/json"
	"errors"
	"fmt"
	"path/filepath"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"benchtag/internal/fault"
	"benchtag/internal/measure"
	"benchtag/internal/reckon"
	"benchtag/internal/testkit"
)

// answered runs an engine and gives the answer as JSON; a fault must be one that
// a client can act on.
func answered(t testing.TB, engine string, body []byte) (string, bool) {
	t.Helper()
	answer, err := reckon.Run(engine, body)
	var f *fault.Error
	var m *measure.Error
	switch {
	case errors.As(err, &f):
		if f.Kind == fault.Internal || f.Code == "" || f.Message == "" {
			t.Errorf("%s, %s: %#v", engine, body, f)
		}
		return "", false
	case errors.As(err, &m):
		return "", false
	case err != nil:
		t.Errorf("%s, %s: %v", engine, body, err)
		return "", false
	}
	text, err := json.Marshal(answer)
	if err != nil {
		t.Errorf("%s, %s: cannot be written: %v", engine, body, err)
	}
	return string(text), true
}

func fuzzEngine(f *testing.F, engine string) {
	f.Helper()
	cases := testkit.Vectors[vector](f, filepath.Join("../../testdata/vectors", engine))
	for _, c := range cases {
		f.Add([]byte(c.Data.In))
	}
	f.Fuzz(func(t *testing.T, body []byte) {
		if len(body) < 4000 {
			answered(t, engine, body)
		}
	})
}

func FuzzGradeAnswer(f *testing.F)   { fuzzEngine(f, "grade") }
func FuzzFiguresAnswer(f *testing.F) { fuzzEngine(f, "figures") }

// Every answered case has a working that names figures, so that it can be done
// again, and where it judges, the grade it comes to.
func TestGradeAndFiguresShowTheirWorking(t *testing.T) {
	t.Parallel()
	for _, engine := range []string{"grade", "figures"} {
		for _, c := range testkit.Vectors[vector](t, filepath.Join("../../testdata/vectors", engine)) {
			if c.Data.WantErr != "" {
				continue
			}
			answer, err := reckon.Run(engine, c.Data.In)
			if err != nil {
				t.Errorf("%s: %v", c.Desc, err)
				continue
			}
			working := strings.Join(answer.Working, " ")
			if working == "" || strings.Contains(working, "%!") || strings.Contains(working, "0x") || strings.Contains(working, "NaN") {
				t.Errorf("%s/%s %s: working %q", engine, c.Name, c.Desc, working)
			}
		}
	}
}

// A request that is answered in millimetres is answered the same in inches, and
// plain figures scaled by any unit give the same probabilities.
func TestGradeKnowsNoUnits(t *testing.T) {
	t.Parallel()
	type probability struct {
		Verdict string
		Value   struct {
			PC      string `json:"pc"`
			Grade   *int64
			Service struct {
				PC string `json:"pc"`
			}
		}
	}
	ask := func(t *rapid.T, body string) probability {
		answer, err := reckon.Run("grade", []byte(body))
		if err != nil {
			t.Fatalf("%s: %v", body, err)
		}
		text, err := json.Marshal(answer)
		if err != nil {
			t.Fatal(err)
		}
		var p probability
		if err := json.Unmarshal(text, &p); err != nil {
			t.Fatal(err)
		}
		return p
	}
	rapid.Check(t, func(t *rapid.T) {
		// Whole thou are whole tenths of a micrometre times 254.
		y, u, limit := rapid.Int64Range(50, 150).Draw(t, "y"), rapid.Int64Range(1, 30).Draw(t, "U"), rapid.Int64Range(60, 140).Draw(t, "limit")
		inches := ask(t, fmt.Sprintf(`{"value":{"entered":"%d thou"},"uncertainty":{"entered":"%d thou"},"service":{"max":{"entered":"%d thou"}},"source":"maker"}`, y, u, limit))
		metric := ask(t, fmt.Sprintf(`{"value":{"value":"%s","unit":"mm"},"uncertainty":{"value":"%s","unit":"mm"},"service":{"max":{"value":"%s","unit":"mm"}},"source":"maker"}`,
			tenths(y), tenths(u), tenths(limit)))
		if inches.Verdict != metric.Verdict || inches.Value.Service.PC != metric.Value.Service.PC || (inches.Value.Grade == nil) != (metric.Value.Grade == nil) {
			t.Fatalf("%+v in thou, %+v in millimetres", inches, metric)
		}
		plain := ask(t, fmt.Sprintf(`{"call":"conformance","y":"%d","u":"%s","t_u":"%d"}`, y, half(u), limit))
		if plain.Value.PC != inches.Value.Service.PC {
			t.Fatalf("conformance gives %s, judge %s", plain.Value.PC, inches.Value.Service.PC)
		}
	})
}

// tenths writes thou as millimetres.
func tenths(thou int64) string { return fmt.Sprintf("%d.%04d", thou*254/10000, thou*254%10000) }

func half(n int64) string { return fmt.Sprintf("%d.%d", n/2, n%2*5) }

func BenchmarkGradeAnswer(b *testing.B) {
	body := []byte(`{"value":{"value":"0.095","unit":"mm"},"uncertainty":{"value":"0.010","unit":"mm"},"service":{"max":{"value":"0.100","unit":"mm"}},"source":"maker"}`)
	for b.Loop() {
		if _, err := reckon.Run("grade", body); err != nil {
			b.Fatal(err)
		}
	}
}

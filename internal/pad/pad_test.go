package pad_test

import (
	"strconv"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"benchtag/internal/grade"
	"benchtag/internal/measure"
	"benchtag/internal/pad"
)

// lines gives an answer's fields by the first word of their line.
func lines(answer string) map[string][]string {
	out := map[string][]string{}
	for _, l := range strings.Split(strings.TrimSuffix(answer, "\n"), "\n") {
		name, rest, _ := strings.Cut(l, "\t")
		out[name] = append(out[name], rest)
	}
	return out
}

const head = "formula\tmean\nunit\tmm\ngauge\ta\tCaliper\t0.01\tmm\t0.03\tmm\nsource\tmaker\nstate\tin_calibration\n"

func TestAnswer(t *testing.T) {
	t.Parallel()
	for _, c := range []struct{ name, in, word, want string }{
		{"within", head + "limit\tservice\tmin\t4\tmm\nreading\t\ta\t4.50 mm\n", "verdict", "within"},
		{"beyond", head + "limit\tservice\tmin\t5\tmm\nreading\t\ta\t4.50 mm\n", "verdict", "beyond"},
		{"nobody can tell", head + "limit\tservice\tmin\t4.5\tmm\nreading\t\ta\t4.50 mm\n", "verdict", "undecided"},
		{"critical, undecided counts as beyond", head + "safety\tcritical\nlimit\tservice\tmin\t4.5\tmm\nreading\t\ta\t4.50 mm\n", "counts", "beyond"},
		{"a fraction and its unit", head + "limit\tservice\tmin\t4\tmm\nreading\t\ta\t3/16 in\n", "value", "4.7625\tmm"},
		{"without a gauge nothing is decided", "formula\tmean\nlimit\tservice\tmin\t4\tmm\nsource\tmaker\nreading\t\t\t4.5 mm\n", "because", "no calibrated gauge is named"},
		{"no limit", head + "reading\t\ta\t4.5 mm\n", "verdict", "no_limit"},
		{"what a formula takes", "takes\tclearance", "roles", "hole\tshaft"},
		{"both systems", "echo\t25.4 mm\t[in_i]", "echo", "25.4 mm\t1 in"},
		{"no number", head + "reading\t\ta\tabout four\n", "verdict", ""},
		{"an unknown line", "colour\tblue", "refused", "pad.question_unreadable\tThe tablet asks in a way that this program does not know; load the page again."},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			got := lines(pad.Answer(c.in))
			if c.want == "" {
				if len(got["refused"]) != 1 || len(got[c.word]) != 0 {
					t.Errorf("%q gives %v", c.in, got)
				}
				return
			}
			if len(got[c.word]) == 0 || !strings.HasPrefix(got[c.word][0], c.want) {
				t.Errorf("%q gives %v, want %s %q", c.in, got, c.word, c.want)
			}
		})
	}
}

// TestAnswerSaysWhatTheEnginesSay puts random readings through the pad and
// through the engines by hand: the tablet says what the server will say.
func TestAnswerSaysWhatTheEnginesSay(t *testing.T) {
	t.Parallel()
	seen := map[grade.Outcome]int{}
	rapid.Check(t, func(t *rapid.T) {
		hundredths := func(name string) string {
			n := rapid.IntRange(400, 520).Draw(t, name)
			return strconv.Itoa(n/100) + "." + strconv.Itoa(100 + n%100)[1:]
		}
		limit, reads := hundredths("limit"), []string{hundredths("first"), hundredths("second")}
		side := rapid.SampledFrom([]string{"min", "max"}).Draw(t, "side")
		safety := rapid.SampledFrom(grade.Safeties()).Draw(t, "safety")
		got := lines(pad.Answer(head + "safety\t" + string(safety) + "\nlimit\tservice\t" + side + "\t" + limit + "\tmm\nreading\t\ta\t" + reads[0] + " mm\t" + reads[1] + " mm\n"))

		must := func(text string) measure.Quantity {
			q, err := measure.Parse(text)
			if err != nil {
				t.Fatal(err)
			}
			return q
		}
		derived, err := measure.Derive(measure.Request{Formula: "mean", Unit: measure.Millimetre, Readings: []measure.Reading{{
			Values: []measure.Quantity{must(reads[0] + " mm"), must(reads[1] + " mm")},
			Gauge:  &measure.Gauge{Name: "Caliper", Resolution: must("0.01 mm"), Uncertainty: must("0.03 mm")},
		}}})
		if err != nil {
			t.Fatal(err)
		}
		bound := must(limit + " mm")
		ask := grade.Request{Value: derived.Value, Uncertainty: &derived.Expanded, Source: grade.FromMaker, Gauge: grade.InCalibration, Safety: safety, Service: grade.Range{Max: &bound}}
		if side == "min" {
			ask.Service = grade.Range{Min: &bound}
		}
		want, err := grade.Judge(ask)
		if err != nil {
			t.Fatal(err)
		}
		seen[want.Outcome]++
		said := [4]string{got["verdict"][0], got["counts"][0], got["value"][0], got["uncertainty"][0]}
		if diff := cmp.Diff([4]string{string(want.Outcome), string(want.CountsAs), derived.Value.Value.String() + "\tmm", derived.Expanded.Value.String() + "\tmm"}, said); diff != "" {
			t.Fatal(diff)
		}
		wantGrade := []string(nil)
		if want.Grade != grade.None {
			wantGrade = []string{strconv.Itoa(int(want.Grade))}
		}
		if diff := cmp.Diff(wantGrade, got["grade"]); diff != "" {
			t.Fatal(diff)
		}
	})
	for _, o := range []grade.Outcome{grade.Within, grade.Beyond, grade.Undecided} {
		if seen[o] == 0 {
			t.Errorf("no round came out %s", o)
		}
	}
}

// FuzzAnswer holds that every question gets an answer of whole lines.
func FuzzAnswer(f *testing.F) {
	f.Add(head + "limit\tservice\tmin\t4\tmm\nreading\t\ta\t4.50 mm\n")
	f.Add("takes\tbore")
	f.Add("echo\t5 thou\tmm")
	f.Fuzz(func(t *testing.T, question string) {
		answer := pad.Answer(question)
		if !strings.HasSuffix(answer, "\n") {
			t.Fatalf("%q ends in the middle", answer)
		}
		got := lines(answer)
		if len(got["refused"]) == 0 && len(got["verdict"]) == 0 && got["roles"] == nil && got["echo"] == nil {
			t.Fatalf("%q says nothing", answer)
		}
	})
}

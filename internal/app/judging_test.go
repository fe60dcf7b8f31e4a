package app_test

import (
	"strings"
	"testing"

	"benchtag/internal/app"
	"benchtag/internal/shop"
)

// chainMeasured puts a finding of the chain and a measurement of its length
// over twenty pitches of 8 mm (160 mm new; service limit 1.5 %, 162.4 mm).
func chainMeasured(s *flowShop, gauge shop.GaugeID, lengths ...string) (shop.Measurement, shop.Finding) {
	s.t.Helper()
	finding := s.src.ID()
	_, _, err := s.app.PutFinding(s.ctx, s.who, app.Put{JobID: s.job, ID: finding, Create: true, Digest: finding}, func(f *shop.Finding) {
		f.Component, f.SafeToRide, f.Pieces = "timing_chain", shop.YesNoNotKnown, shop.PiecesNone
	})
	if err != nil {
		s.t.Fatal(err)
	}
	id := s.src.ID()
	m, _, err := s.app.PutMeasurement(s.ctx, s.who, app.Put{JobID: s.job, ID: id, Create: true, Digest: id}, func(m *shop.Measurement) {
		m.FindingID, m.Point, m.GaugeID = shop.FindingID(finding), "chain_length", gauge
		m.Readings = shop.Taken{Readings: []shop.PointReading{{}}}
		for _, l := range lengths {
			m.Readings.Readings[0].Values = append(m.Readings.Readings[0].Values, shop.Quantity{Value: l, Unit: "mm", Entered: l + " mm"})
		}
	})
	if err != nil {
		s.t.Fatal(err)
	}
	return m, one[shop.Finding](s, finding)
}

func caliper(s *flowShop, due shop.Date) shop.GaugeID {
	g := shop.Gauge{ID: shop.GaugeID(s.src.ID()), Name: "Caliper", Kind: "caliper", CalibratedOn: "2025-01-01", CalibrationDueOn: due,
		Resolution: shop.Quantity{Value: "0.01", Unit: "mm"}, Uncertainty: shop.Quantity{Value: "0.03", Unit: "mm"}}
	s.insert(&g)
	return g.ID
}

func TestMeasurementsGradeThemselves(t *testing.T) {
	t.Parallel()
	for name, tt := range map[string]struct {
		demo       bool
		due        shop.Date
		length     string
		verdict    string
		grade      int64 // -1: none
		indicative bool
	}{
		"worn out":                  {true, "2027-01-01", "163.0", "beyond", 3, false},
		"as new":                    {true, "2027-01-01", "160.1", "within", 0, false},
		"in service":                {true, "2027-01-01", "161.0", "within", 1, false},
		"near its limit":            {true, "2027-01-01", "162.3", "within", 2, false},
		"nobody can tell":           {true, "2027-01-01", "162.4", "undecided", -1, false},
		"out of calibration":        {true, "2026-01-01", "163.0", "beyond", -1, true},
		"an example in a real shop": {false, "2027-01-01", "163.0", "beyond", -1, true},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			s := mappedShop(t, tt.demo)
			m, f := chainMeasured(s, caliper(s, tt.due), tt.length)
			if m.Verdict != tt.verdict || m.Indicative != tt.indicative || m.Result.Unit != "%" || m.Uncertainty.IsZero() {
				t.Errorf("judged as %s, indicative %v: %+v", m.Verdict, m.Indicative, m)
			}
			if got := gradeOf(f.MeasuredGrade); got != tt.grade || gradeOf(f.EffectiveGrade) != tt.grade {
				t.Errorf("the finding is graded %d, want %d", got, tt.grade)
			}
			if len(m.Working) < 4 || !strings.Contains(m.LimitSource, "Invented") || m.EngineRevision == "" || len(m.Inputs) == 0 {
				t.Errorf("kept: %q, %s, %s", m.Working, m.LimitSource, m.EngineRevision)
			}
		})
	}
}

func gradeOf(g *int64) int64 {
	if g == nil {
		return -1
	}
	return *g
}

func TestTheWorstMeasurementGradesAFinding(t *testing.T) {
	t.Parallel()
	s := mappedShop(t, true)
	m, f := chainMeasured(s, caliper(s, "2027-01-01"), "163.0", "163.01")
	if _, err := s.app.StrikeMeasurement(s.ctx, s.who, app.Place{JobID: s.job, ID: string(m.ID)}, "Wrong chain."); err != nil {
		t.Fatal(err)
	}
	if f = one[shop.Finding](s, string(f.ID)); f.MeasuredGrade != nil || f.EffectiveGrade != nil {
		t.Errorf("a struck measurement still grades: %+v", f)
	}
}

func TestMeasurementsAreRefusedWithAWord(t *testing.T) {
	t.Parallel()
	s := mappedShop(t, true)
	_, f := chainMeasured(s, caliper(s, "2027-01-01"), "161")
	put := func(fill func(*shop.Measurement)) error {
		id := s.src.ID()
		_, _, err := s.app.PutMeasurement(s.ctx, s.who, app.Put{JobID: s.job, ID: id, Create: true, Digest: id}, func(m *shop.Measurement) {
			m.FindingID, m.Point = f.ID, "chain_length"
			m.Readings = shop.Taken{Readings: []shop.PointReading{{Values: []shop.Quantity{{Value: "161", Unit: "mm"}}}}}
			fill(m)
		})
		return err
	}
	for code, fill := range map[string]func(*shop.Measurement){
		"app.point_unknown":         func(m *shop.Measurement) { m.Point = "nowhere" },
		"app.formula_missing":       func(m *shop.Measurement) { m.Point = "" },
		"app.reference_unknown":     func(m *shop.Measurement) { m.GaugeID = shop.GaugeID(s.src.ID()) },
		"measure.derive_unknown":    func(m *shop.Measurement) { m.Point, m.Readings.Derive = "", "guesswork" },
		"measure.unit_incompatible": func(m *shop.Measurement) { m.Readings.Readings[0].Values[0].Unit = "V" },
		"measure.reading_missing":   func(m *shop.Measurement) { m.Readings.Readings = nil },
	} {
		if err := put(fill); codeOf(err) != code {
			t.Errorf("got %v, want %s", err, code)
		}
	}
	if err := put(func(*shop.Measurement) {}); err != nil {
		t.Errorf("without a gauge it is indicative, not refused: %v", err)
	}
}

// Another sheet, another verdict: what was measured is judged again.
func TestUseMapJudgesAgain(t *testing.T) {
	t.Parallel()
	s := mappedShop(t, true)
	m, f := chainMeasured(s, caliper(s, "2027-01-01"), "163.0")
	strict := strings.NewReplacer(`"example_engine_figures"`, `"wider_figures"`, `"value": "1.5"`, `"value": "5"`).Replace(string(exampleDocument(t, "example.limits.json")))
	sheet, err := s.app.AddLimitSheet(s.ctx, s.who, app.MapWanted{Document: []byte(strict)})
	if err != nil {
		t.Fatal(err)
	}
	job := one[shop.Job](s, string(s.job))
	if _, err := s.app.UseMap(s.ctx, s.who, s.job, app.MapChoice{LayoutID: job.LayoutID, LimitSheetID: sheet.ID}); err != nil {
		t.Fatal(err)
	}
	again, f := one[shop.Measurement](s, string(m.ID)), one[shop.Finding](s, string(f.ID))
	if again.Verdict != "within" || gradeOf(f.MeasuredGrade) != 1 || again.Version != 2 {
		t.Errorf("judged again: %s, graded %d", again.Verdict, gradeOf(f.MeasuredGrade))
	}
}

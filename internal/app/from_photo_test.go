package app_test

import (
	"bytes"
	"encoding/json"
	"errors"
	"image"
	"image/png"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"benchtag/internal/app"
	"benchtag/internal/fault"
	"benchtag/internal/photo"
	"benchtag/internal/shop"
)

// scaled are marks of a scale of 100 mm over 200 pixels, and of a length over
// 326: 163 mm.
func scaled() []shop.Mark {
	return []shop.Mark{
		{Kind: shop.MarkScale, Points: []shop.MarkPoint{{X: 0, Y: 5}, {X: 200, Y: 5}}, Known: shop.Quantity{Value: "100", Unit: "mm"}},
		{Kind: shop.MarkLength, Points: []shop.MarkPoint{{X: 10, Y: 20}, {X: 336, Y: 20}}},
	}
}

// photographed records a photo of a finding with such marks.
func (s *flowShop) photographed(of shop.FindingID) shop.Photo {
	s.t.Helper()
	blobs, err := photo.OpenFolder(filepath.Join(s.t.TempDir(), "photos"))
	if err != nil {
		s.t.Fatal(err)
	}
	s.t.Cleanup(func() { _ = blobs.Close() })
	s.app.Blobs, s.app.Pictures = blobs, photo.NewBaker()
	var content bytes.Buffer
	if err := png.Encode(&content, image.NewRGBA(image.Rect(0, 0, 400, 40))); err != nil {
		s.t.Fatal(err)
	}
	id := s.src.ID()
	put := func(at app.Put, marks []shop.Mark) shop.Photo {
		row, _, err := s.app.PutPhoto(s.ctx, s.who, at, func(p *shop.Photo) { p.FindingID, p.Marks = of, marks })
		if err != nil {
			s.t.Fatal(err)
		}
		return row
	}
	put(app.Put{JobID: s.job, ID: id, Create: true, Digest: "a"}, []shop.Mark{})
	row, _, err := s.app.StorePhoto(s.ctx, s.who, app.Place{JobID: s.job, ID: id}, app.PhotoContent{MediaType: "image/png", Read: func() ([]byte, error) { return content.Bytes(), nil }})
	if err != nil {
		s.t.Fatal(err)
	}
	return put(app.Put{JobID: s.job, ID: id, Match: row.Version, Digest: "b"}, scaled())
}

// A length marked on a photo can be taken over as a measurement. It stays what
// it is, an estimate: the same figure that grades a part when a gauge says it
// grades nothing when a photo does.
func TestMeasurementTakenOverFromAPhoto(t *testing.T) {
	t.Parallel()
	s := mappedShop(t, true)
	gauge := caliper(s, "2027-01-01")
	id := s.src.ID()
	finding, _, err := s.app.PutFinding(s.ctx, s.who, app.Put{JobID: s.job, ID: id, Create: true, Digest: id}, func(f *shop.Finding) {
		f.Component, f.SafeToRide, f.Pieces = "timing_chain", shop.YesNoNotKnown, shop.PiecesNone
	})
	if err != nil {
		t.Fatal(err)
	}
	lengths := app.PhotoLengths(s.photographed(finding.ID))
	if len(lengths) != 1 || lengths[0].Length.Unit != "mm" || !strings.HasPrefix(lengths[0].Length.Value, "163") || lengths[0].Uncertainty.IsZero() {
		t.Fatalf("the photo says %+v", lengths)
	}
	take := func(fromPhoto bool) (shop.Measurement, shop.Finding) {
		id := s.src.ID()
		m, _, err := s.app.PutMeasurement(s.ctx, s.who, app.Put{JobID: s.job, ID: id, Create: true, Digest: id}, func(m *shop.Measurement) {
			m.FindingID, m.Point, m.GaugeID = finding.ID, "chain_length", gauge
			m.Readings = shop.Taken{FromPhoto: fromPhoto, Readings: []shop.PointReading{{Values: []shop.Quantity{lengths[0].Length}}}}
		})
		if err != nil {
			t.Fatal(err)
		}
		return m, one[shop.Finding](s, string(finding.ID))
	}
	m, f := take(true)
	if !m.Readings.FromPhoto || !m.Indicative || m.Grade != nil || m.Verdict != "beyond" || f.MeasuredGrade != nil || f.EffectiveGrade != nil {
		t.Errorf("off the photo: %s, indicative %v, grade %d; the finding is graded %d", m.Verdict, m.Indicative, gradeOf(m.Grade), gradeOf(f.EffectiveGrade))
	}
	if !strings.Contains(strings.Join(m.Working, "\n"), "photo") {
		t.Errorf("its working does not say why it decides nothing: %q", m.Working)
	}
	if m, f = take(false); m.Indicative || gradeOf(m.Grade) != 3 || gradeOf(f.EffectiveGrade) != 3 {
		t.Errorf("by the gauge: indicative %v, grade %d; the finding is graded %d", m.Indicative, gradeOf(m.Grade), gradeOf(f.EffectiveGrade))
	}
}

// Marks are read from JSON that anybody may have written: whatever passes can
// be drawn, its lengths reckoned and its words printed, and whatever does not
// is refused with its place.
func FuzzMarks(f *testing.F) {
	good, err := json.Marshal(scaled())
	if err != nil {
		f.Fatal(err)
	}
	f.Add(string(good))
	for _, seed := range []string{`[]`, `null`, `[{"kind":"circle","points":[{"x":0,"y":0},{"x":299,"y":199}],"text":"all of it"}]`,
		`[{"kind":"arrow","points":[{"x":5,"y":5},{"x":5,"y":5}]}]`, `[{"kind":"text","points":[{"x":-1,"y":9223372036854775807}],"text":"off"}]`,
		`[{"kind":"scale","points":[{"x":0,"y":0},{"x":1,"y":0}],"known":{"value":"1e400","unit":"mm"}}]`, `[{"kind":"star","points":[]}]`} {
		f.Add(seed)
	}
	var picture bytes.Buffer
	if err := png.Encode(&picture, image.NewRGBA(image.Rect(0, 0, 300, 200))); err != nil {
		f.Fatal(err)
	}
	baker, now := photo.NewBaker(), time.Date(2026, 3, 2, 9, 0, 0, 0, time.UTC)
	f.Fuzz(func(t *testing.T, text string) {
		p := shop.Photo{Width: 300, Height: 200, StoredAt: &now}
		if json.Unmarshal([]byte(text), &p.Marks) != nil {
			return
		}
		if err := app.CheckMarks(&p); err != nil {
			var told *fault.Error
			if !errors.As(err, &told) || told.Kind != fault.Meaning || len(told.Fields) == 0 || !strings.HasPrefix(told.Fields[0].Pointer, "/marks") {
				t.Fatalf("refused without its place: %v", err)
			}
			return
		}
		marks, _ := app.DrawMarks(p)
		if len(marks) != len(p.Marks) || len(p.Marks) > app.MaxMarks {
			t.Fatalf("%d marks drawn of %d", len(marks), len(p.Marks))
		}
		for _, l := range app.PhotoLengths(p) {
			if p.Marks[l.Mark].Kind != shop.MarkLength || strings.HasPrefix(l.Length.Value, "-") {
				t.Fatalf("mark %d is %s long", l.Mark, l.Length.Value)
			}
		}
		if drawn, err := baker.Draw(t.Context(), picture.Bytes(), marks, 300); err != nil || drawn.Width != 300 {
			t.Fatalf("not drawn: %v", err)
		}
	})
}

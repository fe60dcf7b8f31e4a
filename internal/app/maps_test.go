package app_test

import (
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"benchtag/internal/app"
	"benchtag/internal/fault"
	"benchtag/internal/shop"
)

// exampleDocument reads one of the small example documents of package layout.
func exampleDocument(t testing.TB, name string) []byte {
	t.Helper()
	text, err := os.ReadFile(filepath.Join("..", "layout", "testdata", name))
	if err != nil {
		t.Fatal(err)
	}
	return text
}

func TestMachineMapsAreCheckedAndKept(t *testing.T) {
	t.Parallel()
	s := newFlowShop(t)
	document := exampleDocument(t, "example.map.json")
	sheet := exampleDocument(t, "example.limits.json")
	if _, err := s.app.AddLimitSheet(s.ctx, s.who, app.MapWanted{Document: sheet}); codeOf(err) != "app.machine_map_missing" {
		t.Errorf("a sheet without its map: %v", err)
	}
	row, err := s.app.AddMachineMap(s.ctx, s.who, app.MapWanted{Document: document})
	if err != nil {
		t.Fatal(err)
	}
	kept := one[shop.Layout](s, string(row.ID))
	if string(kept.Document) != string(document) || kept.SHA256 != app.HashText(string(document)) || kept.Revision != 1 || !kept.Example {
		t.Errorf("kept as %+v", kept)
	}
	if _, err := s.app.AddMachineMap(s.ctx, s.who, app.MapWanted{Document: document}); codeOf(err) != "app.edition_taken" {
		t.Errorf("the same edition again: %v", err)
	}
	added, err := s.app.AddLimitSheet(s.ctx, s.who, app.MapWanted{Document: sheet})
	if err != nil || added.MapCode != row.Code {
		t.Errorf("a sheet with its map: %+v, %v", added, err)
	}
	faulty := strings.Replace(string(document), `"safety": "major"`, `"safety": ""`, 1)
	if faulty == string(document) {
		t.Fatal("the example has no such component")
	}
	_, err = s.app.AddMachineMap(s.ctx, s.who, app.MapWanted{Document: []byte(faulty)})
	var f *fault.Error
	if !errors.As(err, &f) || f.Kind != fault.Meaning || len(f.Fields) == 0 || !strings.HasPrefix(f.Fields[0].Pointer, "/document/components/") {
		t.Errorf("a map with a fault: %#v", err)
	}
	for name, want := range map[string]app.MapWanted{"unreadable": {Document: []byte(`{"format":`)}, "not shipped": {Shipped: "no_such_map"}} {
		if _, err := s.app.AddMachineMap(s.ctx, s.who, want); !fault.Is(err, fault.Meaning) {
			t.Errorf("%s: %v", name, err)
		}
	}
}

func TestJobsWorkByAMap(t *testing.T) {
	t.Parallel()
	s := newFlowShop(t)
	m, err := s.app.AddMachineMap(s.ctx, s.who, app.MapWanted{Document: exampleDocument(t, "example.map.json")})
	if err != nil {
		t.Fatal(err)
	}
	sheet, err := s.app.AddLimitSheet(s.ctx, s.who, app.MapWanted{Document: exampleDocument(t, "example.limits.json")})
	if err != nil {
		t.Fatal(err)
	}
	foreign := shop.LimitSheet{ID: shop.LimitSheetID(s.src.ID()), Code: "other", MapCode: "other", Revision: 1, Document: []byte("{}")}
	s.insert(&foreign)
	s.visit()
	if _, err := s.app.MeasuredPoints(s.ctx, s.who, s.job); codeOf(err) != "app.machine_map_missing" {
		t.Errorf("points without a map: %v", err)
	}
	for name, tt := range map[string]struct {
		choice app.MapChoice
		code   string
	}{
		"a sheet alone":           {app.MapChoice{LimitSheetID: sheet.ID}, "app.limit_sheet_alone"},
		"another map's sheet":     {app.MapChoice{LayoutID: m.ID, LimitSheetID: foreign.ID}, "app.limit_sheet_of_other_map"},
		"no such map":             {app.MapChoice{LayoutID: shop.LayoutID(s.src.ID())}, "app.reference_unknown"},
		"the sheet that fits":     {app.MapChoice{LayoutID: m.ID}, ""},
		"the sheet that is named": {app.MapChoice{LayoutID: m.ID, LimitSheetID: sheet.ID}, ""},
	} {
		job, err := s.app.UseMap(s.ctx, s.who, s.job, tt.choice)
		if tt.code != "" && codeOf(err) != tt.code {
			t.Errorf("%s: %v, want %s", name, err, tt.code)
		}
		if tt.code == "" && (err != nil || job.LayoutID != m.ID || job.LimitSheetID != sheet.ID) {
			t.Errorf("%s: %+v, %v", name, job, err)
		}
	}
	points, err := s.app.MeasuredPoints(s.ctx, s.who, s.job)
	if err != nil || len(points) == 0 || len(points[0].Limits) == 0 || points[0].Source == "" {
		t.Errorf("points: %+v, %v", points, err)
	}
	s.setJob(func(j *shop.Job) { j.Stage = shop.StageClosed })
	if _, err := s.app.UseMap(s.ctx, s.who, s.job, app.MapChoice{LayoutID: m.ID}); codeOf(err) != "app.job_closed" {
		t.Errorf("an ended job: %v", err)
	}
}

package api_test

import (
	"archive/zip"
	"bytes"
	"io"
	"net/http"
	"slices"
	"strings"
	"testing"

	"benchtag/internal/app"
)

// TestExportOfACustomer asks for the export over HTTP: a zip under a name that
// says nothing of the person, with every part, the picture as it is stored,
// and one note of who was given it. Hashes of secrets are in no part of it.
func TestExportOfACustomer(t *testing.T) { t.Parallel(); onEach(t, exportOfACustomer) }

func exportOfACustomer(t *testing.T, r *rig) {
	if _, err := r.backend.Raw.ExecContext(t.Context(), "DELETE FROM customer_archives"); err != nil {
		t.Fatal(err) // the suite's own is no seal
	}
	before := r.reads(t)
	route := r.routeOf(t, "exportCustomer")
	got := r.ask(t, route, "owner", idsOf(route, r.mine), "", nil)
	if got.status != http.StatusOK || got.header.Get("Content-Type") != "application/zip" ||
		got.header.Get("Content-Disposition") != `attachment; filename="customer-shop-1-2026-03-01.zip"` {
		t.Fatalf("%d %v: %.300s", got.status, got.header, got.body)
	}
	archive, err := zip.NewReader(bytes.NewReader(got.body), int64(len(got.body)))
	if err != nil {
		t.Fatal(err)
	}
	var names []string
	var all strings.Builder
	for _, f := range archive.File {
		names = append(names, f.Name)
		file, err := f.Open()
		if err != nil {
			t.Fatal(err)
		}
		if _, err := io.Copy(&all, file); err != nil {
			t.Fatal(err)
		}
	}
	for _, want := range []string{app.CustomerRows, app.CustomerJournal, "photos/" + r.mine.IDs["photos"] + ".png"} {
		if !slices.Contains(names, want) {
			t.Errorf("%s is not among %v", want, names)
		}
	}
	if !strings.Contains(all.String(), "as good as a picture here") {
		t.Error("the picture is not the stored one")
	}
	for _, secret := range []string{"link_hash", "token_hash", "_digest", r.theirs.IDs["jobs"]} {
		if strings.Contains(all.String(), secret) {
			t.Errorf("the export holds %q", secret)
		}
	}
	if n := r.reads(t) - before; n != 1 {
		t.Errorf("the export left %d notes", n)
	}
}

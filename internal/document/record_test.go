package document_test

import (
	"bytes"
	"image"
	"image/jpeg"
	"os/exec"
	"strings"
	"testing"

	"benchtag/internal/app"
	"benchtag/internal/document"
)

// textOf reads the words of a paper in their order, blanks made one.
func textOf(t *testing.T, file []byte) (text string, pages int) {
	t.Helper()
	tool, err := exec.LookPath("pdftotext")
	if err != nil {
		t.Skip("pdftotext is not here: install poppler-utils")
	}
	cmd := exec.CommandContext(t.Context(), tool, "-layout", "-", "-")
	cmd.Stdin = bytes.NewReader(file)
	out, err := cmd.Output()
	if err != nil {
		t.Fatal(err)
	}
	return strings.Join(strings.Fields(string(out)), " "), strings.Count(string(out), "\f")
}

// inOrder holds words against a text: each stands after the one before.
func inOrder(t *testing.T, text string, words ...string) {
	t.Helper()
	last := 0
	for _, want := range words {
		at := strings.Index(text[last:], want)
		if at < 0 {
			t.Errorf("%q does not stand where it should in: %s", want, text)
			continue
		}
		last += at
	}
}

func recordSheet() app.RecordSheet {
	lines := app.WordSection{Title: "Every line offered"}
	for range 70 {
		lines.Rows = append(lines.Rows, app.WordRow{Name: "accepted", Words: strings.Repeat("Gasket for the clutch cover ", 5), Sum: "EUR 1,234,567.89 to EUR 2,234,567.89"})
	}
	lines.Rows = append(lines.Rows, app.WordRow{Name: "declined", Words: "the last line", Sum: "EUR 0.01"})
	return app.RecordSheet{Title: "Record of an answer, work order 1042", Name: "0190c7a2-0000-7000-8000-0000000000c1", From: "Willow Yard · phone +1 555 0100",
		Answer:  "YES, to “" + strings.Repeat("a very long way forward ", 12) + "”, for at most EUR 206.40, tax included",
		Notices: []string{"Taken back by the customer on Monday."},
		Parts: []app.WordSection{
			{Title: "Who answered", Rows: []app.WordRow{{Name: "Name", Words: strings.Repeat("Wilhelmina-Philippa ", 14) + "Endname"}, {Name: "A name of a fact that is long enough for two lines", Words: "x"}}},
			lines, {Title: "Read out, word for word", Rows: []app.WordRow{{Words: "This is Willow Yard.\nWe found: chain.\nEndmark"}}}},
		Notes: []string{"A name typed on a page is a simple electronic signature."}}
}

// The record of an answer says all it was given, on as many pages as it takes,
// each of which says whose it is and how many there are.
func TestRecordSheetSaysAll(t *testing.T) {
	t.Parallel()
	for _, paper := range document.SheetPapers() {
		file, err := document.Printer{}.RecordSheet(paper, recordSheet())
		if err != nil {
			t.Fatal(err)
		}
		text, n := textOf(t, file)
		inOrder(t, text, "number 0190c7a2-0000-7000-8000-0000000000c1", "1 of ", "Willow Yard", "Record of an answer", "a very long way forward ", "tax included", "Taken back by the customer",
			"Who answered", "Endname", "Every line offered", "EUR 1,234,567.89 to EUR 2,234,567.89", "2 of ", "declined the last line EUR 0.01",
			"This is Willow Yard. We found: chain. Endmark", "a simple electronic signature")
		if got := strings.Count(text, "number 0190c7a2-0000-7000-8000-0000000000c1"); n < 3 || got != n {
			t.Errorf("%s: %d pages, %d of them say whose they are", paper, n, got)
		}
		if strings.Count(text, "EUR 1,234,567.89 to EUR 2,234,567.89") != 70 {
			t.Errorf("%s: a sum was lost", paper)
		}
	}
	if _, err := (document.Printer{}).RecordSheet("a3", recordSheet()); err == nil {
		t.Error("printed on a paper that there is not")
	}
}

func findingsSheet(t *testing.T) app.FindingsSheet {
	t.Helper()
	grade := func(n int64) *int64 { return &n }
	var picture bytes.Buffer
	if err := jpeg.Encode(&picture, image.NewRGBA(image.Rect(0, 0, 60, 200)), nil); err != nil {
		t.Fatal(err)
	}
	drawn := app.DrawnPhoto{JPEG: picture.Bytes(), Width: 60, Height: 200}
	return app.FindingsSheet{From: "Willow Yard", Machine: "Varga Tourist 500 2014", Job: "Rattle", AsOf: "2026-03-02 15:00", Order: 1042, State: "no oil", NotToRun: true,
		Unsafe: []string{"timing chain"}, Concerns: []app.BenchLine{{Words: "It rattles.", Small: "We found something."}},
		Findings: []app.SheetFinding{
			{Called: "timing chain", Grade: grade(3), Rows: []app.WordRow{{Name: "Measured", Words: "Length: 1.94% ± 0.02% (k = 2)"}, {Name: "Limits", Words: "in service at most 1.5 %; source: invented"}},
				Photos: []app.SheetPhoto{{Drawn: drawn, Caption: strings.Repeat("Twelve links beside a rule. ", 40) + "Endcaption", Notes: []string{"1: twelve links"}}, {Missing: "This picture was erased.", Caption: "The pin"}}},
			{Called: "main bearing"}},
		NotLooked: []app.BenchLine{{Words: "gearbox", Small: "behind covers that are shut"}}}
}

// What was found stands whole on paper: the warning before everything, each
// condition as numeral and word, no data as no data, a photo's words whole
// however long, and a picture that is gone told.
func TestFindingsSheetSaysAll(t *testing.T) {
	t.Parallel()
	s := findingsSheet(t)
	for range 12 {
		s.Findings = append(s.Findings, s.Findings[0])
	}
	for _, paper := range document.SheetPapers() {
		file, err := document.Printer{}.FindingsSheet(paper, s)
		if err != nil {
			t.Fatal(err)
		}
		text, n := textOf(t, file)
		inOrder(t, text, "What we found", "Work order 1042: Rattle", "WARNING: not safe to ride with: timing chain", "DO NOT START: no oil", "It rattles.", "We found something.",
			"Timing chain", "3", "beyond limit", "1.94% ± 0.02% (k = 2)", "source: invented", "Endcaption", "1: twelve links", "This picture was erased. The pin",
			"Main bearing", "No data on its condition", "gearbox", "behind covers that are shut", "the maker's service manual comes first")
		if n < 4 {
			t.Errorf("%s: %d pages", paper, n)
		}
	}
	s.Findings[0].Photos[0].Drawn.JPEG = []byte("no picture")
	if _, err := (document.Printer{}).FindingsSheet("a4", s); err == nil {
		t.Error("a broken picture was printed")
	}
}

// Papers of evidence are the same again, and take any text.
func TestEvidencePapersTakeAnyText(t *testing.T) {
	t.Parallel()
	odd := "Ωmega жук 𝕏🏍️\x00\n\u202e\xff" + strings.Repeat("long", 60)
	r := recordSheet()
	r.Title, r.Answer, r.Parts[0].Rows[0] = odd, odd, app.WordRow{Name: odd, Words: odd, Sum: odd}
	f := findingsSheet(t)
	f.Job, f.Findings[0].Called, f.Findings[0].Photos[0].Caption = odd, odd, odd
	f.Findings[1].Called = ""
	a, err1 := document.Printer{}.RecordSheet("letter", r)
	b, err2 := document.Printer{}.FindingsSheet("letter", f)
	c, err3 := document.Printer{}.RecordSheet("letter", r)
	d, err4 := document.Printer{}.FindingsSheet("letter", f)
	if err1 != nil || err2 != nil || err3 != nil || err4 != nil || !bytes.Equal(a, c) || !bytes.Equal(b, d) {
		t.Fatalf("%v %v %v %v, or a paper differs from itself", err1, err2, err3, err4)
	}
}

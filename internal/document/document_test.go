package document_test

import (
	"bytes"
	"fmt"
	"image"
	"image/png"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/makiuchi-d/gozxing"
	"github.com/makiuchi-d/gozxing/qrcode"
	"pgregory.net/rapid"

	"benchtag/internal/app"
	"benchtag/internal/document"
	"benchtag/internal/fault"
	"benchtag/internal/shop"
	"benchtag/internal/testkit"
)

const (
	scanned = "HTTPS://WORKSHOP.EXAMPLE/T/K7MX-2223X"
	short   = "K7MX-2223X"
)

func tagLabel() app.TagLabel {
	return app.TagLabel{Code: "2223X", Scan: scanned, ScanShort: short, Shop: "Willow Yard", Order: 1042, Number: 3,
		Machine: "Varga Tourist 500 2014 LN-204X", Holds: "fourteen timing cover bolts, laid out by length", FromWhere: "timing cover, left", Lying: "shelf 3, tray B",
		State: "no oil, bolts finger-tight, do not start"}
}

func machineLabel() app.MachineLabel {
	return app.MachineLabel{Shop: "Willow Yard", Order: 1042, Machine: "Varga Tourist 500 2014 LN-204X", Keys: 1, Bay: "lift 2",
		State: "no oil, bolts finger-tight, do not start", AsOf: "2026-03-02 15:00"}
}

// narrow measures every letter as half an em, the code's as 0.6.
func narrow(font document.Font, em document.Length, text string) document.Length {
	wide := document.Length(len([]rune(text)))
	if font == document.Code {
		return wide * em * 6 / 10
	}
	return wide * em / 2
}

// Every label of every paper lies on its page and on no other label, from
// whichever place the sheet is begun.
func TestGridsFitTheirPages(t *testing.T) {
	t.Parallel()
	for _, p := range document.Papers() {
		each := p.Columns * p.Rows
		for start := int64(1); start <= int64(each); start++ {
			g, err := document.GridOf(app.LabelSheet{Paper: p.Name, Start: start})
			if err != nil {
				t.Fatalf("%s: %v", p.Name, err)
			}
			var met []document.Place
			for n := range each + 3 {
				at := g.At(n)
				if at.X < 0 || at.Y < 0 || at.X+p.LabelW > p.Width || at.Y+p.LabelH > p.Height {
					t.Fatalf("%s: label %d leaves the page: %+v", p.Name, n, at)
				}
				for _, o := range met {
					if o.Page == at.Page && at.X < o.X+p.LabelW && o.X < at.X+p.LabelW && at.Y < o.Y+p.LabelH && o.Y < at.Y+p.LabelH {
						t.Fatalf("%s: label %d at %+v lies on %+v", p.Name, n, at, o)
					}
				}
				met = append(met, at)
			}
			if first := met[0]; first.Page != 0 || met[each-1].Page != min(int(start-1), 1) {
				t.Errorf("%s from %d: first on page %d, last of a full sheet on %d", p.Name, start, first.Page, met[each-1].Page)
			}
		}
	}
}

// The places of the first and last label of each paper, so that no change
// moves labels off the stock unseen.
func TestGridGolden(t *testing.T) {
	t.Parallel()
	var out strings.Builder
	for _, p := range document.Papers() {
		g, err := document.GridOf(app.LabelSheet{Paper: p.Name})
		if err != nil {
			t.Fatal(err)
		}
		last := g.At(p.Columns*p.Rows - 1)
		fmt.Fprintf(&out, "%s: label %d x %d um, first at %d, %d, last of %d at %d, %d\n", p.Name, p.LabelW, p.LabelH, g.Left, g.Top, p.Columns*p.Rows, last.X, last.Y)
	}
	testkit.Golden(t, filepath.Join("testdata", "grids.golden"), []byte(out.String()))
}

func TestGridRefused(t *testing.T) {
	t.Parallel()
	micro := func(n int64) *int64 { return &n }
	for want, sheets := range map[string][]app.LabelSheet{
		"document.paper_unknown":      {{Paper: "a3"}, {}},
		"document.sheet_start":        {{Paper: "a4-70x37mm", Start: 25}, {Paper: "roll-50x25mm", Start: 2}},
		"document.sheet_does_not_fit": {{Paper: "a4-70x37mm", MarginLeft: micro(100)}, {Paper: "a4-70x37mm", GapX: micro(1)}, {Paper: "letter-4x2in", MarginTop: micro(-1)}},
		"":                            {{Paper: "a4-99x68mm", MarginLeft: micro(0), MarginTop: micro(25_000), GapX: micro(0)}},
	} {
		for _, s := range sheets {
			_, err := document.GridOf(s)
			if want == "" && err == nil {
				continue
			}
			if !fault.Is(err, fault.Meaning) || !strings.HasPrefix(err.Error(), want+":") {
				t.Errorf("%+v: %v, want %s", s, err, want)
			}
		}
	}
}

// inside makes sure that everything lies on the label, no text is wider than
// its room, and nothing lies on anything but white words on their bar.
func inside(t interface {
	Helper()
	Fatalf(string, ...any)
}, name string, items []document.Item, w, h document.Length) {
	t.Helper()
	for i, a := range items {
		if a.X < 0 || a.Y < 0 || a.X+a.W > w || a.Y+a.H > h || a.W <= 0 {
			t.Fatalf("%s: %+v leaves the label of %d x %d", name, a, w, h)
		}
		if a.Kind == document.KindText && narrow(a.Font, a.Em, a.Text) > a.W {
			t.Fatalf("%s: %q is %d wide in %d", name, a.Text, narrow(a.Font, a.Em, a.Text), a.W)
		}
		for _, b := range items[:i] {
			on := a.X < b.X+b.W && b.X < a.X+a.W && a.Y < b.Y+b.H && b.Y < a.Y+a.H
			if on && !(b.Kind == document.KindBar && a.White) {
				t.Fatalf("%s: %+v lies on %+v", name, a, b)
			}
		}
	}
}

// Whatever stands in the records, at every size everything stays on its label
// and apart; the code is whole; and a ban on starting is never cut away.
func TestLabelsHoldAnything(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		p := rapid.SampledFrom(document.Papers()).Draw(t, "paper")
		words := func(name string) string { return rapid.StringN(0, 300, -1).Draw(t, name) }
		l := app.TagLabel{Code: "2223X", Shop: words("shop"), Order: rapid.Int64Range(1, 1<<40).Draw(t, "order"), Number: rapid.Int64Range(1, 9999).Draw(t, "number"),
			Machine: words("machine"), Holds: words("holds"), FromWhere: words("from"), Lying: words("at"), Unused: rapid.Bool().Draw(t, "unused")}
		banned := rapid.Bool().Draw(t, "banned")
		if banned {
			l.State = words("before") + ", do not start, " + words("after")
		}
		items := document.TagItems(l, p.LabelW, p.LabelH, narrow)
		inside(t, p.Name, items, p.LabelW, p.LabelH)
		var all []string
		for _, it := range items {
			all = append(all, it.Text)
		}
		text := strings.Join(all, " ")
		if !strings.Contains(text, "2223X") || (banned && !strings.Contains(text, "DO NOT START")) {
			t.Fatalf("%s says only %q", p.Name, text)
		}
		ml := app.MachineLabel{Shop: l.Shop, Order: l.Order, Machine: l.Machine, Bay: words("bay"), State: l.State, NotToRun: banned, AsOf: "2026-03-02 15:00"}
		inside(t, "machine label on "+p.Name, document.MachineItems(ml, p.LabelW, p.LabelH, narrow), p.LabelW, p.LabelH)
	})
}

// Every label of an open machine carries its state, and one of a closed
// machine nothing of the kind.
func TestLabelsCarryTheState(t *testing.T) {
	t.Parallel()
	for _, p := range document.Papers() {
		text := func(items []document.Item) string {
			var all []string
			for _, it := range items {
				if it.White {
					all = append(all, it.Text)
				}
			}
			return strings.Join(all, " ")
		}
		for state, want := range map[string]string{
			"no oil, bolts finger-tight, do not start": "DO NOT START: no oil, bolts finger-tight",
			"no oil":                   "OPEN: no oil",
			"ȺȺ, Do Not Start, no oil": "DO NOT START: ȺȺ; no oil",
			"do not start":             "DO NOT START",
			"":                         "",
		} {
			l := tagLabel()
			l.State = state
			if diff := cmp.Diff(want, text(document.TagItems(l, p.LabelW, p.LabelH, narrow))); diff != "" {
				t.Errorf("%s with %q: %s", p.Name, state, diff)
			}
		}
		if got := text(document.MachineItems(machineLabel(), p.LabelW, p.LabelH, narrow)); got != "DO NOT START: no oil, bolts finger-tight" {
			t.Errorf("machine label on %s: %q", p.Name, got)
		}
	}
}

// At every size a module is at least 0.33 mm and the quiet zone four modules
// (ISO/IEC 18004), with an address as long as any shop's.
func TestModulesAreLargeEnough(t *testing.T) {
	t.Parallel()
	longest := "https://" + strings.Repeat("workshop-on-the-hill.", 8) + "example/t/K7MX-2223X"
	for _, p := range document.Papers() {
		for _, l := range []app.TagLabel{tagLabel(), {Code: "2223X", Unused: true}} {
			for _, text := range []string{scanned, longest} {
				for _, it := range document.TagItems(l, p.LabelW, p.LabelH, narrow) {
					if it.Kind != document.KindCode {
						continue
					}
					m, err := document.Scannable(text, short, it.W)
					if err != nil {
						t.Fatal(err)
					}
					if module := it.W / document.Length(m.Size()+2*document.QuietModules); module < document.LeastModule {
						t.Errorf("%s: modules of %d um in a square of %d", p.Name, module, it.W)
					}
				}
			}
		}
	}
}

// read decodes the one QR code of a picture with a decoder that is not ours,
// in the two ways it has of telling black from white.
func read(t testing.TB, img image.Image) string {
	t.Helper()
	source := gozxing.NewLuminanceSourceFromImage(img)
	var failed error
	for _, way := range []gozxing.Binarizer{gozxing.NewHybridBinarizer(source), gozxing.NewGlobalHistgramBinarizer(source)} {
		bitmap, err := gozxing.NewBinaryBitmap(way)
		if err != nil {
			t.Fatal(err)
		}
		result, err := qrcode.NewQRCodeReader().Decode(bitmap, map[gozxing.DecodeHintType]any{gozxing.DecodeHintType_TRY_HARDER: true})
		if err == nil {
			return result.GetText()
		}
		failed = err
	}
	t.Fatalf("no QR code is read: %v", failed)
	return ""
}

// picture draws a matrix with its quiet zone, four dots a module.
func picture(m document.Matrix) image.Image {
	const dots = 4
	side := (m.Size() + 2*document.QuietModules) * dots
	img := image.NewGray(image.Rect(0, 0, side, side))
	for i := range img.Pix {
		x, y := i%side/dots-document.QuietModules, i/side/dots-document.QuietModules
		if x < 0 || y < 0 || x >= m.Size() || y >= m.Size() || !m.Black(x, y) {
			img.Pix[i] = 255
		}
	}
	return img
}

func TestMatrixReadsBack(t *testing.T) {
	t.Parallel()
	for _, text := range []string{scanned, short, "https://example.test/bench/t/K7MX-YYYYG"} {
		m, err := document.MatrixOf(text)
		if err != nil {
			t.Fatal(err)
		}
		if got := read(t, picture(m)); got != text {
			t.Errorf("%q reads as %q", text, got)
		}
	}
}

// pages turns a file into pictures, where the machine has poppler's pdftoppm.
func pages(t testing.TB, file []byte, name string) []image.Image {
	t.Helper()
	tool, err := exec.LookPath("pdftoppm")
	if err != nil {
		t.Skip("pdftoppm is not here: install poppler-utils")
	}
	folder := t.TempDir()
	if keep := os.Getenv("BENCHTAG_KEEP_PAPERS"); keep != "" {
		folder = keep
		if err := os.WriteFile(filepath.Join(folder, name+".pdf"), file, 0o600); err != nil {
			t.Fatal(err)
		}
	}
	cmd := exec.CommandContext(t.Context(), tool, "-r", "203", "-png", "-", filepath.Join(folder, name))
	cmd.Stdin = bytes.NewReader(file)
	if out, err := cmd.CombinedOutput(); err != nil {
		t.Fatalf("pdftoppm: %v: %s", err, out)
	}
	found, err := filepath.Glob(filepath.Join(folder, name+"-*.png"))
	if err != nil || len(found) == 0 {
		t.Fatalf("no pages: %v", err)
	}
	var out []image.Image
	for _, f := range found {
		data, err := os.ReadFile(f)
		if err != nil {
			t.Fatal(err)
		}
		img, err := png.Decode(bytes.NewReader(data))
		if err != nil {
			t.Fatal(err)
		}
		out = append(out, img)
	}
	return out
}

// aimed is what a reader held over the QR code sees of a printed label: the
// code with its quiet zone.
func aimed(t testing.TB, page image.Image, l app.TagLabel, p document.Paper) image.Image {
	t.Helper()
	for _, it := range document.TagItems(l, p.LabelW, p.LabelH, narrow) {
		if it.Kind != document.KindCode {
			continue
		}
		dots := func(l document.Length) int { return int(l * 203 / document.Inch) }
		area := image.Rect(dots(it.X), dots(it.Y), dots(it.X+it.W), dots(it.Y+it.H))
		return page.(interface {
			SubImage(image.Rectangle) image.Image
		}).SubImage(area)
	}
	t.Fatal("no QR code on the label")
	return nil
}

// The page as a label printer of 203 dpi would print it reads back, with
// and without an open machine's state, on rolls of every size.
func TestPrintedLabelsReadBack(t *testing.T) {
	t.Parallel()
	tried := 0
	for _, p := range document.Papers() {
		if !p.Roll {
			continue
		}
		ahead := app.TagLabel{Code: "2223X", Scan: scanned, ScanShort: short, Shop: "Willow Yard", Unused: true}
		file, err := document.Printer{}.TagLabels(app.LabelSheet{Paper: p.Name}, []app.TagLabel{tagLabel(), ahead})
		if err != nil {
			t.Fatal(err)
		}
		got := pages(t, file, p.Name)
		if len(got) != 2 {
			t.Fatalf("%s: %d pages, want 2", p.Name, len(got))
		}
		for n, l := range []app.TagLabel{tagLabel(), ahead} {
			tried++
			if text := read(t, aimed(t, got[n], l, p)); text != scanned {
				t.Errorf("%s reads as %q", p.Name, text)
			}
		}
	}
	if tried < 10 {
		t.Errorf("only %d labels were tried", tried)
	}
}

// Sheets come out in as many pages as are needed, and anything at all can
// stand in the records without failing the file.
func TestPapersTakeAnyText(t *testing.T) {
	t.Parallel()
	odd := "Ωmega жук 𝕏🏍️\x00\n\u202e\xff" + strings.Repeat("long", 60)
	l := app.TagLabel{Code: "YYYYG", Scan: scanned, ScanShort: short, Shop: odd, Machine: odd, Holds: odd, FromWhere: odd, Lying: odd, State: odd}
	var labels []app.TagLabel
	for range 26 {
		labels = append(labels, l)
	}
	for _, p := range document.Papers() {
		file, err := document.Printer{}.TagLabels(app.LabelSheet{Paper: p.Name, Start: int64(p.Columns * p.Rows)}, labels)
		if err != nil || !bytes.HasPrefix(file, []byte("%PDF-")) {
			t.Errorf("%s: %v", p.Name, err)
		}
	}
	if _, err := (document.Printer{}).MachineLabel("roll-100x62mm", app.MachineLabel{Shop: odd, Machine: odd, Bay: odd, State: odd, AsOf: odd}); err != nil {
		t.Error(err)
	}
	sheet := benchSheet()
	sheet.Title, sheet.Machine, sheet.Complaints[0].Words = odd, odd, odd
	if _, err := (document.Printer{}).BenchSheet("letter", sheet); err != nil {
		t.Error(err)
	}
}

// The same values give the same bytes.
func TestPapersAreTheSameAgain(t *testing.T) {
	t.Parallel()
	make3 := func() (out [][]byte) {
		labels, err1 := document.Printer{}.TagLabels(app.LabelSheet{Paper: "a4-70x37mm"}, []app.TagLabel{tagLabel()})
		machine, err2 := document.Printer{}.MachineLabel("a6", machineLabel())
		sheet, err3 := document.Printer{}.BenchSheet("a4", benchSheet())
		for _, err := range []error{err1, err2, err3} {
			if err != nil {
				t.Fatal(err)
			}
		}
		return [][]byte{labels, machine, sheet}
	}
	one, two := make3(), make3()
	for i := range one {
		if !bytes.Equal(one[i], two[i]) {
			t.Errorf("paper %d differs from itself", i)
		}
	}
}

func benchSheet() app.BenchSheet {
	grade := func(n int64) *int64 { return &n }
	s := app.BenchSheet{Shop: "Willow Yard", AsOf: "2026-03-02 15:00", Order: 1042, Title: "Rattle from the timing side", Stage: "repair",
		Machine: "Varga Tourist 500 2014 LN-204X", State: "no oil, bolts finger-tight, do not start",
		Complaints: []app.BenchLine{{Words: "It rattles on the left for a minute after a cold start, and lately all the time.", Small: "left side of the engine; cold, at idle; since about three weeks"}},
		Findings: []app.BenchFinding{
			{Called: "timing chain tensioner", Grade: grade(4), Words: "broken, in pieces; replace. First cause.", Note: "The plunger's tip is gone; kept in bag 1."},
			{Called: "timing chain", Grade: grade(3), Words: "stretched; replace"},
			{Called: "chain guide, front", Grade: grade(1), Words: "reuse", Note: "Polished, not cut."},
			{Called: "crankshaft main bearing, left", Words: "not looked at: the crankcase would have to be split"}},
		Tags: []app.BenchTag{
			{Number: 1, Code: "2223X", Holds: "tensioner in four pieces", Where: "lies at shelf 3", Open: true},
			{Number: 2, Code: "2224V", Holds: "14 cover bolts, by length", Where: "nobody wrote where it lies", Open: true, OnLabel: "2225S"},
			{Number: 3, Code: "2226Q", Holds: "chain guard", Where: "back on the machine"}},
		Steps: []app.BenchStep{
			{Caution: "WARNING: strong magnets in the alternator cover. Keep away with a pacemaker; keep fingers out of the gap.", Words: "Put back what this opened: alternator cover off"},
			{Words: "Put back what this opened: seat and tank off"}},
		Joints: []app.BenchJoints{
			{Before: "the clutch cover goes on", Joints: []app.BenchJoint{{Words: "clutch centre nut", Target: "70 N.m, dry, new nut", Source: "example figure, not for service", Critical: true, Done: true}}},
			{Joints: []app.BenchJoint{{Words: "cover bolts", Target: "", Source: ""}, {Words: "drain plug", Target: "24 N.m", Source: "example figure, not for service", Critical: true, Done: true, Checked: true}}}},
		Notes: []string{"Figures on this sheet are as of the time above. The maker's manual, local law and qualified people come first."}}
	return s
}

// What the bench needs is all on the sheet, uncut, a caution before the step
// it is for and a left-over part before what follows, on both sizes of paper.
func TestBenchSheetSaysAll(t *testing.T) {
	t.Parallel()
	tool, err := exec.LookPath("pdftotext")
	if err != nil {
		t.Skip("pdftotext is not here: install poppler-utils")
	}
	s := benchSheet()
	long := strings.TrimSpace(strings.Repeat("The chain slaps at the tensioner when the engine is cold. ", 120)) + " Endmark."
	s.Complaints = append(s.Complaints, app.BenchLine{Words: long})
	for _, paper := range document.SheetPapers() {
		file, err := document.Printer{}.BenchSheet(paper, s)
		if err != nil {
			t.Fatal(err)
		}
		if images := pages(t, file, "bench-"+paper); len(images) < 2 {
			t.Errorf("%s: %d pages", paper, len(images))
		}
		cmd := exec.CommandContext(t.Context(), tool, "-layout", "-", "-")
		cmd.Stdin = bytes.NewReader(file)
		out, err := cmd.Output()
		if err != nil {
			t.Fatal(err)
		}
		text := strings.Join(strings.Fields(string(out)), " ")
		last := 0
		for _, want := range []string{"Work order 1042: Rattle from the timing side", "DO NOT START: no oil, bolts finger-tight", "Endmark.", "4 failed: timing chain tensioner",
			"not graded: crankshaft main bearing", "Left-over parts", "tensioner in four pieces", "Its label says 2225S", "chain guard", "strong magnets in the alternator cover",
			"Put back what this opened: alternator cover off", "STOP here before the clutch cover goes on", "clutch centre nut: 70 N.m", "look it up, do not guess", "UNVERIFIED", "come first"} {
			at := strings.Index(text[last:], want)
			if at < 0 {
				t.Errorf("%s: %q does not stand where it should in: %s", paper, want, text)
				continue
			}
			last += at
		}
	}
}

func FuzzTagItems(f *testing.F) {
	f.Add("two valve springs", "no oil, do not start", uint8(0))
	f.Add(strings.Repeat("W", 3000), "\xff\x00", uint8(9))
	f.Fuzz(func(t *testing.T, holds, state string, which uint8) {
		papers := document.Papers()
		p := papers[int(which)%len(papers)]
		l := app.TagLabel{Code: shop.TagCode("2223X"), Holds: holds, State: state}
		inside(t, p.Name, document.TagItems(l, p.LabelW, p.LabelH, narrow), p.LabelW, p.LabelH)
	})
}

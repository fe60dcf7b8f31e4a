package app_test

import (
	"bytes"
	"encoding/json"
	"image"
	"image/png"
	"path/filepath"
	"testing"

	"benchtag/internal/app"
	"benchtag/internal/fault"
	"benchtag/internal/photo"
	"benchtag/internal/shop"
)

// TestOfferShowsChosenPhotos makes an offer of a job with photos: it lists
// those that were chosen for the customer, by the hashes of their bytes, and
// its link shows these and no others, for as long as it shows the offer.
func TestOfferShowsChosenPhotos(t *testing.T) {
	t.Parallel()
	b := newMoneyBench(t, nil)
	b.withPhotos()
	finding := shop.Finding{ID: shop.FindingID(moneySource{}.ID()), OfJob: b.of(b.job), Origin: b.origin(), Component: "cam_chain", Pieces: shop.PiecesNone, SafeToRide: shop.YesNoNotKnown}
	b.insert(&finding)
	chosen := b.photograph(finding.ID, true, 60)
	kept := b.photograph(finding.ID, false, 61)
	walkRound := b.photograph("", true, 62)
	o := b.offer(b.scope(shop.ScopeKindRepair, b.part(b.job, 10_000)))
	var doc app.OfferDocument
	if err := json.Unmarshal(o.Document, &doc); err != nil {
		t.Fatal(err)
	}
	var shown []app.OfferPhoto
	for _, f := range doc.Findings {
		shown = append(shown, f.Photos...)
	}
	if len(shown) != 1 || shown[0].PhotoID != chosen.ID || shown[0].SHA256 != chosen.StoredSHA256 || shown[0].PreviewSHA256 != chosen.SmallSHA256 || shown[0].Shows != "the worn side" {
		t.Fatalf("the offer shows %+v", shown)
	}
	token := b.token(o)
	for size, sum := range map[app.PhotoSize]string{app.PhotoFull: chosen.StoredSHA256, app.PhotoSmall: chosen.SmallSHA256} {
		file, err := b.app.LinkPhoto(b.ctx, token, chosen.ID, size)
		if err != nil || app.SumOf(file.Content) != sum {
			t.Errorf("the %s copy: %v", size, err)
		}
	}
	for _, other := range []shop.PhotoID{kept.ID, walkRound.ID, shop.PhotoID(moneySource{}.ID()), ""} {
		_, err := b.app.LinkPhoto(b.ctx, token, other, app.PhotoFull)
		wantMoneyFault(t, err, fault.NotFound, "app.photo_not_in_offer")
	}
	_, err := b.app.LinkPhoto(b.ctx, token+"x", chosen.ID, app.PhotoFull)
	wantMoneyFault(t, err, fault.NotFound, "app.link_unknown")
	if _, err := b.app.WithdrawOffer(b.ctx, b.who, o.ID, "sold"); err != nil {
		t.Fatal(err)
	}
	_, err = b.app.LinkPhoto(b.ctx, token, chosen.ID, app.PhotoFull)
	wantMoneyFault(t, err, fault.Gone, "app.offer_withdrawn")
}

// withPhotos gives the bench a folder for photos.
func (b *moneyBench) withPhotos() {
	b.t.Helper()
	blobs, err := photo.OpenFolder(filepath.Join(b.t.TempDir(), "photos"))
	if err != nil {
		b.t.Fatal(err)
	}
	b.t.Cleanup(func() { _ = blobs.Close() })
	b.app.Blobs, b.app.Pictures = blobs, photo.NewBaker()
}

// photograph records a photo and sends its bytes.
func (b *moneyBench) photograph(of shop.FindingID, forCustomer bool, wide int) shop.Photo {
	b.t.Helper()
	id := moneySource{}.ID()
	_, _, err := b.app.PutPhoto(b.ctx, b.who, app.Put{JobID: b.job.ID, ID: id, Create: true, Digest: id}, func(p *shop.Photo) {
		p.FindingID, p.ForCustomer, p.Shows, p.Marks = of, forCustomer, "the worn side", []shop.Mark{}
	})
	if err != nil {
		b.t.Fatal(err)
	}
	var content bytes.Buffer
	if err := png.Encode(&content, image.NewRGBA(image.Rect(0, 0, wide, 40))); err != nil {
		b.t.Fatal(err)
	}
	row, made, err := b.app.StorePhoto(b.ctx, b.who, app.Place{JobID: b.job.ID, ID: id}, app.PhotoContent{MediaType: "image/png",
		Read: func() ([]byte, error) { return content.Bytes(), nil }})
	if err != nil || !made {
		b.t.Fatal(err)
	}
	return row
}

// TestPhotoOnPaper draws a photo with marks for paper, with a note for each
// that is numbered.
func TestPhotoOnPaper(t *testing.T) {
	t.Parallel()
	b := newMoneyBench(t, nil)
	b.withPhotos()
	p := b.photograph("", false, 400)
	row, _, err := b.app.PutPhoto(b.ctx, b.who, app.Put{JobID: b.job.ID, ID: string(p.ID), Match: p.Version, Digest: "marks"}, func(n *shop.Photo) {
		n.Marks = []shop.Mark{
			{Kind: shop.MarkScale, Points: []shop.MarkPoint{{X: 0, Y: 5}, {X: 100, Y: 5}}, Known: shop.Quantity{Value: "10", Unit: "mm"}},
			{Kind: shop.MarkLength, Points: []shop.MarkPoint{{X: 0, Y: 20}, {X: 50, Y: 20}}, Text: "chip"},
			{Kind: shop.MarkArrow, Points: []shop.MarkPoint{{X: 200, Y: 30}, {X: 250, Y: 10}}, Text: "a label that is too long to stand on a picture"},
		}
	})
	if err != nil {
		t.Fatal(err)
	}
	paper, err := b.app.PhotoForPaper(b.ctx, b.who.ShopID, row.ID, 300)
	if err != nil || paper.Width != 300 || paper.Height != 30 || len(paper.Notes) != 2 {
		t.Fatalf("%d × %d, %q, %v", paper.Width, paper.Height, paper.Notes, err)
	}
	if paper.Notes[0] != "1: chip: 5.00 mm ± 0.37 mm (k = 2), taken off the photo: indicative only" {
		t.Errorf("%q", paper.Notes[0])
	}
	m, _, err := image.Decode(bytes.NewReader(paper.JPEG))
	if err != nil {
		t.Fatal(err)
	}
	dark, white := 0, 0
	for y := range 30 {
		for x := range 300 {
			if r, _, _, _ := m.At(x, y).RGBA(); r>>8 > 200 {
				white++
			} else if r>>8 < 50 {
				dark++
			}
		}
	}
	if white < 100 || dark < 100 {
		t.Errorf("%d white and %d dark pixels: nothing is drawn", white, dark)
	}
}

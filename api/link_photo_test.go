package api_test

import (
	"bytes"
	"context"
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"
	"time"

	"benchtag/api"
	"benchtag/internal/app"
	"benchtag/internal/auth"
	"benchtag/internal/photo"
	"benchtag/internal/shop"
	"benchtag/internal/web"
	"benchtag/openapi"
)

// photographed gives the till's job a finding with a photo for the customer
// and one that is not, and the path of a customer's link to an offer of it.
func (b *till) photographed() (chosen, kept shop.Photo, path string) {
	b.t.Helper()
	blobs, err := photo.OpenFolder(b.t.TempDir())
	if err != nil {
		b.t.Fatal(err)
	}
	b.t.Cleanup(func() { _ = blobs.Close() })
	b.app.Blobs, b.app.Pictures = blobs, photo.NewBaker()
	who := auth.Principal{Kind: auth.KindStaff, ShopID: b.owner.ShopID, Roles: []shop.Role{shop.RoleOwner}, StaffID: b.owner.StaffID}
	finding := shop.Finding{ID: shop.FindingID(tillSource{}.ID()), OfJob: shop.OfJob{WorkOrderID: b.order, JobID: b.job}, Component: "third gear", Pieces: shop.PiecesNone,
		SafeToRide: shop.YesNoNo, Origin: shop.Origin{RecordedBy: who.StaffID, ReceivedAt: time.Now().UTC()}}
	if err := b.app.Store.Write(b.t.Context(), who.ShopID, func(_ context.Context, tx app.Tx) error { return tx.Insert(&finding) }); err != nil {
		b.t.Fatal(err)
	}
	take := func(forCustomer bool, wide int) shop.Photo {
		id := tillSource{}.ID()
		_, _, err := b.app.PutPhoto(b.t.Context(), who, app.Put{JobID: b.job, ID: id, Create: true, Digest: id}, func(p *shop.Photo) {
			p.FindingID, p.ForCustomer, p.FileName, p.Marks = finding.ID, forCustomer, "secret-name.png", []shop.Mark{}
		})
		if err != nil {
			b.t.Fatal(err)
		}
		content := picture(b.t, wide, 30)
		row, _, err := b.app.StorePhoto(b.t.Context(), who, app.Place{JobID: b.job, ID: id}, app.PhotoContent{MediaType: "image/png", Read: func() ([]byte, error) { return content, nil }})
		if err != nil {
			b.t.Fatal(err)
		}
		return row
	}
	chosen, kept = take(true, 40), take(false, 41)
	offer := b.ask("owner", "POST", "/v1/jobs/"+string(b.job)+"/offers", "/v1/jobs/{id}/offers", 201, map[string]any{"scope_ids": []string{string(b.scope)}, "price_until": "2030-01-01"})
	link := b.ask("owner", "POST", "/v1/offers/"+offer["id"].(string)+"/links", "/v1/offers/{id}/links", 201, map[string]any{"decide_hours": 24})
	return chosen, kept, strings.TrimPrefix(link["url"].(string), "https://bench.example")
}

// The customer's two addresses of a picture show the pictures of their offer
// alone, from the bytes that the offer names, and keep the rules of the page:
// nobody keeps them, no search engine lists them, nothing in them can run; a
// picture that was erased is gone, in plain words.
func TestCustomersPictures(t *testing.T) {
	t.Parallel()
	b := openTill(t)
	chosen, kept, path := b.photographed()
	pages, err := web.New(web.Options{Offers: b.app, Contract: openapi.Document()})
	if err != nil {
		t.Fatal(err)
	}
	server, err := api.New(api.Options{App: b.app, Access: tillReader{}, Contract: openapi.Document(), Pages: pages})
	if err != nil {
		t.Fatal(err)
	}
	get := func(method, path string) *httptest.ResponseRecorder {
		w := httptest.NewRecorder()
		server.ServeHTTP(w, httptest.NewRequest(method, path, nil))
		return w
	}
	for address, sum := range map[string]string{path + "/photo/" + string(chosen.ID): chosen.StoredSHA256, path + "/photo/" + string(chosen.ID) + "/small": chosen.SmallSHA256} {
		w := get("GET", address)
		h := w.Header()
		if w.Code != 200 || app.SumOf(w.Body.Bytes()) != sum {
			t.Fatalf("%d, %d bytes that are not those of the offer", w.Code, w.Body.Len())
		}
		for name, want := range map[string]string{"Cache-Control": "no-store", "Referrer-Policy": "no-referrer", "X-Content-Type-Options": "nosniff", "X-Robots-Tag": "noindex, nofollow"} {
			if h.Get(name) != want {
				t.Errorf("%s is %q", name, h.Get(name))
			}
		}
		if kind := h.Get("Content-Type"); kind != "image/jpeg" && kind != "image/png" || !strings.Contains(h.Get("Content-Security-Policy"), "sandbox") ||
			strings.Contains(h.Get("Content-Disposition"), "secret-name") {
			t.Errorf("headers %v", h)
		}
		if head := get("HEAD", address); head.Code != 200 || head.Body.Len() != 0 || head.Header().Get("Content-Length") != h.Get("Content-Length") {
			t.Errorf("HEAD: %d, %d bytes, %v", head.Code, head.Body.Len(), head.Header())
		}
		if w := get("POST", address); w.Code == 200 {
			t.Error("a picture takes a POST")
		}
	}
	other := get("GET", path+"/photo/"+tillSource{}.ID())
	for _, wrong := range []string{path + "/photo/" + string(kept.ID), path + "/photo/" + string(kept.ID) + "/small", path + "x/photo/" + string(chosen.ID), path + "/photo/..%2f..%2fetc", path + "/photo/%00"} {
		w := get("GET", wrong)
		if w.Code != http.StatusNotFound || !bytes.Equal(w.Body.Bytes(), other.Body.Bytes()) {
			t.Errorf("%s: %d, and not what a picture that never was gets", wrong, w.Code)
		}
	}
	now := time.Now().UTC().Truncate(time.Microsecond)
	err = b.app.Store.Write(t.Context(), b.owner.ShopID, func(_ context.Context, tx app.Tx) error {
		if err := tx.Load(&chosen, string(chosen.ID)); err != nil {
			return err
		}
		chosen.ErasedAt = &now
		return tx.Advance(&chosen)
	})
	if err != nil {
		t.Fatal(err)
	}
	w := get("GET", path+"/photo/"+string(chosen.ID)+"/small")
	if w.Code != http.StatusGone || !strings.Contains(w.Body.String(), "This picture is not here any more") || w.Header().Get("Cache-Control") != "no-store" {
		t.Errorf("erased: %d %.120q", w.Code, w.Body)
	}
	if page := get("GET", path); page.Code != 200 || !strings.Contains(page.Body.String(), "A picture stood here. It was erased.") {
		t.Errorf("its page: %d", page.Code)
	}
}

package api_test

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/base64"
	"encoding/json"
	"fmt"
	"image"
	"image/color"
	"image/png"
	"io"
	"log/slog"
	"net"
	"net/http"
	"net/http/httptest"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"testing/iotest"
	"time"

	"benchtag/api"
	"benchtag/internal/app"
	"benchtag/internal/photo"
	"benchtag/internal/shop"
	"benchtag/openapi"
)

// roomyFolder is a folder whose disk is as full as a test says.
type roomyFolder struct {
	*photo.Folder
	room app.Room
}

func (f *roomyFolder) Room(context.Context) (app.Room, error) { return f.room, nil }

// photoDesk is the record desk with a place for pictures.
type photoDesk struct {
	*recordDesk
	app    *app.App
	blobs  *roomyFolder
	folder string
	log    *bytes.Buffer
}

func openPhotoDesk(t *testing.T) *photoDesk {
	t.Helper()
	d := &photoDesk{recordDesk: openRecordDesk(t), folder: t.TempDir(), log: &bytes.Buffer{}}
	open, err := photo.OpenFolder(d.folder)
	if err != nil {
		t.Fatal(err)
	}
	d.blobs = &roomyFolder{Folder: open}
	t.Cleanup(func() { _ = d.blobs.Close() })
	d.app = app.New(app.Options{Store: d.store, Source: d.src, Blobs: d.blobs, Pictures: photo.NewBaker()})
	d.server, err = api.New(api.Options{App: d.app, Access: recordAccess{}, Contract: openapi.Document(), Log: slog.New(slog.NewTextHandler(d.log, nil))})
	if err != nil {
		t.Fatal(err)
	}
	return d
}

// record makes a photo of the job and gives its id.
func (d *photoDesk) record(who string, body map[string]any) string {
	d.t.Helper()
	id := d.src.ID()
	got := d.ask(who, "PUT", "/v1/jobs/{job_id}/photos/{id}", body, map[string]string{"If-None-Match": "*"}, recordJob, id)
	if got.status != http.StatusCreated {
		d.t.Fatalf("the record of a photo: %d %v", got.status, got.body)
	}
	return id
}

func picture(t testing.TB, w, h int) []byte {
	t.Helper()
	m := image.NewRGBA(image.Rect(0, 0, w, h))
	for x := range w {
		for y := range h {
			m.SetRGBA(x, y, color.RGBA{uint8(x), uint8(y), 100, 255})
		}
	}
	var b bytes.Buffer
	if err := png.Encode(&b, m); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

func digestOf(content []byte) string {
	sum := sha256.Sum256(content)
	return "sha-256=:" + base64.StdEncoding.EncodeToString(sum[:]) + ":"
}

// send puts the bytes of a photo.
func (d *photoDesk) send(who, id, kind, digest string, body io.Reader) (int, map[string]any) {
	d.t.Helper()
	req := httptest.NewRequest("PUT", "/v1/jobs/"+recordJob+"/photos/"+id+"/content", body)
	req.Header.Set("Authorization", "Bearer "+who)
	req.Header.Set("Content-Type", kind)
	if digest != "" {
		req.Header.Set("Content-Digest", digest)
	}
	res := serve(d.server, req)
	var got map[string]any
	if err := json.NewDecoder(res.Body).Decode(&got); err != nil {
		d.t.Fatal(err)
	}
	return res.StatusCode, got
}

func (d *photoDesk) sendPicture(id string, content []byte) (int, map[string]any) {
	return d.send(recordTech, id, "image/png", digestOf(content), bytes.NewReader(content))
}

// get asks for the bytes of a photo.
func (d *photoDesk) get(who, id, what string, header http.Header) (*http.Response, []byte) {
	d.t.Helper()
	req := httptest.NewRequest("GET", "/v1/jobs/"+recordJob+"/photos/"+id+"/"+what, nil)
	for name, values := range header {
		req.Header[name] = values
	}
	req.Header.Set("Authorization", "Bearer "+who)
	res := serve(d.server, req)
	body, err := io.ReadAll(res.Body)
	if err != nil {
		d.t.Fatal(err)
	}
	return res, body
}

// TestPhotoFromRecordToPicture walks the way of a photo: record, bytes, the
// same bytes again, other bytes, copies, and what the journal holds.
func TestPhotoFromRecordToPicture(t *testing.T) {
	t.Parallel()
	d := openPhotoDesk(t)
	id := d.record(recordTech, map[string]any{"shows": "the chipped tooth", "file_name": `..\..\IMG "7".heic`})
	if res, _ := d.get(recordTech, id, "content", nil); res.StatusCode != http.StatusNotFound {
		t.Errorf("before its bytes came: %d", res.StatusCode)
	}
	content := picture(t, 300, 200)
	status, got := d.sendPicture(id, content)
	if status != http.StatusCreated || got["original_sha256"] != app.SumOf(content) || got["width"] != 300.0 || got["height"] != 200.0 || got["stored_at"] == nil || got["version"] != 2.0 {
		t.Fatalf("%d %v", status, got)
	}
	again, same := d.sendPicture(id, content)
	if again != http.StatusOK || same["version"] != 2.0 {
		t.Errorf("the same bytes again: %d, version %v", again, same["version"])
	}
	if other, problem := d.sendPicture(id, picture(t, 301, 200)); other != http.StatusConflict || problem["code"] != "app.photo_has_content" {
		t.Errorf("other bytes: %d %v", other, problem)
	}
	d.looksRight(id, got)
	d.journaled(app.SumOf(content))
}

func (d *photoDesk) looksRight(id string, row map[string]any) {
	d.t.Helper()
	for what, longest := range map[string]int{"content": 300, "thumbnail": 300, "thumbnail?size=small": 300, "thumbnail?size=large": 300} {
		res, body := d.get(recordSecond, id, what, nil)
		if res.StatusCode != http.StatusOK {
			d.t.Errorf("%s: %d %s", what, res.StatusCode, body)
			continue
		}
		m, _, err := image.Decode(bytes.NewReader(body))
		if err != nil || m.Bounds().Dx() != longest {
			d.t.Errorf("%s: %v", what, err)
		}
		for name, want := range map[string]string{"X-Content-Type-Options": "nosniff", "Cache-Control": "private, no-cache",
			"Content-Security-Policy": "default-src 'none'; sandbox; frame-ancestors 'none'", "Cross-Origin-Resource-Policy": "same-origin",
			"Content-Length": fmt.Sprint(len(body))} {
			if res.Header.Get(name) != want {
				d.t.Errorf("%s: %s is %q, want %q", what, name, res.Header.Get(name), want)
			}
		}
		if what == "content" {
			if app.SumOf(body) != row["stored_sha256"] || res.Header.Get("Content-Type") != row["media_type"] {
				d.t.Errorf("what is given is not what the row says")
			}
			if got := res.Header.Get("Content-Disposition"); got != `attachment; filename="IMG 7.png"; filename*=UTF-8''IMG%207.png` && got != `attachment; filename="IMG 7.jpg"; filename*=UTF-8''IMG%207.jpg` {
				d.t.Errorf("to be saved as %q", got)
			}
		}
		tag := res.Header.Get("ETag")
		if known, rest := d.get(recordTech, id, what, http.Header{"If-None-Match": {`"other", ` + tag}}); known.StatusCode != http.StatusNotModified || len(rest) != 0 {
			d.t.Errorf("%s with its tag: %d", what, known.StatusCode)
		}
	}
}

// journaled looks for a hash in the journal of the work order, opened with
// the customer's key.
func (d *photoDesk) journaled(sum string) {
	d.t.Helper()
	err := d.store.Read(d.t.Context(), recordShopID, func(tx app.Tx) error {
		entries, err := tx.Entries(recordOrder, 0, 100)
		stored := 0
		for _, e := range entries {
			if strings.Contains(string(e.Header), "photo.stored") {
				stored++
				if e.KeyedTo != recordPerson || strings.Contains(string(e.Body), sum) {
					d.t.Error("the entry is not sealed for the customer")
				}
			}
		}
		if stored != 1 {
			d.t.Errorf("%d entries say that the photo was stored; want one", stored)
		}
		return err
	})
	if err != nil {
		d.t.Fatal(err)
	}
}

// TestPhotoRefusals sends what is not taken; the photo takes its picture all
// the same after it.
func TestPhotoRefusals(t *testing.T) {
	t.Parallel()
	d := openPhotoDesk(t)
	id := d.record(recordTech, map[string]any{})
	good := picture(t, 20, 10)
	heic := append([]byte("\x00\x00\x00\x18ftypheic\x00\x00\x00\x00mif1heic"), make([]byte, 50)...)
	long := make([]byte, app.MaxPhoto+1)
	for _, tt := range []struct {
		name, kind, digest string
		body               io.Reader
		status             int
		code               string
	}{
		{"no digest", "image/png", "", bytes.NewReader(good), 400, "api.request_invalid"},
		{"a digest that is none", "image/png", "sha-256=:eA==:", bytes.NewReader(good), 400, "api.content_digest_missing"},
		{"a digest of another kind", "image/png", "md5=:eA==:", bytes.NewReader(good), 400, "api.content_digest_missing"},
		{"damaged on the way", "image/png", digestOf([]byte("x")), bytes.NewReader(good), 400, "api.content_digest_wrong"},
		{"cut off", "image/png", digestOf(good), io.MultiReader(bytes.NewReader(good[:10]), iotest.ErrReader(io.ErrUnexpectedEOF)), 400, "api.body_broken"},
		{"too long", "image/png", digestOf(long), bytes.NewReader(long), 413, "api.photo_too_large"},
		{"too long, its length unsaid", "image/png", digestOf(long), io.MultiReader(bytes.NewReader(long)), 413, "api.photo_too_large"},
		{"without end", "image/png", digestOf(good), endless{}, 413, "api.photo_too_large"},
		{"HEIC", "image/heic", digestOf(heic), bytes.NewReader(heic), 415, "photo.heic_refused"},
		{"HEIC said to be JPEG", "image/jpeg", digestOf(heic), bytes.NewReader(heic), 415, "photo.heic_refused"},
		{"JSON", "application/json", digestOf([]byte("{}")), strings.NewReader("{}"), 415, "photo.kind_refused"},
		{"another kind than it says", "image/jpeg", digestOf(good), bytes.NewReader(good), 422, "photo.kind_mismatch"},
		{"broken", "image/png", digestOf(good[:40]), bytes.NewReader(good[:40]), 422, "photo.broken"},
	} {
		status, got := d.send(recordTech, id, tt.kind, tt.digest, tt.body)
		if status != tt.status || got["code"] != tt.code {
			t.Errorf("%s: %d %v, want %d %s: %v", tt.name, status, got["code"], tt.status, tt.code, got)
		}
	}
	if status, got := d.sendPicture(id, good); status != http.StatusCreated {
		t.Errorf("after all that: %d %v", status, got)
	}
	if status, _ := d.sendPicture(d.src.ID(), good); status != http.StatusNotFound {
		t.Errorf("without a record: %d", status)
	}
}

// endless is a body that has no end: whoever reads it whole never answers.
type endless struct{}

func (endless) Read(p []byte) (int, error) { return len(p), nil }

// TestPhotoDamage flips one byte of a stored picture: it is never given, that
// is logged and marked, other photos are as they were, and the same file sent
// again mends it.
func TestPhotoDamage(t *testing.T) {
	t.Parallel()
	d := openPhotoDesk(t)
	content := picture(t, 60, 40)
	id, other := d.record(recordTech, map[string]any{}), d.record(recordTech, map[string]any{})
	_, row := d.sendPicture(id, content)
	d.sendPicture(other, picture(t, 50, 50))
	path := filepath.Join(d.folder, filepath.FromSlash(app.PhotoKey(recordShopID, shop.PhotoID(id), row["stored_sha256"].(string))))
	bytesOf, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	bytesOf[len(bytesOf)/2] ^= 1
	if err := os.WriteFile(path, bytesOf, 0o600); err != nil {
		t.Fatal(err)
	}
	if res, body := d.get(recordTech, id, "content", nil); res.StatusCode != http.StatusServiceUnavailable || !strings.Contains(string(body), app.CodePhotoDamaged) {
		t.Errorf("a damaged picture: %d %s", res.StatusCode, body)
	}
	if !strings.Contains(d.log.String(), "a stored photo is damaged") {
		t.Error("nothing is logged")
	}
	if res, _ := d.get(recordTech, other, "content", nil); res.StatusCode != http.StatusOK {
		t.Errorf("its neighbour: %d", res.StatusCode)
	}
	if err := d.app.ScrubPhotos(t.Context(), recordShopID); err == nil || !strings.Contains(err.Error(), "1 photos are damaged") {
		t.Errorf("the scrub says %v", err)
	}
	if got := d.ask(recordTech, "GET", "/v1/jobs/{job_id}/photos/{id}", nil, nil, recordJob, id); got.body["damaged_at"] == nil {
		t.Error("it is not marked as damaged")
	}
	if status, got := d.sendPicture(id, content); status != http.StatusOK || got["damaged_at"] != nil {
		t.Errorf("the same file again: %d %v", status, got)
	}
	if res, _ := d.get(recordTech, id, "content", nil); res.StatusCode != http.StatusOK {
		t.Errorf("mended: %d", res.StatusCode)
	}
	if err := d.app.ScrubPhotos(t.Context(), recordShopID); err != nil {
		t.Errorf("the scrub after it: %v", err)
	}
}

// TestPhotoRoom fills the disk: pictures are refused with 507, and text is
// written all the same.
func TestPhotoRoom(t *testing.T) {
	t.Parallel()
	d := openPhotoDesk(t)
	id := d.record(recordTech, map[string]any{})
	for _, tt := range []struct {
		room   app.Room
		status int
	}{
		{app.Room{Free: 1 << 30, Total: 10 << 30}, 507},    // not a GiB besides the picture
		{app.Room{Free: 40 << 30, Total: 1000 << 30}, 507}, // not 5 %
		{app.Room{Free: 60 << 30, Total: 1000 << 30}, 201}, // enough
		{app.Room{Free: 0, Total: 10 << 30}, 200},          // stored already: takes no more room
	} {
		d.blobs.room = tt.room
		if status, got := d.sendPicture(id, picture(t, 30, 30)); status != tt.status {
			t.Errorf("%+v: %d %v, want %d", tt.room, status, got["code"], tt.status)
		}
		d.record(recordTech, map[string]any{"shows": "text goes on"})
	}
	d.blobs.room = app.Room{}
	d.app.PhotoQuota = app.PhotoQuota{PersonCount: 1}
	second := d.record(recordTech, map[string]any{})
	if status, got := d.sendPicture(second, picture(t, 30, 30)); status != 507 || got["code"] != "app.photos_person_full" {
		t.Errorf("the second of one: %d %v", status, got["code"])
	}
	d.app.PhotoQuota = app.PhotoQuota{ShopBytes: 100}
	if status, got := d.sendPicture(second, picture(t, 30, 30)); status != 507 || got["code"] != "app.photos_shop_full" {
		t.Errorf("beyond the shop's bytes: %d %v", status, got["code"])
	}
}

// TestPhotoRate sends more pictures than a person may in a minute.
func TestPhotoRate(t *testing.T) {
	t.Parallel()
	d := openPhotoDesk(t)
	id := d.record(recordTech, map[string]any{})
	for i := range 61 {
		status, _ := d.send(recordTech, id, "image/png", digestOf(nil), strings.NewReader(""))
		if want := map[bool]int{true: 422, false: 429}[i < 60]; status != want {
			t.Errorf("picture %d: %d, want %d", i+1, status, want)
		}
	}
	if status, _ := d.send(recordSecond, id, "image/png", digestOf(nil), strings.NewReader("")); status != 422 {
		t.Errorf("another person: %d", status)
	}
}

// TestPhotoMarks draws on a photo: only on the picture, only once it is there,
// and never over what another drew.
func TestPhotoMarks(t *testing.T) {
	t.Parallel()
	d := openPhotoDesk(t)
	id := d.record(recordTech, map[string]any{})
	at := func(x, y int) map[string]any { return map[string]any{"x": x, "y": y} }
	arrow := map[string]any{"kind": "arrow", "points": []any{at(1, 1), at(20, 20)}, "text": "here"}
	scale := map[string]any{"kind": "scale", "points": []any{at(0, 0), at(200, 0)}, "known": map[string]any{"entered": "10 mm"}, "known_within": map[string]any{"entered": "0.1 mm"}}
	length := map[string]any{"kind": "length", "points": []any{at(0, 10), at(30, 50)}}
	put := func(version string, marks ...any) recordReply {
		return d.ask(recordTech, "PUT", "/v1/jobs/{job_id}/photos/{id}", map[string]any{"marks": marks}, map[string]string{"If-Match": version}, recordJob, id)
	}
	if got := put(`"1"`, arrow); got.status != 422 {
		t.Errorf("before the picture: %d", got.status)
	}
	d.sendPicture(id, picture(t, 300, 200))
	for name, tt := range map[string]struct {
		mark   map[string]any
		status int
	}{
		"off the picture":       {map[string]any{"kind": "line", "points": []any{at(0, 0), at(300, 0)}}, 422},
		"one point":             {map[string]any{"kind": "line", "points": []any{at(0, 0)}}, 422},
		"twice the same point":  {map[string]any{"kind": "line", "points": []any{at(5, 5), at(5, 5)}}, 422},
		"a text without words":  {map[string]any{"kind": "text", "points": []any{at(5, 5)}}, 422},
		"a scale of no length":  {map[string]any{"kind": "scale", "points": []any{at(0, 0), at(9, 9)}}, 422},
		"a scale in kilograms":  {map[string]any{"kind": "scale", "points": []any{at(0, 0), at(9, 9)}, "known": map[string]any{"entered": "10 N.m"}}, 422},
		"a known arrow":         {map[string]any{"kind": "arrow", "points": []any{at(0, 0), at(9, 9)}, "known": map[string]any{"entered": "10 mm"}}, 422},
		"a kind that is none":   {map[string]any{"kind": "star", "points": []any{at(0, 0)}}, 400},
		"a field that is none":  {map[string]any{"kind": "text", "points": []any{at(0, 0)}, "text": "x", "colour": "red"}, 400},
		"a point below nought":  {map[string]any{"kind": "text", "points": []any{at(-1, 0)}, "text": "x"}, 400},
		"a point beyond bounds": {map[string]any{"kind": "text", "points": []any{at(5000, 0)}, "text": "x"}, 400},
	} {
		if got := put(`"2"`, tt.mark); got.status != tt.status {
			t.Errorf("%s: %d, want %d: %v", name, got.status, tt.status, got.body)
		}
	}
	many := make([]any, 101)
	for i := range many {
		many[i] = arrow
	}
	if got := put(`"2"`, many...); got.status != 400 {
		t.Errorf("101 marks: %d", got.status)
	}
	got := put(`"2"`, arrow, scale, length)
	if got.status != http.StatusOK {
		t.Fatalf("%d %v", got.status, got.body)
	}
	if late := put(`"2"`, length); late.status != http.StatusPreconditionFailed {
		t.Errorf("a change of what another changed first: %d", late.status)
	}
	lengths := got.body["lengths"].([]any)
	if len(lengths) != 1 {
		t.Fatalf("%v", lengths)
	}
	// 10 mm × 50/200 = 2.5 mm; ends 10/200 √2 (2/√3) √(1 + 1/16) = 0.084163,
	// scale 0.25 × 0.1/2 = 0.0125, so u = 0.085086 and U = 0.17017, rounded up.
	one := lengths[0].(map[string]any)
	length0, u := one["length"].(map[string]any), one["uncertainty"].(map[string]any)
	if length0["value"] != "2.50" || length0["unit"] != "mm" || u["value"] != "0.18" || one["indicative"] != true || one["mark"] != 2.0 {
		t.Errorf("the length is %v ± %v (%v)", length0, u, one)
	}
}

// TestPhotoForCustomer leaves it to the counter what a customer is shown.
func TestPhotoForCustomer(t *testing.T) {
	t.Parallel()
	d := openPhotoDesk(t)
	id := d.src.ID()
	body := map[string]any{"for_customer": true}
	create := map[string]string{"If-None-Match": "*"}
	if got := d.ask(recordTech, "PUT", "/v1/jobs/{job_id}/photos/{id}", body, create, recordJob, id); got.status != 422 {
		t.Errorf("a technician chooses: %d", got.status)
	}
	if got := d.ask(recordAdvisor, "PUT", "/v1/jobs/{job_id}/photos/{id}", body, create, recordJob, id); got.status != 201 {
		t.Errorf("an advisor chooses: %d %v", got.status, got.body)
	}
}

// TestPhotoErased erases content for good: bytes are gone, the row says so,
// and doing it twice is no error.
func TestPhotoErased(t *testing.T) {
	t.Parallel()
	d := openPhotoDesk(t)
	id := d.record(recordTech, map[string]any{})
	d.sendPicture(id, picture(t, 40, 30))
	for range 2 {
		if err := d.app.DeletePhotoContent(t.Context(), recordShopID, []shop.PhotoID{shop.PhotoID(id), shop.PhotoID(d.src.ID())}); err != nil {
			t.Fatal(err)
		}
	}
	left := 0
	if err := d.blobs.List(context.Background(), "shop/"+string(recordShopID)+"/photo/", func(app.Blob) error { left++; return nil }); err != nil || left != 0 {
		t.Errorf("%d things are left (%v)", left, err)
	}
	if res, _ := d.get(recordTech, id, "content", nil); res.StatusCode != http.StatusNotFound {
		t.Errorf("erased, it is given with %d", res.StatusCode)
	}
	if status, _ := d.sendPicture(id, picture(t, 40, 30)); status != http.StatusGone {
		t.Errorf("sent again, it is taken with %d", status)
	}
	if err := d.app.ScrubPhotos(t.Context(), recordShopID); err != nil {
		t.Errorf("the scrub: %v", err)
	}
}

// TestPhotoSlowly sends a picture over a real connection in pieces, its length
// unsaid.
func TestPhotoSlowly(t *testing.T) {
	t.Parallel()
	d := openPhotoDesk(t)
	server := d.server.HTTPServer("")
	listener, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	var done sync.WaitGroup
	done.Go(func() { _ = server.Serve(listener) })
	defer func() { _ = server.Close(); done.Wait() }()
	id, content := d.record(recordTech, map[string]any{}), picture(t, 200, 200)
	reader, writer := io.Pipe()
	done.Go(func() {
		for left := content; len(left) > 0; {
			n := min(len(left), 1000)
			_, _ = writer.Write(left[:n])
			left = left[n:]
			time.Sleep(time.Millisecond)
		}
		_ = writer.Close()
	})
	req, err := http.NewRequestWithContext(t.Context(), "PUT", "http://"+listener.Addr().String()+"/v1/jobs/"+recordJob+"/photos/"+id+"/content", reader)
	if err != nil {
		t.Fatal(err)
	}
	req.Header.Set("Authorization", "Bearer "+recordTech)
	req.Header.Set("Content-Type", "image/png")
	req.Header.Set("Content-Digest", digestOf(content))
	res, err := http.DefaultClient.Do(req)
	if err != nil {
		t.Fatal(err)
	}
	defer res.Body.Close()
	if res.StatusCode != http.StatusCreated {
		body, _ := io.ReadAll(res.Body)
		t.Errorf("in pieces: %d %s", res.StatusCode, body)
	}
}

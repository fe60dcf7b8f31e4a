package photo_test

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"net/http/httptest"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"github.com/johannesboyne/gofakes3"
	"github.com/johannesboyne/gofakes3/backend/s3mem"
	"github.com/minio/minio-go/v7"
	"github.com/minio/minio-go/v7/pkg/credentials"

	"benchtag/internal/app"
	"benchtag/internal/fault"
	"benchtag/internal/photo"
	"benchtag/internal/shop"
)

const (
	shopA  = shop.ShopID("01990000-0000-7000-8000-00000000000a")
	shopB  = shop.ShopID("01990000-0000-7000-8000-00000000000b")
	photo1 = shop.PhotoID("01990000-0000-7000-8000-000000000001")
	photo2 = shop.PhotoID("01990000-0000-7000-8000-000000000002")
)

func folder(t testing.TB) *photo.Folder {
	t.Helper()
	f, err := photo.OpenFolder(filepath.Join(t.TempDir(), "photos"))
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = f.Close() })
	return f
}

const testBucket = "photos"

// fakeS3 is a store in this process.
func fakeS3(t testing.TB) *photo.S3 {
	t.Helper()
	backend := s3mem.New()
	if err := backend.CreateBucket(testBucket); err != nil {
		t.Fatal(err)
	}
	server := httptest.NewServer(gofakes3.New(backend).Server())
	t.Cleanup(server.Close)
	return openS3(t, photo.S3Settings{Endpoint: server.URL, Bucket: testBucket, Region: "us-east-1", AccessKey: "key", SecretKey: "secret", PathStyle: true})
}

func openS3(t testing.TB, settings photo.S3Settings) *photo.S3 {
	t.Helper()
	s, err := photo.OpenS3(t.Context(), settings)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// realS3 is a real server, which the environment names: its address, with a
// key and a secret in it.
func realS3(t testing.TB) *photo.S3 {
	t.Helper()
	settings := photo.S3Settings{Endpoint: os.Getenv("BENCHTAG_TEST_S3"), Bucket: fmt.Sprint("test-", time.Now().UnixNano()), Region: "us-east-1",
		AccessKey: os.Getenv("BENCHTAG_TEST_S3_KEY"), SecretKey: os.Getenv("BENCHTAG_TEST_S3_SECRET"), PathStyle: true}
	if settings.Endpoint == "" {
		if os.Getenv("BENCHTAG_REQUIRE_S3") != "" {
			t.Fatal("BENCHTAG_TEST_S3 names no server")
		}
		t.Skip("BENCHTAG_TEST_S3, with BENCHTAG_TEST_S3_KEY and BENCHTAG_TEST_S3_SECRET, names no server")
	}
	client, err := minio.New(strings.TrimPrefix(settings.Endpoint, "http://"), &minio.Options{Creds: credentials.NewStaticV4(settings.AccessKey, settings.SecretKey, ""), Region: settings.Region})
	if err != nil {
		t.Fatal(err)
	}
	if err := client.MakeBucket(t.Context(), settings.Bucket, minio.MakeBucketOptions{Region: settings.Region}); err != nil {
		t.Fatal(err)
	}
	return openS3(t, settings)
}

// TestBlobs runs one suite over every store there is.
func TestBlobs(t *testing.T) {
	t.Parallel()
	t.Run("folder", func(t *testing.T) { t.Parallel(); blobs(t, func(t testing.TB) app.Blobs { return folder(t) }) })
	t.Run("S3 in this process", func(t *testing.T) { t.Parallel(); blobs(t, func(t testing.TB) app.Blobs { return fakeS3(t) }) })
	t.Run("S3 server", func(t *testing.T) { t.Parallel(); blobs(t, func(t testing.TB) app.Blobs { return realS3(t) }) })
}

func blobs(t *testing.T, open func(testing.TB) app.Blobs) {
	for name, test := range map[string]func(*testing.T, app.Blobs){
		"what is put can be read": putAndRead, "nothing is there": nothingThere, "deleted": deleted, "listed": listed,
		"put again": putAgain, "shops apart": shopsApart, "bad keys": badKeys, "many at once": manyAtOnce,
	} {
		t.Run(name, func(t *testing.T) { t.Parallel(); test(t, open(t)) })
	}
}

func put(t testing.TB, b app.Blobs, scope shop.ShopID, id shop.PhotoID, content []byte) string {
	t.Helper()
	key := app.PhotoKey(scope, id, app.SumOf(content))
	if err := b.Put(t.Context(), key, content); err != nil {
		t.Fatal(err)
	}
	return key
}

func putAndRead(t *testing.T, b app.Blobs) {
	for _, size := range []int{1, 1000, 3 << 20} {
		content := bytes.Repeat([]byte{byte(size), 0xff, 0}, size/3+1)[:size]
		key := put(t, b, shopA, photo1, content)
		from, err := b.Open(t.Context(), key)
		if err != nil {
			t.Fatal(err)
		}
		got, err := io.ReadAll(from)
		if err != nil || !bytes.Equal(got, content) {
			t.Errorf("%d bytes came back as %d: %v", size, len(got), err)
		}
		if err := from.Close(); err != nil {
			t.Error(err)
		}
		sum, n, err := app.HashBlob(t.Context(), b, key)
		if err != nil || n != int64(size) || sum != app.SumOf(content) {
			t.Errorf("the hash of %d bytes: %s, %d, %v", size, sum, n, err)
		}
	}
	if room, err := b.Room(t.Context()); err != nil || room.Free > room.Total {
		t.Errorf("room: %+v, %v", room, err)
	}
}

func nothingThere(t *testing.T, b app.Blobs) {
	key := app.PhotoKey(shopA, photo1, app.SumOf(nil))
	if _, err := b.Open(t.Context(), key); !fault.Is(err, fault.NotFound) {
		t.Errorf("open: %v", err)
	}
	if err := b.Delete(t.Context(), key); err != nil {
		t.Errorf("delete: %v", err)
	}
	if got := keys(t, b, "shop/"+string(shopA)+"/photo/"); len(got) != 0 {
		t.Errorf("list: %v", got)
	}
}

func deleted(t *testing.T, b app.Blobs) {
	one, two := put(t, b, shopA, photo1, []byte("one")), put(t, b, shopA, photo1, []byte("two"))
	for range 2 {
		if err := b.Delete(t.Context(), one); err != nil {
			t.Fatal(err)
		}
	}
	if _, err := b.Open(t.Context(), one); !fault.Is(err, fault.NotFound) {
		t.Errorf("deleted, it opens with %v", err)
	}
	if _, _, err := app.HashBlob(t.Context(), b, two); err != nil {
		t.Errorf("its neighbour: %v", err)
	}
}

func keys(t testing.TB, b app.Blobs, prefix string) (all []string) {
	t.Helper()
	err := b.List(t.Context(), prefix, func(one app.Blob) error {
		all = append(all, one.Key)
		if age := time.Since(one.Modified); age < -time.Minute || age > time.Hour {
			t.Errorf("%s was put %s ago", one.Key, age)
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	slices.Sort(all)
	return all
}

func listed(t *testing.T, b app.Blobs) {
	want := []string{put(t, b, shopA, photo1, []byte("one")), put(t, b, shopA, photo1, []byte("two")), put(t, b, shopA, photo2, []byte("one"))}
	put(t, b, shopB, photo1, []byte("one"))
	slices.Sort(want)
	if diff := cmp.Diff(want, keys(t, b, "shop/"+string(shopA)+"/photo/")); diff != "" {
		t.Errorf("of the shop (-want +got):\n%s", diff)
	}
	if diff := cmp.Diff(want[2:], keys(t, b, "shop/"+string(shopA)+"/photo/"+string(photo2)+"/")); diff != "" {
		t.Errorf("of one photo (-want +got):\n%s", diff)
	}
	enough := errors.New("enough")
	if err := b.List(t.Context(), "shop/"+string(shopA)+"/photo/", func(app.Blob) error { return enough }); !errors.Is(err, enough) {
		t.Errorf("a listing that is ended gives %v", err)
	}
}

func putAgain(t *testing.T, b app.Blobs) {
	key := put(t, b, shopA, photo1, []byte("one"))
	if again := put(t, b, shopA, photo1, []byte("one")); again != key {
		t.Errorf("%s, then %s", key, again)
	}
	if got := keys(t, b, "shop/"+string(shopA)+"/photo/"); len(got) != 1 {
		t.Errorf("put twice, there are %v", got)
	}
}

func shopsApart(t *testing.T, b app.Blobs) {
	put(t, b, shopA, photo1, []byte("one"))
	theirs := app.PhotoKey(shopB, photo1, app.SumOf([]byte("one")))
	if _, err := b.Open(t.Context(), theirs); !fault.Is(err, fault.NotFound) {
		t.Errorf("another shop opens it: %v", err)
	}
	if err := b.Delete(t.Context(), theirs); err != nil {
		t.Error(err)
	}
	if got := keys(t, b, "shop/"+string(shopA)+"/photo/"); len(got) != 1 {
		t.Errorf("another shop deleted it: %v", got)
	}
}

// traversals are names that lead somewhere else, or try to.
func traversals() []string {
	ups := []string{"../", "..\\", "....//", "..././", "%2e%2e/", "%2e%2e%2f", "..%2f", "..%5c", "%252e%252e%252f", "..%c0%af", "..%ef%bc%8f", ".%00./", "..;/", "／．．／", "..\u2215"}
	ends := []string{"etc/passwd", "windows/win.ini", "benchtag.db", ".ssh/authorized_keys"}
	var all []string
	for _, up := range ups {
		for _, end := range ends {
			all = append(all, strings.Repeat(up, 8)+end)
		}
	}
	return append(all, "/etc/passwd", "C:\\Windows\\win.ini", "\\\\host\\share\\x", "file:///etc/passwd", "~/.bashrc", "CON", "NUL.jpg", "a\x00.jpg", "a\r\nSet-Cookie: x=1", "\u202egnp.exe", ".", "..", "", " ", "-rf", strings.Repeat("a", 5000), "$(id).jpg", "`id`.jpg", "a;b|c&d.jpg", `"><script>`)
}

func badKeys(t *testing.T, b app.Blobs) {
	good := app.PhotoKey(shopA, photo1, app.SumOf(nil))
	for _, name := range append(traversals(), strings.ToUpper(good), good+"/x", good[1:], "/"+good, strings.Replace(good, "/photo/", "/other/", 1)) {
		for _, key := range []string{name, strings.TrimSuffix(good, app.SumOf(nil)) + name, "shop/" + name + "/photo/" + string(photo1) + "/" + app.SumOf(nil)} {
			if err := b.Put(t.Context(), key, []byte("x")); err == nil {
				t.Errorf("put takes %q", key)
			}
			if _, err := b.Open(t.Context(), key); err == nil {
				t.Errorf("open takes %q", key)
			}
			if err := b.Delete(t.Context(), key); err == nil {
				t.Errorf("delete takes %q", key)
			}
		}
	}
}

func manyAtOnce(t *testing.T, b app.Blobs) {
	done := make(chan error)
	content := bytes.Repeat([]byte("many"), 10_000)
	key := app.PhotoKey(shopA, photo1, app.SumOf(content))
	for range 8 {
		go func() { done <- b.Put(context.WithoutCancel(t.Context()), key, content) }()
	}
	for range 8 {
		if err := <-done; err != nil {
			t.Error(err)
		}
	}
	if sum, _, err := app.HashBlob(t.Context(), b, key); err != nil || sum != app.SumOf(content) {
		t.Errorf("after eight writes at once: %s, %v", sum, err)
	}
	if got := keys(t, b, "shop/"+string(shopA)+"/photo/"); len(got) != 1 {
		t.Errorf("%d things are left", len(got))
	}
}

// TestFolderStaysInside looks at the folder around after every bad key was
// tried, and with a link that leads out.
func TestFolderStaysInside(t *testing.T) {
	t.Parallel()
	outer := t.TempDir()
	f, err := photo.OpenFolder(filepath.Join(outer, "photos"))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	badKeys(t, f)
	key := put(t, f, shopA, photo1, []byte("one"))
	if err := os.Symlink(outer, filepath.Join(outer, "photos", "shop", string(shopB))); err != nil {
		t.Fatal(err)
	}
	if err := f.Put(t.Context(), app.PhotoKey(shopB, photo1, app.SumOf(nil)), nil); err == nil {
		t.Error("a link leads out of the folder")
	}
	entries, err := os.ReadDir(outer)
	if err != nil || len(entries) != 1 {
		t.Errorf("beside the folder stand %v (%v)", entries, err)
	}
	info, err := os.Stat(filepath.Join(outer, "photos", filepath.FromSlash(key)))
	if err != nil || info.Mode().Perm() != 0o600 {
		t.Errorf("the file is open to others: %v, %v", info.Mode(), err)
	}
}

// TestFolderFailsWhole lets a write fail at each step: an error is given, and
// under the key stands the whole or nothing.
func TestFolderFailsWhole(t *testing.T) {
	t.Parallel()
	content := bytes.Repeat([]byte("whole"), 1000)
	key := app.PhotoKey(shopA, photo1, app.SumOf(content))
	for _, step := range photo.Steps() {
		f := folder(t)
		broke := false
		f.Break(func(at string) error {
			if at != step {
				return nil
			}
			broke = true
			return errors.New("no more")
		})
		if err := f.Put(t.Context(), key, content); err == nil || !broke {
			t.Errorf("broken at %q: %v", step, err)
		}
		sum, _, err := app.HashBlob(t.Context(), f, key)
		if !fault.Is(err, fault.NotFound) && sum != app.SumOf(content) {
			t.Errorf("broken at %q, there stands something else: %v", step, err)
		}
		f.Break(func(string) error { return nil })
		if err := f.Put(t.Context(), key, content); err != nil {
			t.Errorf("broken at %q, a second try: %v", step, err)
		}
	}
}

// TestS3Settings refuses what cannot work at the start.
func TestS3Settings(t *testing.T) {
	t.Parallel()
	server := httptest.NewServer(gofakes3.New(s3mem.New()).Server())
	defer server.Close()
	good := photo.S3Settings{Endpoint: server.URL, Bucket: "missing", Region: "us-east-1", AccessKey: "k", SecretKey: "s", PathStyle: true}
	for name, change := range map[string]func(*photo.S3Settings){
		"no such bucket": func(*photo.S3Settings) {}, "no scheme": func(s *photo.S3Settings) { s.Endpoint = "s3.example" },
		"a path": func(s *photo.S3Settings) { s.Endpoint += "/photos" }, "no key": func(s *photo.S3Settings) { s.AccessKey = "" },
		"a password in the address": func(s *photo.S3Settings) { s.Endpoint = "https://a:b@s3.example" },
	} {
		s := good
		change(&s)
		if _, err := photo.OpenS3(t.Context(), s); err == nil {
			t.Errorf("%s is taken", name)
		}
	}
}

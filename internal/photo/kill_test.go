package photo_test

import (
	"bytes"
	"context"
	"crypto/rand"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"

	"benchtag/internal/app"
	"benchtag/internal/auth"
	"benchtag/internal/photo"
	"benchtag/internal/shop"
	"benchtag/internal/store"
)

// What a child process that kills itself reads from its environment.
const (
	killFolder = "BENCHTAG_PHOTO_KILL_FOLDER"
	killAt     = "BENCHTAG_PHOTO_KILL_AT"
	killPhoto  = "BENCHTAG_PHOTO_KILL_PHOTO"
)

// killRounds is how often a process is killed while it stores a photo.
const killRounds = 50

// bench is a shop with a job and a technician.
type bench struct {
	*app.App
	store *store.Store
	blobs *photo.Folder
	tech  auth.Principal
	job   shop.JobID
}

// count makes ids in the form of UUIDv7, and bytes of the system.
type count struct{}

func (count) ID() string     { return "" }
func (count) Bytes(b []byte) { _, _ = rand.Read(b) }

const (
	killTech  = "01990000-0000-7000-8000-0000000000f1"
	killJob   = "01990000-0000-7000-8000-0000000000f2"
	killOrder = "01990000-0000-7000-8000-0000000000f3"
)

func openBench(t *testing.T, folder string, now func() time.Time) *bench {
	t.Helper()
	s, err := store.Open(store.Options{Folder: folder, Now: now})
	if err != nil {
		t.Fatal(err)
	}
	blobs, err := photo.OpenFolder(filepath.Join(folder, "photos"))
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = s.Close(); _ = blobs.Close() })
	return &bench{App: app.New(app.Options{Store: s, Source: count{}, Blobs: blobs, Pictures: photo.NewBaker()}), store: s, blobs: blobs, job: killJob,
		tech: auth.Principal{Kind: auth.KindStaff, ShopID: shopA, StaffID: killTech, Roles: []auth.Role{auth.RoleTechnician}, SessionID: "s"}}
}

// fill makes the shop.
func (b *bench) fill(t *testing.T) {
	t.Helper()
	if err := b.store.Migrate(t.Context()); err != nil {
		t.Fatal(err)
	}
	const person, machine = "01990000-0000-7000-8000-0000000000f4", "01990000-0000-7000-8000-0000000000f5"
	err := b.store.Write(t.Context(), shopA, func(_ context.Context, tx app.Tx) error {
		now := tx.Now()
		if err := tx.ClaimSlug("oak-yard"); err != nil {
			return err
		}
		for _, row := range []app.Noun{
			&shop.Shop{ID: shopA, Name: "Oak Yard", Slug: "oak-yard", Currency: "EUR", TaxMode: shop.TaxModeInclusive, Rounding: "half_up", TimeZone: "UTC"},
			&shop.Staff{ID: killTech, Login: "t", Name: "T", Roles: []shop.Role{shop.RoleTechnician}},
			&shop.Customer{ID: person, Name: "Invented Person", Kind: shop.CustomerKindPerson, ContactBy: shop.ContactByPhone},
			&shop.Machine{ID: machine, CustomerID: person, VINVerdict: shop.VINVerdictUnknown, Make: "Example", Model: "One"},
			&shop.WorkOrder{ID: killOrder, Number: 1, MachineID: machine, CustomerID: person, Channel: shop.ChannelWalkIn, OpenedBy: killTech, OpenedAt: now},
			&shop.Job{ID: killJob, WorkOrderID: killOrder, Title: "Knock", Kind: shop.JobKindComplaint, Stage: shop.StageTeardown, StageSince: now},
		} {
			if err := tx.Insert(row); err != nil {
				return err
			}
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
}

// TestKillChild stores a photo and kills itself at one step of it.
func TestKillChild(t *testing.T) {
	if os.Getenv(killFolder) == "" {
		return
	}
	left, err := strconv.Atoi(os.Getenv(killAt))
	if err != nil {
		t.Fatal(err)
	}
	b := openBench(t, os.Getenv(killFolder), time.Now)
	step := func(string) error {
		if left--; left < 0 {
			if self, err := os.FindProcess(os.Getpid()); err == nil {
				_ = self.Kill()
			}
			select {} // until it takes effect
		}
		return nil
	}
	b.blobs.Break(step)
	at := app.Place{JobID: b.job, ID: os.Getenv(killPhoto)}
	content := asPNG(t, corner(40, 30))
	_, _, err = b.StorePhoto(t.Context(), b.tech, at, app.PhotoContent{MediaType: "image/png", Size: int64(len(content)), Read: func() ([]byte, error) { return content, nil }})
	if err != nil {
		t.Fatal(err)
	}
	fmt.Fprintln(os.NewFile(1, "stdout"), "acknowledged")
	for range 100 {
		_ = step("after")
	}
}

// TestKilledAtEachStep kills a process at each step of storing a photo, over
// and over. No row ever speaks of a file that is not there whole; what was
// acknowledged is there; what was not can be sent again; what was left behind
// is swept up within a day, and nothing else is. A power cut that takes the
// page cache too is beyond a test like this: for that each step waits for the
// disk.
func TestKilledAtEachStep(t *testing.T) {
	t.Parallel()
	if testing.Short() {
		t.Skip("kills a process over and over")
	}
	folder := t.TempDir()
	b := openBench(t, folder, time.Now)
	b.fill(t)
	stored, unstored := 0, 0
	for round := range killRounds {
		id := fmt.Sprintf("01990000-0000-7000-8000-%012x", 0x1000+round)
		_, _, err := b.PutPhoto(t.Context(), b.tech, app.Put{JobID: b.job, ID: id, Create: true, Digest: id}, func(p *shop.Photo) { p.Marks = []shop.Mark{} })
		if err != nil {
			t.Fatal(err)
		}
		acknowledged := b.killed(t, folder, id, round%25)
		row := b.row(t, id)
		if acknowledged && row.StoredAt == nil {
			t.Errorf("round %d: acknowledged, and not stored", round)
		}
		if row.StoredAt == nil {
			unstored++
			continue
		}
		stored++
		b.whole(t, row)
	}
	if stored < 2 || unstored < 30 {
		t.Errorf("%d stored, %d not: the kills do not fall at each step", stored, unstored)
	}
	b.sweptClean(t, folder)
	// What was not acknowledged is sent again.
	for round := range killRounds {
		id := fmt.Sprintf("01990000-0000-7000-8000-%012x", 0x1000+round)
		content := asPNG(t, corner(40, 30))
		row, _, err := b.StorePhoto(t.Context(), b.tech, app.Place{JobID: b.job, ID: id}, app.PhotoContent{MediaType: "image/png", Read: func() ([]byte, error) { return content, nil }})
		if err != nil {
			t.Fatal(err)
		}
		b.whole(t, row)
	}
	if err := b.ScrubPhotos(t.Context(), shopA); err != nil {
		t.Error(err)
	}
}

// killed runs a child that kills itself at a step, and reports whether it
// acknowledged the photo before.
func (b *bench) killed(t *testing.T, folder, id string, at int) bool {
	t.Helper()
	cmd := exec.CommandContext(t.Context(), os.Args[0], "-test.run=^TestKillChild$")
	cmd.Env = append(os.Environ(), killFolder+"="+folder, killAt+"="+strconv.Itoa(at), killPhoto+"="+id)
	out, err := cmd.Output()
	if err == nil || !strings.Contains(err.Error(), "killed") {
		t.Fatalf("the child was not killed: %v\n%s", err, out)
	}
	return bytes.Contains(out, []byte("acknowledged"))
}

func (b *bench) row(t *testing.T, id string) (row shop.Photo) {
	t.Helper()
	if err := b.store.Read(t.Context(), shopA, func(tx app.Tx) error { return tx.Load(&row, id) }); err != nil {
		t.Fatal(err)
	}
	return row
}

// whole makes sure that every copy that a row speaks of is there and is what
// the row says.
func (b *bench) whole(t *testing.T, row shop.Photo) {
	t.Helper()
	hashes := app.PhotoHashes(row)
	if len(hashes) != len(app.PhotoSizes()) {
		t.Errorf("the row of %s speaks of %d copies", row.ID, len(hashes))
	}
	for size, sum := range hashes {
		got, _, err := app.HashBlob(t.Context(), b.blobs, app.PhotoKey(shopA, row.ID, sum))
		if err != nil || got != sum {
			t.Errorf("the %s copy of %s: %v", size, row.ID, err)
		}
	}
}

// sweptClean sweeps at once, which takes nothing, and half a day later, which
// takes all that no row speaks of.
func (b *bench) sweptClean(t *testing.T, folder string) {
	t.Helper()
	before := keys(t, b.blobs, "shop/"+string(shopA)+"/photo/")
	if n, err := b.SweepPhotos(t.Context(), shopA); n != 0 || err != nil {
		t.Errorf("swept at once: %d, %v", n, err)
	}
	later := openBench(t, folder, func() time.Time { return time.Now().Add(12 * time.Hour) })
	n, err := later.SweepPhotos(t.Context(), shopA)
	if err != nil || n == 0 {
		t.Errorf("swept half a day later: %d, %v", n, err)
	}
	after := keys(t, b.blobs, "shop/"+string(shopA)+"/photo/")
	if len(after) != len(before)-n {
		t.Errorf("%d things were there, %d were swept, %d are left", len(before), n, len(after))
	}
	for _, key := range after {
		parts := strings.Split(key, "/")
		owned := false
		for _, sum := range app.PhotoHashes(b.row(t, parts[3])) {
			owned = owned || sum == parts[4]
		}
		if !owned {
			t.Errorf("%s is left, and no row speaks of it", key)
		}
	}
}

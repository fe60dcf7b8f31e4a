package app_test

import (
	"bytes"
	"context"
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"testing"
	"time"

	"benchtag/internal/app"
	"benchtag/internal/fault"
	"benchtag/internal/journal"
	"benchtag/internal/photo"
	"benchtag/internal/shop"
	"benchtag/internal/store/storetest"
)

// personMark stands in everything that the erased customer said or is.
const personMark = "Canarybird"

// stubborn is a place of photos where the second thing deleted fails, until
// it is well again.
type stubborn struct {
	app.Blobs
	deleted int
	well    bool
}

func (s *stubborn) Delete(ctx context.Context, key string) error {
	s.deleted++
	if s.deleted == 2 && !s.well {
		return errors.New("the power is out")
	}
	return s.Blobs.Delete(ctx, key)
}

// erasing is a shop of two customers who both answered, one of whom goes.
type erasing struct {
	*treeHouse
	photos   string
	blobs    *stubborn
	customer shop.CustomerID
	receipts map[string][]byte // as handed out: that of who goes, and of who stays
	answers  map[string]shop.ConsentID
	signed   int64
}

// newErasing lets both customers answer by link; the one has a photo, asks
// something, and is named by the mark wherever a person can be.
func newErasing(h *treeHouse) *erasing {
	h.t.Helper()
	e := &erasing{treeHouse: h, photos: filepath.Join(h.t.TempDir(), "photos"), receipts: map[string][]byte{}, answers: map[string]shop.ConsentID{}}
	folder, err := photo.OpenFolder(e.photos)
	if err != nil {
		h.t.Fatal(err)
	}
	h.t.Cleanup(func() { _ = folder.Close() })
	e.blobs = &stubborn{Blobs: folder}
	h.app.Blobs, h.app.Pictures = e.blobs, photo.NewBaker()
	e.customer = h.order.CustomerID
	e.answer("stays")
	e.another()
	e.answer("goes")
	h.tend()
	for who, id := range e.answers {
		r, _ := h.receiptOf(id)
		if e.receipts[who], err = r.Encode(); err != nil {
			h.t.Fatal(err)
		}
	}
	points := h.checkpoints()
	e.signed = points[len(points)-1].Size
	return e
}

// another puts a second customer's visit on the bench, marked all over.
func (e *erasing) another() {
	e.t.Helper()
	id := moneySource{}.ID
	customer, err := e.app.AddCustomer(e.ctx, e.who, func(c *shop.Customer) {
		c.Name, c.Kind, c.ContactBy, c.Note, c.Address = personMark+" Ashdown", shop.CustomerKindPerson, shop.ContactByPhone, personMark, personMark+" Road 1"
		c.Email = personMark + "@example.test"
	})
	if err != nil {
		e.t.Fatal(err)
	}
	machine, err := e.app.AddMachine(e.ctx, e.who, func(m *shop.Machine) {
		m.CustomerID, m.Make, m.Model, m.FrameNumber, m.Plate, m.Note = customer.ID, "Tarn", "Heron 400", personMark+"1", personMark, personMark
	})
	if err != nil {
		e.t.Fatal(err)
	}
	e.customer = customer.ID
	e.order = shop.WorkOrder{ID: shop.WorkOrderID(id()), Number: 8, MachineID: machine.ID, CustomerID: customer.ID, Channel: shop.ChannelWalkIn,
		OpenedBy: e.who.StaffID, OpenedAt: e.clock.Now(), Note: personMark}
	e.insert(&e.order)
	e.job = e.newJob("Oil at the gear case")
	e.insert(&shop.Complaint{ID: shop.ComplaintID(id()), OfJob: e.of(e.job), Kind: shop.JobKindComplaint, Words: personMark + " says it drips.",
		Symptom: shop.SymptomNoise, Origin: e.origin()})
	e.photograph("", true, 61)
}

// answer offers one part and has the customer say yes.
func (e *erasing) answer(who string) {
	e.t.Helper()
	sc := e.scope(shop.ScopeKindRepair, e.part(e.job, 10_000))
	o := e.offer(sc)
	in := yes(e.token(o), o, sc)
	if who == "goes" {
		in.TypedName, in.UserAgent, in.Note = personMark+" Ashdown", personMark, personMark
		if err := e.app.LinkAsk(e.ctx, app.LinkQuestion{Token: in.Token, Kind: shop.QuestionKindValues()[0], Words: personMark + "?", CallWhen: personMark, IP: "192.0.2.7"}); err != nil {
			e.t.Fatal(err)
		}
	}
	view, err := e.app.LinkDecide(e.ctx, in)
	if err != nil {
		e.t.Fatal(err)
	}
	e.answers[who] = view.Receipt.ConsentID
}

// close ends the visit that is on the bench.
func (e *erasing) close() {
	e.t.Helper()
	e.write(func(tx app.Tx) error {
		now := tx.Now()
		return errors.Join(
			reload(tx, &shop.WorkOrder{}, string(e.order.ID), func(w *shop.WorkOrder) { w.ClosedAt = &now }),
			reload(tx, &shop.Job{}, string(e.job.ID), func(j *shop.Job) { j.Stage = shop.StageClosed }))
	})
}

func reload[P app.Noun](tx app.Tx, row P, id string, change func(P)) error {
	if err := tx.Load(row, id); err != nil {
		return err
	}
	change(row)
	return tx.Advance(row)
}

// left looks for the mark in everything that is kept: each row, and each byte
// of the database's files and of the photos' folder.
func (e *erasing) left() (places []string) {
	e.t.Helper()
	b := &storetest.Backend{Raw: e.raw, Postgres: e.opt.PostgresURL != ""}
	h := &house{backend: b, world: &storetest.World{Catalog: storetest.ReadCatalog(e.t, b)}}
	if bytes.Contains(h.rows(e.t), []byte(personMark)) {
		places = append(places, "rows")
	}
	for _, folder := range []string{e.opt.Folder, e.photos} {
		if folder == "" {
			continue
		}
		err := filepath.WalkDir(folder, func(path string, d fs.DirEntry, err error) error {
			if err != nil || d.IsDir() {
				return err
			}
			text, err := os.ReadFile(path)
			if bytes.Contains(text, []byte(personMark)) {
				places = append(places, filepath.Base(path))
			}
			return err
		})
		if err != nil {
			e.t.Fatal(err)
		}
	}
	return places
}

// files counts the stored pictures.
func (e *erasing) files() (n int) {
	e.t.Helper()
	err := e.blobs.List(e.ctx, "shop/"+string(e.who.ShopID)+"/photo/", func(app.Blob) error { n++; return nil })
	if err != nil {
		e.t.Fatal(err)
	}
	return n
}

// holds verifies a receipt as its customer has it, with the shop's public key
// and nothing else of the shop.
func (e *erasing) holds(who string) {
	e.t.Helper()
	r, err := journal.ParseReceipt(e.receipts[who])
	if err != nil {
		e.t.Fatal(err)
	}
	keys, err := e.app.JournalKeys(e.ctx, e.who.ShopID)
	if err != nil || len(keys) == 0 {
		e.t.Fatalf("%d keys, %v", len(keys), err)
	}
	if v := journal.VerifyReceipt(r, keys[0].Key); !v.OK() {
		e.t.Errorf("the receipt of who %s does not hold any more: %s", who, v.Reason)
	}
}

// TestErasureLeavesEveryProof takes one customer from the wish, over the years
// in which papers are kept, to the end, with a breakdown in the middle of
// deleting photos: nothing of the person is left anywhere, and every proof
// holds as before, the receipt in the erased customer's own hands among them.
func TestErasureLeavesEveryProof(t *testing.T) {
	onBothTrees(t, func(t *testing.T, h *treeHouse) {
		e := newErasing(h)
		e.close()
		if len(e.left()) == 0 || e.files() < 2 {
			t.Fatalf("before, the mark is found in %v, and there are %d files", e.left(), e.files())
		}
		h.who.AuthTime = h.clock.Now()
		got, err := h.app.EraseCustomer(h.ctx, h.who, e.customer, shop.EraseReasonAsked)
		if err != nil || got.State != app.Restricted {
			t.Fatalf("%+v, %v", got, err)
		}
		e.untilDue(got.Customer.EraseOn)
		e.photosGoAfterABreakdown()
		if err := h.app.ScrubErased(h.ctx); err != nil {
			t.Fatal(err)
		}
		if places := e.left(); len(places) > 0 || e.files() != 0 {
			t.Errorf("left behind in %v, and %d files", places, e.files())
		}
		e.noFreshKey()
		h.tend()
		e.holds("goes")
		e.holds("stays")
		e.proofsHold()
	})
}

// untilDue lets the years pass: nothing goes a day too early.
func (e *erasing) untilDue(on shop.Date) {
	e.t.Helper()
	due, err := time.Parse(time.DateOnly, string(on))
	if err != nil {
		e.t.Fatal(err)
	}
	for _, step := range []struct {
		at   time.Time
		gone bool
	}{{due.Add(-25 * time.Hour), false}, {due.Add(49 * time.Hour), true}} {
		e.clock.Set(step.at)
		if err := e.app.EraseDue(e.ctx, e.who.ShopID); err != nil {
			e.t.Fatal(err)
		}
		if c := moneyLoad[shop.Customer](e.moneyBench, string(e.customer)); (c.ErasedAt != nil) != step.gone {
			e.t.Fatalf("at %v the customer is %+v", step.at, c)
		}
	}
}

// photosGoAfterABreakdown finishes the erasure in two goes.
func (e *erasing) photosGoAfterABreakdown() {
	e.t.Helper()
	var shown int
	if err := e.raw.QueryRow("SELECT count(*) FROM photos WHERE erased_at IS NULL").Scan(&shown); err != nil || shown != 0 {
		e.t.Errorf("%d photos are still to be had while their files wait to go, %v", shown, err)
	}
	open := func() (n int) {
		if err := e.raw.QueryRow("SELECT count(*) FROM erasures WHERE photos_gone_at IS NULL").Scan(&n); err != nil {
			e.t.Fatal(err)
		}
		return n
	}
	if err := e.app.FinishErasures(e.ctx, e.who.ShopID); err == nil || open() != 1 || e.files() == 0 {
		e.t.Errorf("the breakdown was not noticed: %v, %d erasures open, %d files", err, open(), e.files())
	}
	e.blobs.well = true
	if err := e.app.FinishErasures(e.ctx, e.who.ShopID); err != nil || open() != 0 {
		e.t.Errorf("it was not taken up again: %v, %d erasures open", err, open())
	}
}

// noFreshKey holds that nothing was written under a key of who was erased, and
// that a late change to their visit is refused rather than kept for ever.
func (e *erasing) noFreshKey() {
	e.t.Helper()
	for _, table := range []string{"customer_keys WHERE customer_id", "journal_bodies WHERE key_customer_id"} {
		var n int
		if err := e.raw.QueryRow("SELECT count(*) FROM " + table + " = '" + string(e.customer) + "'").Scan(&n); err != nil || n != 0 {
			e.t.Errorf("%d rows of %s, %v", n, table, err)
		}
	}
	_, err := e.app.HoldPapers(e.ctx, e.who, e.order.ID, personMark+" wants it")
	wantMoneyFault(e.t, err, fault.Conflict, "app.customer_erased")
}

// proofsHold checks the tree, the signed checkpoints, and the whole shop
// against both receipts, as verify does.
func (e *erasing) proofsHold() {
	e.t.Helper()
	var entries int
	if err := e.raw.QueryRow("SELECT count(*) FROM journal_entries").Scan(&entries); err != nil {
		e.t.Fatal(err)
	}
	e.sound(entries)
	if _, err := e.app.ProveGrowth(e.ctx, e.who, e.signed, 0); err != nil {
		e.t.Errorf("the tree of before is no beginning of that of now: %v", err)
	}
	var anchors []app.OutsideAnchor
	for who, text := range e.receipts {
		r, err := journal.ParseReceipt(text)
		if err != nil {
			e.t.Fatal(err)
		}
		anchors = append(anchors, app.OutsideAnchor{Name: who, Note: string(r.Proof.Checkpoint), Receipt: &r})
	}
	report, err := e.app.Audit(e.ctx, e.who.ShopID, app.AuditWanted{Anchors: anchors})
	if err != nil || !report.OK || report.Anchors != 3 || report.Erased == 0 || report.Answers != 1 || report.Signed == 0 {
		e.t.Errorf("%+v, %v", report, err)
	}
	e.receiptOf(e.answers["stays"]) // a new one can still be had
	if _, err := e.app.Receipt(e.ctx, e.who, e.answers["goes"]); err == nil {
		e.t.Error("a receipt of an erased record is given")
	}
}

package app

import (
	"crypto/sha256"
	"encoding/json"
	"fmt"
	"reflect"

	"benchtag/internal/fault"
	"benchtag/internal/journal"
	"benchtag/internal/shop"
)

// Kinds of trouble an audit finds, besides those of journal.Problems.
const (
	KindUnreadable = "unreadable"       // the database gives an entry or a row back broken
	KindCount      = "entries_astray"   // entries, bodies or leaves that belong to nothing
	KindHead       = "head_mismatch"    // a stream ends elsewhere than its head says
	KindColumns    = "columns_mismatch" // a column beside an entry differs from it
	KindUnplaced   = "leaf_missing"     // an entry has no place in the tree
	KindSeal       = "seal_broken"      // a body cannot be opened with the customer's key
	KindRecord     = "record_mismatch"  // the record of an answer is not the one committed to
	KindRecordGone = "record_missing"   // it is gone although its customer was not erased
	KindTree       = "tree_mismatch"    // a leaf or node of the tree is not that of the entries
	KindCheckpoint = "checkpoint_false" // a stored checkpoint's signature, size or root does not hold
	KindAnchor     = "anchor_mismatch"  // what was kept outside names another history
	KindTruncated  = "truncated"        // it names a longer one
	KindForeign    = "anchor_foreign"   // it is not signed by this shop's keys
	KindRow        = "row_changed"      // a row is not as it was last journaled
	KindRowGone    = "row_missing"      // a journaled row is not there
	KindRowNew     = "row_unjournaled"  // a row is there that no entry tells of
	KindPhoto      = "photo_mismatch"   // a photo's file is missing or another
)

// AuditKinds lists them.
func AuditKinds() []string {
	return []string{KindUnreadable, KindCount, KindHead, KindColumns, KindUnplaced, KindSeal, KindRecord, KindRecordGone, KindTree,
		KindCheckpoint, KindAnchor, KindTruncated, KindForeign, KindRow, KindRowGone, KindRowNew, KindPhoto}
}

// JournaledNouns gives an empty row of every table whose every change is
// journaled. The others are sign-ins, devices, counters and messages on their
// way, which change without one.
func JournaledNouns() []Noun {
	return []Noun{
		&shop.Job{}, &shop.Complaint{}, &shop.Check{}, &shop.AsFound{}, &shop.Finding{}, &shop.Measurement{}, &shop.Photo{}, &shop.Tag{}, &shop.Line{},
		&shop.PartOrder{}, &shop.BenchTime{}, &shop.Promise{}, &shop.Scope{}, &shop.Offer{}, &shop.OfferLink{}, &shop.Consent{}, &shop.Customer{},
		&shop.Machine{}, &shop.OdometerReading{}, &shop.HandOver{}, &shop.Advice{}, &shop.Hold{}, &shop.HandOverNote{}, &shop.Withdrawal{},
		&shop.Fastening{}, &shop.HoldPoint{}, &shop.FirstStart{}, &shop.RoadTest{}, &shop.DebrisCheck{}, &shop.Shop{}, &shop.Bay{},
		&shop.TaxCategory{}, &shop.LabourRate{}, &shop.Gauge{}, &shop.Layout{}, &shop.LimitSheet{}, &shop.WorkOrder{}, &shop.IntakeFacts{},
		&shop.Bill{}, &shop.Payment{}, &shop.ConsentEnding{}, &shop.CustomerQuestion{}, &shop.LegalHold{}, &shop.Staff{}, &shop.TagBlock{}, &shop.Webhook{},
	}
}

// rowName names a row: its table's place in JournaledNouns, and its id.
type rowName struct {
	noun int
	id   string
}

// journaled is a row as it was last journaled.
type journaled struct {
	version int64
	digest  [sha256.Size]byte
	leaf    int64
	stream  string
	seq     int64
	seen    bool // found in its table
}

// nounIndex gives the place of each table in JournaledNouns.
func nounIndex() map[string]int {
	out := map[string]int{}
	for i, n := range JournaledNouns() {
		out[n.TableName()] = i
	}
	return out
}

// digestOf is the SHA-256 of a row as its struct writes it now, so that a
// column added since does not count as a change.
func digestOf(row Noun) ([sha256.Size]byte, error) {
	text, err := json.Marshal(row)
	return sha256.Sum256(text), err
}

// body remembers what an entry says of rows and checks what it commits to.
func (u *audit) body(stream string, e AuditEntry) {
	if !e.HasBody {
		return
	}
	at := AuditFault{StreamID: stream, Sequence: e.Sequence, Leaf: e.Leaf}
	envelope, err := journal.DecodeEnvelope(e.Body, e.KeyedTo != "")
	if err != nil {
		return // its commitment does not hold either
	}
	plain := []byte(envelope.Plain)
	sealed := envelope.Sealed != nil
	if sealed {
		key, there, err := u.tx.KeyOf(e.KeyedTo)
		if err != nil || !there {
			u.report.Erased++
			u.erased = true
			u.answer(envelope, at, false)
			return
		}
		if plain, err = openWith(key, envelope.Sealed); err != nil {
			at.What, at.Words = KindSeal, "What the entry says cannot be opened: the customer's key, or whose key it is, was changed."
			u.fault(at)
			return
		}
	}
	u.answer(envelope, at, true)
	u.remember(plain, at)
}

// answer holds the record of an answer against what the entry commits to.
func (u *audit) answer(envelope journal.Envelope, at AuditFault, keyed bool) {
	facts, is := envelope.Consent()
	if !is {
		return
	}
	e, err := u.tx.EvidenceOf(shop.ConsentID(facts.ConsentID), facts.Version)
	switch {
	case err == nil && journal.Commit(e.Salt, e.Record).String() == facts.RecordHMAC:
		u.report.Answers++
		return
	case fault.Is(err, fault.NotFound) && !keyed:
		return // erased with the customer
	case fault.Is(err, fault.NotFound):
		at.What, at.Words = KindRecordGone, "The record of the answer is gone, and its customer was not erased."
	default:
		at.What, at.Words = KindRecord, "The record of the answer, or its salt, was changed: it is not the one given."
	}
	at.Noun, at.ID = "consents", facts.ConsentID
	u.fault(at)
}

// remember keeps what an entry says of each row.
func (u *audit) remember(plain []byte, at AuditFault) {
	var body struct {
		Changes []struct {
			Noun    string          `json:"noun"`
			ID      string          `json:"id"`
			Version int64           `json:"version"`
			Row     json.RawMessage `json:"row"`
		} `json:"changes"`
	}
	if err := json.Unmarshal(plain, &body); err != nil {
		return
	}
	for _, c := range body.Changes {
		i, is := u.index()[c.Noun]
		if !is {
			continue
		}
		row := reflect.New(reflect.TypeOf(JournaledNouns()[i]).Elem()).Interface().(Noun)
		if err := json.Unmarshal(c.Row, row); err != nil {
			continue
		}
		digest, err := digestOf(row)
		name := rowName{i, c.ID}
		if was, there := u.rows[name]; err != nil || there && was.version > row.Head().Version {
			continue
		}
		u.rows[name] = journaled{version: row.Head().Version, digest: digest, leaf: at.Leaf, stream: at.StreamID, seq: at.Sequence}
	}
}

func (u *audit) index() map[string]int {
	if u.nouns == nil {
		u.nouns = nounIndex()
	}
	return u.nouns
}

// states compares every row with what was last journaled of it.
func (u *audit) states() error {
	for i, n := range JournaledNouns() {
		if err := u.table(i, n); err != nil {
			return err
		}
	}
	for name, was := range u.rows {
		if !was.seen {
			u.fault(was.fault(KindRowGone, JournaledNouns()[name.noun].TableName(), name.id,
				"The row is gone, although nothing is ever deleted."))
		}
	}
	return nil
}

func (j journaled) fault(what, noun, id, words string) AuditFault {
	return AuditFault{What: what, Words: words, StreamID: j.stream, Sequence: j.seq, Leaf: j.leaf, Noun: noun, ID: id}
}

// table compares the rows of one table.
func (u *audit) table(i int, n Noun) error {
	kind := reflect.TypeOf(n).Elem()
	for after := ""; ; {
		list := reflect.New(reflect.SliceOf(kind))
		if err := u.tx.List(list.Interface(), nil, Page{After: after, Limit: MaxRows}); err != nil {
			u.fault(AuditFault{What: KindUnreadable, Noun: n.TableName(), ID: after, Leaf: -1,
				Words: "A row of this table, after the one named, cannot be read: " + err.Error()})
			return u.ctx.Err()
		}
		rows := list.Elem()
		for k := range rows.Len() {
			row := rows.Index(k).Addr().Interface().(Noun)
			after = row.Key()
			u.row(i, row)
		}
		if rows.Len() < MaxRows {
			return nil
		}
	}
}

func (u *audit) row(i int, row Noun) {
	u.report.Rows++
	name := rowName{i, row.Key()}
	was, told := u.rows[name]
	if !told {
		if u.erased {
			u.report.Untold++
			return
		}
		u.fault(AuditFault{What: KindRowNew, Noun: row.TableName(), ID: row.Key(), Leaf: -1, Words: "No entry of the journal tells of this row: it was put in beside the program."})
		return
	}
	was.seen = true
	u.rows[name] = was
	digest, err := digestOf(row)
	switch version := row.Head().Version; {
	case err == nil && digest == was.digest:
	case u.erased && version > was.version:
		u.report.Untold++
	default:
		u.fault(was.fault(KindRow, row.TableName(), row.Key(),
			fmt.Sprintf("The row is not as this entry left it: version %d then, version %d now, and something in it was changed beside the program.", was.version, version)))
	}
}

// files compares the files of photos with their rows.
func (u *audit) files() error {
	if u.app.Blobs == nil {
		return nil
	}
	for after := ""; ; {
		var photos []shop.Photo
		if err := u.tx.List(&photos, nil, Page{After: after, Limit: MaxRows}); err != nil {
			return u.ctx.Err() // told by table
		}
		for _, p := range photos {
			after = string(p.ID)
			for size, want := range PhotoHashes(p) {
				u.report.Photos++
				got, _, err := HashBlob(u.ctx, u.app.Blobs, PhotoKey(u.tx.Shop(), p.ID, want))
				if err != nil || got != want {
					was := u.rows[rowName{u.index()["photos"], string(p.ID)}]
					u.fault(was.fault(KindPhoto, "photos", string(p.ID), fmt.Sprintf("The file of the photo (%v) is missing, or it is another than was stored.", size)))
				}
			}
		}
		if len(photos) < MaxRows {
			return nil
		}
	}
}

package app

import (
	"context"
	"time"

	"benchtag/internal/journal"
	"benchtag/internal/shop"
)

// Noun is a pointer to a stored noun of package shop.
type Noun interface {
	TableName() string
	Key() string
	Head() *shop.Row
}

// By selects rows by equality of columns: a slice means any of, nil means no
// value, Not means none of.
type By map[string]any

// Not selects rows whose column is none of these.
type Not []string

// Page is a stretch of a list ordered by id, which is by time of making.
type Page struct {
	After  string // id of the last row of the page before, or ""
	Limit  int    // at most so many; 0 means MaxRows
	Newest bool   // newest first
}

// MaxRows bounds every list that is read whole.
const MaxRows = 500

// Store is the only door to the database. Write retries serialization
// failures, so fn must be free of effects outside its Tx. A Read or Write
// inside a Write of the same context joins its transaction.
type Store interface {
	// Read runs fn over one consistent view of the shop.
	Read(ctx context.Context, scope shop.ShopID, fn func(Tx) error) error
	// Write runs fn in one transaction of the shop and commits durably.
	Write(ctx context.Context, scope shop.ShopID, fn func(context.Context, Tx) error) error
	// ShopBySlug finds the shop a slug names, or a NotFound fault.
	ShopBySlug(ctx context.Context, slug string) (shop.ShopID, error)
	// CountShops tells how many shops there are.
	CountShops(ctx context.Context) (int64, error)
	// Shops lists every shop there is, for work that goes on beside requests.
	Shops(ctx context.Context) ([]shop.ShopID, error)
	// Scrub makes the database let go of bytes that were overwritten or deleted.
	Scrub(ctx context.Context) error
	// Ready reports why the store cannot serve, or nil.
	Ready(ctx context.Context) error
}

// Tx is one transaction of one shop, at one time.
type Tx interface {
	// Now is the transaction's one time: UTC, microseconds.
	Now() time.Time
	// Shop is the tenant of the transaction.
	Shop() shop.ShopID
	// Load fills row with the one that has the id, or gives a NotFound fault.
	Load(row Noun, id string) error
	// List fills rows, a pointer to a slice of nouns, in order of id.
	List(rows any, by By, page Page) error
	// Insert stores a new row as version 1; ExistsAlready if the id is taken.
	Insert(row Noun) error
	// Advance stores row if its version is still the stored one, and counts
	// it up; VersionStale if another change came first.
	Advance(row Noun) error
	// Remove deletes a row that is no record: an idle counter, an old session.
	Remove(row Noun) error
	// ClaimSlug binds a slug to the shop, for ever.
	ClaimSlug(slug string) error
	// Number gives the next number of a counter of the shop, from 1.
	Number(counter string) (int64, error)
	// Numbers takes the next size numbers of a counter, one or more, and
	// gives the first of them.
	Numbers(counter string, size int64) (int64, error)

	// Lock takes the head of a journal stream, making it at sequence 0 if it
	// is new, and keeps others out until the transaction ends.
	Lock(stream journal.Stream) (journal.Head, error)
	// Append stores an entry, its body and the head after it. keyed names
	// the customer whose key sealed the body, or "".
	Append(entry journal.Entry, body journal.Body, head journal.Head, keyed shop.CustomerID) error
	// Entries reads a stream from a sequence on.
	Entries(streamID string, after int64, limit int) ([]Entry, error)
	// SealedFor reads the entries, of every stream, whose bodies a customer's
	// key sealed, by stream and sequence, after a place; the zero place is
	// before the first.
	SealedFor(id shop.CustomerID, after EntryPlace, limit int) ([]SealedEntry, error)
	// CustomerKey gives the customer's sealing key, made by the caller's bytes if new.
	CustomerKey(id shop.CustomerID, fresh [32]byte) ([32]byte, error)

	// AfterCommit runs fn once the transaction is durable, and never if it
	// is undone. fn must not fail and not wait.
	AfterCommit(fn func())
	// MessagesDue counts the messages that a sender could take in hand now,
	// and those that one was sending and has left.
	MessagesDue() (int64, error)
	// MessagesStuck counts the messages that a person must look at.
	MessagesStuck() (int64, error)
	// ClaimMessages takes in hand, until a moment, messages that are due and
	// in nobody's hand: of two senders at once, each gets others. It counts a
	// try of each.
	ClaimMessages(until time.Time, limit int) ([]shop.Message, error)
	TreeTx
	AuditTx

	// Recall gives the stored answer to an idempotency key, or nil.
	Recall(key IdempotencyKey) (*StoredAnswer, error)
	// Remember stores the answer to an idempotency key.
	Remember(key IdempotencyKey, answer StoredAnswer) error

	// NoteReads stores who read which personal data.
	NoteReads(reads []PersonalRead) error
	// PersonalReads lists what a person read in a stretch of time, oldest
	// first; page.After is the id of the last one before.
	PersonalReads(by ReadsWanted, page Page) ([]PersonalRead, error)
	// Sweep takes away at most limit rows of a kind that ended before a time,
	// and tells how many there were.
	Sweep(what Sweeping, before time.Time, limit int) (int64, error)

	// Forget empties the columns of a row that tell something of a customer,
	// and stores it as Advance does.
	Forget(row Noun) error
	// ForgetSealed destroys a customer's key, what it sealed in the journal and
	// beside it, and the evidence of answers on these work orders.
	ForgetSealed(id shop.CustomerID, orders []string) error
	// KeepArchive stores what is kept of a customer under seal.
	KeepArchive(id shop.CustomerID, sealed []byte) error
	// Archive gives what is kept of a customer under seal, or nil.
	Archive(id shop.CustomerID) ([]byte, error)
	// NoteErasure notes an erasure, and the photos whose content is to go.
	NoteErasure(id shop.CustomerID, photos []shop.PhotoID) error
	// ErasuresWithPhotos lists the erasures whose photos are not known to be gone.
	ErasuresWithPhotos() ([]OpenErasure, error)
	// PhotosGone notes that an erasure's photos are gone.
	PhotosGone(id shop.CustomerID) error
	// Unscrubbed counts the erasures of which bytes may be left in files.
	Unscrubbed() (int64, error)
	// Scrubbed notes that of erasures up to a time no bytes are left.
	Scrubbed(until time.Time) error

	// Floor lists a page of the open jobs, oldest first, with what the floor
	// list shows of them.
	Floor(page Page) ([]FloorRow, error)
	// FloorMark is a text that differs whenever something was written that
	// the floor list could show; it costs far less than the list.
	FloorMark() (string, error)
	// TagBlockBefore gives the block of tag codes that starts at a number or
	// last before it, or a NotFound fault. It need not hold the number.
	TagBlockBefore(number int64) (shop.TagBlock, error)
	// TagsLying lists a page of the tags not struck that have no outcome, or
	// whose outcome keeps them in the shop as well, by where they lie.
	TagsLying(alsoKept bool, page Page) ([]shop.Tag, error)
	// Search finds work orders, newest first: Text is a number, part of a
	// name or a model, or the tail of a VIN, a frame number or a plate.
	Search(query SearchQuery) ([]FoundRow, error)
	// PhotoUsage sums up the stored copies of the shop's photos, and of those
	// that one person recorded.
	PhotoUsage(person shop.StaffID) (PhotoUsage, error)
	// History reads a chunk of the jobs after a cursor, oldest first, of one
	// machine or, where that is empty, of all.
	History(machine shop.MachineID, after HistoryCursor, limit int) ([]HistoryRow, error)
}

// Entry is a stored journal entry as read back.
type Entry struct {
	Sequence   int64
	Header     []byte
	Hash       []byte
	Salt       []byte // empty when the body was erased
	Body       []byte
	KeyedTo    shop.CustomerID
	HasBody    bool
	HappenedAt time.Time
}

// EntryPlace is where an entry stands.
type EntryPlace struct {
	StreamID string
	Sequence int64
}

// SealedEntry is an entry of a customer, and where it stands.
type SealedEntry struct {
	EntryPlace
	Header, Body []byte
}

// IdempotencyKey names one effect of one actor on one route.
type IdempotencyKey struct {
	Actor, Route, KeyHash string
}

// StoredAnswer is the first answer to an effect. Body is sealed under the
// client's key, which is not stored.
type StoredAnswer struct {
	Fingerprint string
	Status      int
	ETag        string
	Body        []byte
	CreatedAt   time.Time
}

// FloorRow is an open job with what the floor list shows beside it.
type FloorRow struct {
	Job       shop.Job
	WorkOrder shop.WorkOrder
	Machine   shop.Machine
	BayName   string
}

// SearchQuery says what to look for.
type SearchQuery struct {
	Text  string // as typed
	Phone string // its digits where it reads as a phone number, else ""
	Stage shop.Stage
	Limit int
}

// FoundRow is one work order found.
type FoundRow struct {
	WorkOrder shop.WorkOrder
	Customer  string
	Machine   shop.Machine
	Stage     shop.Stage
}

// HistoryCursor is a place in the history: after this job.
type HistoryCursor struct {
	JobID shop.JobID
}

// HistoryRow is one job of the history with all that is exported of it.
type HistoryRow struct {
	Job        shop.Job
	WorkOrder  shop.WorkOrder
	Machine    shop.Machine
	Customer   string
	Intake     shop.IntakeFacts // zero where none were taken
	Complaints []shop.Complaint
	Findings   []shop.Finding
	Lines      []shop.Line
}

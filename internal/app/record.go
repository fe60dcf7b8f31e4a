package app

import (
	"context"
	"time"

	"benchtag/internal/auth"
	"benchtag/internal/fault"
	"benchtag/internal/journal"
	"benchtag/internal/shop"
)

// Record is a pointer to a noun that belongs to a job.
type Record[T any] interface {
	*T
	Noun
	SetKey(id string)
	Owner() *shop.OfJob
	Made() *shop.Origin
}

// Put is a write of a record at an id the client made: a creation, or a
// change of a known version.
type Put struct {
	JobID  shop.JobID
	ID     string
	Create bool   // If-None-Match: *
	Match  int64  // If-Match, where not Create
	Digest string // SHA-256, hex, of the body, to know a resend
}

// rules say what makes one kind of record valid and what follows from it.
type rules[T any] struct {
	noun string // singular, for events: finding.recorded
	// check refuses what cannot be, may fill what the server sets, and does
	// what follows. was is nil for a creation.
	check func(c *JobChange, was, is *T) error
	// unfinished reports whether a record may still be changed though its job
	// has ended: a clock left running must be stopped. nil means never.
	unfinished func(was *T) bool
}

// putRecord stores a record of a job. fill puts the client's fields onto it.
// It reports whether the record was made now.
func putRecord[T any, P Record[T]](ctx context.Context, a *App, who auth.Principal, put Put, r rules[T], fill func(*T)) (row T, made bool, err error) {
	event := journal.Event(r.noun + ".recorded")
	if !put.Create {
		event = journal.Event(r.noun + ".changed")
	}
	err = a.onJob(ctx, who, put.JobID, event, func(c *JobChange) error {
		row, made, err = putIn[T, P](c, put, r, fill)
		return err
	})
	return row, made, err
}

func putIn[T any, P Record[T]](c *JobChange, put Put, r rules[T], fill func(*T)) (T, bool, error) {
	var was T
	err := c.Load(P(&was), put.ID)
	switch {
	case err == nil:
		if P(&was).Owner().JobID != put.JobID {
			return was, false, fault.Missing(r.noun)
		}
		return replace[T, P](c, put, r, was, fill)
	case !fault.Is(err, fault.NotFound):
		return was, false, err
	case !put.Create:
		return was, false, err
	}
	return create[T, P](c, put, r, fill)
}

func create[T any, P Record[T]](c *JobChange, put Put, r rules[T], fill func(*T)) (T, bool, error) {
	var row T
	fill(&row)
	p := P(&row)
	p.SetKey(put.ID)
	*p.Owner() = shop.OfJob{WorkOrderID: c.Job.WorkOrderID, JobID: c.Job.ID}
	origin := p.Made()
	origin.RecordedBy, origin.TabletID, origin.SignOnID = c.Who.StaffID, c.Who.TabletID, c.Who.SignOnID
	origin.ReceivedAt, origin.CreatedDigest, origin.BodyDigest = c.Now(), put.Digest, put.Digest
	origin.Late = c.late(origin.CapturedAt)
	if ended(c.Job) && !origin.Late {
		return row, false, closed()
	}
	if r.check != nil {
		if err := r.check(c, nil, &row); err != nil {
			return row, false, err
		}
	}
	err := c.insertFirst(p)
	return row, true, err
}

// replace changes a record, or knows an identical resend.
func replace[T any, P Record[T]](c *JobChange, put Put, r rules[T], was T, fill func(*T)) (T, bool, error) {
	resent, err := put.resent(*P(&was).Made(), P(&was).Head().Version)
	if err != nil || resent {
		return was, false, err
	}
	if ended(c.Job) && (r.unfinished == nil || !r.unfinished(&was)) {
		return was, false, closed()
	}
	if s, ok := any(P(&was)).(interface{ IsStruck() bool }); ok && s.IsStruck() {
		return was, false, struckAlready()
	}
	is := was
	fill(&is)
	made := P(&is).Made()
	made.Late = made.Late || (c.late(made.CapturedAt) && !sameTime(made.CapturedAt, P(&was).Made().CapturedAt))
	made.CapturedAt = either(made.CapturedAt, P(&was).Made().CapturedAt)
	made.BodyDigest = put.Digest
	if r.check != nil {
		if err := r.check(c, &was, &is); err != nil {
			return was, false, err
		}
	}
	err = c.advanceFirst(P(&is))
	return is, false, err
}

// resent reports whether the write is one already done, sent again after a
// lost answer; a write of another version than the stored one is refused.
func (put Put) resent(stored shop.Origin, version int64) (bool, error) {
	same := put.Digest == stored.BodyDigest
	if put.Create {
		if same || put.Digest == stored.CreatedDigest {
			return true, nil
		}
		return false, fault.New(fault.VersionStale, "app.already_there", "A record with this id is already there and differs; read it, then change it with If-Match.")
	}
	if same && (put.Match == version || put.Match == version-1) {
		return true, nil
	}
	if put.Match == version {
		return false, nil
	}
	return false, stale()
}

// late reports whether something was captured before the job came to where
// it stands now.
func (c *JobChange) late(captured *time.Time) bool {
	return captured != nil && captured.Before(c.Job.StageSince)
}

func sameTime(a, b *time.Time) bool { return a != nil && b != nil && a.Equal(*b) }

func stale() error {
	return fault.New(fault.VersionStale, "store.version_stale", "Someone else changed this first; read it again and look at their change.")
}

func struckAlready() error {
	return fault.New(fault.Conflict, "app.record_struck", "This record was struck; make a new one.")
}

// insertFirst stores the operation's own row as the subject of its entry,
// even if others were written on the way.
func (c *Change) insertFirst(row Noun) error {
	if err := c.Insert(row); err != nil {
		return err
	}
	c.lastFirst()
	return nil
}

func (c *Change) advanceFirst(row Noun) error {
	if err := c.Advance(row); err != nil {
		return err
	}
	c.lastFirst()
	return nil
}

func (c *Change) lastFirst() {
	n := len(c.rows) - 1
	last := c.rows[n]
	copy(c.rows[1:], c.rows[:n])
	c.rows[0] = last
}

// Strikable is a record that can be struck.
type Strikable[T any] interface {
	Record[T]
	IsStruck() bool
	Strike() *shop.Struck
}

// strikeRecord strikes a record with a reason; it stays, and no longer counts.
func strikeRecord[T any, P Strikable[T]](ctx context.Context, a *App, who auth.Principal, at Place, reason string, r rules[T], before func(*JobChange, *T) error) (row T, err error) {
	err = a.onJob(ctx, who, at.JobID, journal.Event(r.noun+".struck"), func(c *JobChange) error {
		if err := loadOf[T, P](c, at, r.noun, &row); err != nil {
			return err
		}
		if ended(c.Job) {
			return closed()
		}
		if P(&row).IsStruck() {
			return struckAlready()
		}
		if before != nil {
			if err := before(c, &row); err != nil {
				return err
			}
		}
		now := c.Now()
		*P(&row).Strike() = shop.Struck{StruckAt: &now, StruckBy: c.Who.StaffID, StruckReason: reason}
		return c.advanceFirst(P(&row))
	})
	return row, err
}

// Place names a record of a job.
type Place struct {
	JobID shop.JobID
	ID    string
}

// loadOf reads a record and makes sure it belongs to the job.
func loadOf[T any, P Record[T]](tx Tx, at Place, noun string, row *T) error {
	if err := tx.Load(P(row), at.ID); err != nil {
		return err
	}
	if P(row).Owner().JobID != at.JobID {
		return fault.Missing(noun)
	}
	return nil
}

// RecordOf reads one record of a job.
func RecordOf[T any, P Record[T]](ctx context.Context, a *App, who auth.Principal, at Place) (row T, err error) {
	err = a.Store.Read(ctx, who.ShopID, func(tx Tx) error {
		return loadOf[T, P](tx, at, "record", &row)
	})
	return row, err
}

// RecordsOf reads a page of the records of a job, in order of making.
func RecordsOf[T any, P Record[T]](ctx context.Context, a *App, who auth.Principal, job shop.JobID, page Page) ([]T, error) {
	return underJob[T](ctx, a, who, job, page)
}

func either[T any](a, b *T) *T {
	if a != nil {
		return a
	}
	return b
}

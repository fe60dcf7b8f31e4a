package app

import (
	"context"
	"crypto/aes"
	"crypto/cipher"
	"encoding/json"
	"fmt"

	"benchtag/internal/auth"
	"benchtag/internal/fault"
	"benchtag/internal/journal"
	"benchtag/internal/shop"
)

// Change is one operation on one journal stream in the making: what it
// writes becomes one journal entry, in the same transaction.
type Change struct {
	Tx
	Ctx      context.Context
	Who      auth.Principal
	app      *App
	head     journal.Head
	customer shop.CustomerID // whose key seals personal values
	about    shop.OfJob      // the visit and the job, where there are such
	actor    journal.Actor
	remark   string // see Remark
	rows     []rowChange
	open     any              // what of the entry stays readable when the customer's key is gone
	subject  *journal.Subject // of an entry about no row
	attest   bool             // see Attest
	answer   shop.ConsentID   // whose record this entry commits to, see evidence
}

type rowChange struct {
	Noun    string `json:"noun"`
	ID      string `json:"id"`
	Version int64  `json:"version"`
	Row     any    `json:"row"`
}

// Insert stores a new row and notes it for the journal.
func (c *Change) Insert(row Noun) error {
	if err := c.Tx.Insert(row); err != nil {
		return err
	}
	c.note(row)
	return nil
}

// Advance stores a changed row and notes it for the journal.
func (c *Change) Advance(row Noun) error {
	if err := c.Tx.Advance(row); err != nil {
		return err
	}
	c.note(row)
	return nil
}

func (c *Change) note(row Noun) {
	c.rows = append(c.rows, rowChange{Noun: row.TableName(), ID: row.Key(), Version: row.Head().Version, Row: row})
}

// SealFor says whose key seals this entry if it holds personal values; a
// work order's entries are sealed for its customer without being asked.
func (c *Change) SealFor(id shop.CustomerID) { c.customer = id }

// Remark puts a person's words beside the rows of the entry. They may name
// anybody, so the entry is sealed.
func (c *Change) Remark(words string) { c.remark = words }

// change runs fn as one operation on a stream. If fn wrote nothing (an
// identical resend), there is no entry either.
func (a *App) change(ctx context.Context, who auth.Principal, stream journal.Stream, event journal.Event, fn func(*Change) error) error {
	return a.Store.Write(ctx, who.ShopID, func(ctx context.Context, tx Tx) error {
		return a.changeIn(ctx, tx, who, stream, event, fn)
	})
}

func (a *App) changeIn(ctx context.Context, tx Tx, who auth.Principal, stream journal.Stream, event journal.Event, fn func(*Change) error) error {
	if err := a.seals.refuse(tx.Shop()); err != nil {
		return err
	}
	return a.noteIn(ctx, tx, who, stream, event, fn)
}

// noteIn is changeIn for a shop that takes no changes too.
func (a *App) noteIn(ctx context.Context, tx Tx, who auth.Principal, stream journal.Stream, event journal.Event, fn func(*Change) error) error {
	head, err := tx.Lock(stream)
	if err != nil {
		return err
	}
	c := &Change{Tx: tx, Ctx: ctx, Who: who, app: a, head: head, actor: actorOf(who)}
	if err := fn(c); err != nil {
		return err
	}
	return c.append(event)
}

// actorOf names who acts, for the journal.
func actorOf(who auth.Principal) journal.Actor {
	switch {
	case who.StaffID != "":
		return journal.Actor{Kind: journal.Staff, ID: string(who.StaffID)}
	case who.LinkID != "":
		return journal.Actor{Kind: journal.CustomerLink, ID: string(who.LinkID)}
	case who.TabletID != "":
		return journal.Actor{Kind: journal.Tablet, ID: string(who.TabletID)}
	}
	return journal.Actor{Kind: journal.System, ID: "benchtag"}
}

// append writes the entry of all rows changed; the first is its subject.
func (c *Change) append(event journal.Event) error {
	if len(c.rows) == 0 && c.subject == nil {
		return nil
	}
	if err := c.keepAnswer(); err != nil {
		return err
	}
	body, keyed, err := c.body()
	if err != nil {
		return err
	}
	var salt journal.Salt
	c.app.Source.Bytes(salt[:])
	if len(c.rows) > 0 {
		if err := c.sendEvent(string(event), c.rows[0]); err != nil {
			return err
		}
	}
	draft := journal.Draft{Time: c.Now(), Actor: c.actor, Event: event, Subject: c.subjectOf()}
	entry, next, err := journal.Append(c.head, draft, salt, body)
	if err != nil {
		return fmt.Errorf("app: %w", err)
	}
	if err := c.Tx.Append(entry, journal.Body{Salt: salt, Bytes: body}, next, keyed); err != nil {
		return err
	}
	if c.attest {
		return c.app.attest(c.Tx)
	}
	return nil
}

// subjectOf is the subject of the entry.
func (c *Change) subjectOf() journal.Subject {
	if c.subject != nil {
		return *c.subject
	}
	first := c.rows[0]
	return journal.Subject{Noun: first.Noun, ID: first.ID, Version: first.Version}
}

// body writes what happened, sealed where it is personal, and whose key sealed it.
func (c *Change) body() ([]byte, shop.CustomerID, error) {
	var e journal.Envelope
	plain, err := json.Marshal(struct {
		Changes []rowChange `json:"changes"`
		Remark  string      `json:"remark,omitempty"`
	}{c.rows, c.remark})
	if err != nil {
		return nil, "", fmt.Errorf("app: write the journal body: %w", err)
	}
	if c.open != nil {
		if e.Open, err = json.Marshal(c.open); err != nil {
			return nil, "", fmt.Errorf("app: write the journal body: %w", err)
		}
	}
	keyed := shop.CustomerID("")
	e.Plain = plain
	if c.customer != "" && c.personal() {
		key, there, err := c.keyInUse()
		if err != nil {
			return nil, "", err
		}
		if there {
			keyed, e.Plain = c.customer, nil
			if e.Sealed, err = sealWith(key, c.app.Source, plain); err != nil {
				return nil, "", err
			}
		}
	}
	body, err := e.Encode()
	return body, keyed, err
}

// keyInUse gives the key of the customer whose entry this is, made now if
// there was none. One who was erased gets no new key, which nothing would ever
// destroy: nobody writes of them any more, save the program itself, whose rows
// have had their personal columns emptied.
func (c *Change) keyInUse() (key [32]byte, there bool, err error) {
	if key, there, err = c.KeyOf(c.customer); err != nil || there {
		return key, there, err
	}
	customer, err := load[shop.Customer](c.Tx, string(c.customer))
	if err != nil {
		return key, false, err
	}
	if customer.ErasedAt != nil {
		if c.actor.Kind == journal.System {
			return key, false, nil
		}
		return key, false, erasedAlready()
	}
	var fresh [32]byte
	c.app.Source.Bytes(fresh[:])
	key, err = c.CustomerKey(c.customer, fresh)
	return key, err == nil, err
}

// PersonalTables are the tables whose rows tell something about a customer;
// journal bodies that hold one are sealed under the customer's key, so that
// erasing the key erases them.
func PersonalTables() []string {
	return []string{"bills", "complaints", "consent_endings", "consents", "customer_questions", "customers", "findings", "hand_overs", "holds",
		"legal_holds", "machines", "offers", "payments", "photos", "withdrawals", "work_orders"}
}

func (c *Change) personal() bool {
	if c.remark != "" {
		return true
	}
	for _, r := range c.rows {
		for _, t := range PersonalTables() {
			if r.Noun == t {
				return true
			}
		}
	}
	return false
}

// sealWith encrypts under a key (AES-256-GCM, nonce first).
func sealWith(key [32]byte, source Source, plain []byte) ([]byte, error) {
	gcm, err := gcmOf(key)
	if err != nil {
		return nil, err
	}
	nonce := make([]byte, gcm.NonceSize())
	source.Bytes(nonce)
	return gcm.Seal(nonce, nonce, plain, nil), nil
}

func openWith(key [32]byte, sealed []byte) ([]byte, error) {
	gcm, err := gcmOf(key)
	if err != nil {
		return nil, err
	}
	if len(sealed) < gcm.NonceSize() {
		return nil, fault.New(fault.Internal, "app.seal_broken", "A sealed value is damaged.")
	}
	plain, err := gcm.Open(nil, sealed[:gcm.NonceSize()], sealed[gcm.NonceSize():], nil)
	if err != nil {
		return nil, fault.New(fault.Internal, "app.seal_broken", "A sealed value is damaged.").Because(err)
	}
	return plain, nil
}

func gcmOf(key [32]byte) (cipher.AEAD, error) {
	block, err := aes.NewCipher(key[:])
	if err != nil {
		return nil, fmt.Errorf("app: cipher: %w", err)
	}
	gcm, err := cipher.NewGCM(block)
	if err != nil {
		return nil, fmt.Errorf("app: cipher: %w", err)
	}
	return gcm, nil
}

// shopStream is the journal of the shop's own records.
func shopStream(scope shop.ShopID) journal.Stream {
	return journal.Stream{ShopID: string(scope), Kind: journal.Shop, ID: string(scope)}
}

// orderStream is the journal of one work order.
func orderStream(scope shop.ShopID, id shop.WorkOrderID) journal.Stream {
	return journal.Stream{ShopID: string(scope), Kind: journal.WorkOrder, ID: string(id)}
}

// onShop runs a change of the shop's own records.
func (a *App) onShop(ctx context.Context, who auth.Principal, event journal.Event, fn func(*Change) error) error {
	return a.change(ctx, who, shopStream(who.ShopID), event, fn)
}

// onOrder runs a change under a work order, its head locked first.
func (a *App) onOrder(ctx context.Context, who auth.Principal, id shop.WorkOrderID, event journal.Event, fn func(*Change, *shop.WorkOrder) error) error {
	return a.Store.Write(ctx, who.ShopID, func(ctx context.Context, tx Tx) error {
		var order shop.WorkOrder
		if err := tx.Load(&order, string(id)); err != nil {
			return err
		}
		return a.changeIn(ctx, tx, who, orderStream(who.ShopID, id), event, func(c *Change) error {
			if err := c.Load(&order, string(id)); err != nil {
				return err
			}
			c.customer, c.about.WorkOrderID = order.CustomerID, order.ID
			return fn(c, &order)
		})
	})
}

// JobChange is a change under a job.
type JobChange struct {
	*Change
	Job   *shop.Job
	Order *shop.WorkOrder
}

// onJob runs a change under a job: the head of its work order is locked
// before the job is read, so gates are free of races.
func (a *App) onJob(ctx context.Context, who auth.Principal, id shop.JobID, event journal.Event, fn func(*JobChange) error) error {
	return a.Store.Write(ctx, who.ShopID, func(ctx context.Context, tx Tx) error {
		var job shop.Job
		if err := tx.Load(&job, string(id)); err != nil {
			return err
		}
		return a.onOrder(ctx, who, job.WorkOrderID, event, func(c *Change, order *shop.WorkOrder) error {
			if err := c.Load(&job, string(id)); err != nil {
				return err
			}
			c.about.JobID = job.ID
			return fn(&JobChange{Change: c, Job: &job, Order: order})
		})
	})
}

// closed is the answer to a change of a job that has ended.
func closed() error {
	return fault.New(fault.Conflict, "app.job_closed", "This job is closed; open a new job on the work order, or a new work order.")
}

// ended reports whether a job takes no more changes.
func ended(j *shop.Job) bool { return j.Stage == shop.StageClosed || j.Stage == shop.StageWithdrawn }

// list reads every row of a kind that By selects, at most MaxRows.
func list[T any](tx Tx, by By) ([]T, error) {
	var rows []T
	err := tx.List(&rows, by, Page{})
	return rows, err
}

// load reads one row.
func load[T any, P interface {
	*T
	Noun
}](tx Tx, id string) (T, error) {
	var row T
	err := tx.Load(P(&row), id)
	return row, err
}

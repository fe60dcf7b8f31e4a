package app

import (
	"errors"

	"benchtag/internal/fault"
	"benchtag/internal/shop"
)

// reference is one record that another names.
type reference struct {
	id, was string // as named now, and before; "" is none
	pointer string // of the field that names it
	noun    string // as a person would call it
	order   bool   // may belong to another job of the same work order
}

// refer makes sure that a record that is named belongs to the job and still
// counts. A name that did not change was looked at when it was given: what
// became of it since must not keep anyone from changing the rest.
func refer[T any, P Record[T]](c *JobChange, r reference) error {
	if r.id == "" || r.id == r.was {
		return nil
	}
	var row T
	err := c.Load(P(&row), r.id)
	if err != nil && !fault.Is(err, fault.NotFound) {
		return err
	}
	owner := P(&row).Owner()
	switch {
	case err != nil, !r.order && owner.JobID != c.Job.ID, owner.WorkOrderID != c.Job.WorkOrderID:
		return fault.Invalid("app.reference_unknown", r.pointer, "There is no such "+r.noun+" here; name one of this job.")
	case isStruck[T, P](&row):
		return fault.Invalid("app.reference_struck", r.pointer, "That "+r.noun+" was struck; name another.")
	}
	return nil
}

func isStruck[T any, P Record[T]](row *T) bool {
	s, ok := any(P(row)).(interface{ IsStruck() bool })
	return ok && s.IsStruck()
}

// openOffers lists what the customer is being asked about the job.
func (c *JobChange) openOffers() ([]shop.Offer, error) {
	return list[shop.Offer](c, By{"job_id": c.Job.ID, "state": shop.OfferStateOpen})
}

// flagOffers marks open offers as made before something was found. They stay
// open: the customer may answer, and is told.
func (c *JobChange) flagOffers() error {
	offers, err := c.openOffers()
	if err != nil {
		return err
	}
	for i := range offers {
		if offers[i].NewFindings {
			continue
		}
		offers[i].NewFindings = true
		if err := c.Advance(&offers[i]); err != nil {
			return err
		}
	}
	return nil
}

// breakOffers marks open offers as changed where a way forward in them is
// touched: their links are dead from then on, since what they show no longer
// stands.
func (c *JobChange) breakOffers(touched func(shop.Scope) bool) error {
	offers, err := c.openOffers()
	if err != nil {
		return err
	}
	for i := range offers {
		scopes, err := list[shop.Scope](c, By{"id": offers[i].ScopeIDs})
		if err != nil {
			return err
		}
		if !anyOf(scopes, touched) {
			continue
		}
		offers[i].State = shop.OfferStateChanged
		if err := c.Advance(&offers[i]); err != nil {
			return err
		}
	}
	return nil
}

func anyOf[T any](rows []T, is func(T) bool) bool {
	for _, r := range rows {
		if is(r) {
			return true
		}
	}
	return false
}

// actOn runs an action on a record of a job that still counts: do reports
// whether it changed the row.
func actOn[T any, P Record[T]](c *JobChange, at Place, noun string, do func(*T) (bool, error)) (T, error) {
	var row T
	if err := loadOf[T, P](c, at, noun, &row); err != nil {
		return row, err
	}
	if ended(c.Job) {
		return row, closed()
	}
	if isStruck[T, P](&row) {
		return row, struckAlready()
	}
	changed, err := do(&row)
	if err != nil || !changed {
		return row, err
	}
	return row, c.advanceFirst(P(&row))
}

// sentence gives an error's sentence for a person.
func sentence(err error) string {
	var f *fault.Error
	if errors.As(err, &f) {
		return f.Message
	}
	return ""
}

package app

import (
	"context"
	"fmt"

	"benchtag/internal/auth"
	"benchtag/internal/fault"
	"benchtag/internal/measure"
	"benchtag/internal/shop"
)

// MaxMarks is how many marks a photo can hold.
const MaxMarks = 100

func photoRules() rules[shop.Photo] { return rules[shop.Photo]{noun: "photo", check: checkPhoto} }

// PutPhoto records or changes what is said of a photo; its content comes by
// StorePhoto.
func (a *App) PutPhoto(ctx context.Context, who auth.Principal, put Put, fill func(*shop.Photo)) (shop.Photo, bool, error) {
	return putRecord[shop.Photo](ctx, a, who, put, photoRules(), fill)
}

// StrikePhoto strikes a photo with a reason; its content stays.
func (a *App) StrikePhoto(ctx context.Context, who auth.Principal, at Place, reason string) (shop.Photo, error) {
	return strikeRecord[shop.Photo](ctx, a, who, at, reason, photoRules(), nil)
}

func checkPhoto(c *JobChange, was, is *shop.Photo) error {
	if was == nil {
		was = &shop.Photo{}
	}
	err := refer[shop.Finding](c, reference{id: string(is.FindingID), was: string(was.FindingID), pointer: "/finding_id", noun: "finding"})
	if err != nil {
		return err
	}
	if is.ForCustomer && !was.ForCustomer && !c.Who.Has(auth.RoleAdvisor) && !c.Who.Has(auth.RoleOwner) {
		return fault.Invalid("app.photo_choice_not_yours", "/for_customer", "What the customer is shown is chosen by an advisor or the owner; leave for_customer as it was.")
	}
	return checkMarks(is)
}

// checkMarks makes sure that marks lie on the picture and say what they are.
func checkMarks(p *shop.Photo) error {
	if len(p.Marks) == 0 {
		return nil
	}
	if p.StoredAt == nil {
		return fault.Invalid("app.marks_too_early", "/marks", "Send the picture first: marks are in pixels of the stored copy, which may be turned and smaller.")
	}
	if len(p.Marks) > MaxMarks {
		return fault.Invalid("app.marks_too_many", "/marks", fmt.Sprintf("A photo holds at most %d marks.", MaxMarks))
	}
	scales := 0
	for i, m := range p.Marks {
		if err := checkMark(p, m, fmt.Sprintf("/marks/%d", i)); err != nil {
			return err
		}
		if m.Kind == shop.MarkScale {
			scales++
		}
	}
	if scales > 1 {
		return fault.Invalid("app.scale_twice", "/marks", "A photo has one scale; take the other away.")
	}
	return nil
}

func checkMark(p *shop.Photo, m shop.Mark, at string) error {
	want := m.Kind.Points()
	if want == 0 || len(m.Points) != want {
		return fault.Invalid("app.mark_points_wrong", at+"/points", fmt.Sprintf("A mark of this kind has %d points.", max(want, 1)))
	}
	for i, point := range m.Points {
		if point.X < 0 || point.Y < 0 || point.X >= p.Width || point.Y >= p.Height {
			return fault.Invalid("app.mark_off_picture", fmt.Sprintf("%s/points/%d", at, i),
				fmt.Sprintf("The stored picture is %d pixels wide and %d high; points count from 0.", p.Width, p.Height))
		}
	}
	if want == 2 && m.Points[0] == m.Points[1] {
		return fault.Invalid("app.mark_points_same", at+"/points", "The two points of a mark lie apart.")
	}
	if m.Kind == shop.MarkText && empty(m.Text) {
		return fault.Invalid("app.mark_text_missing", at+"/text", "Write what the text says.")
	}
	return checkScale(m, at)
}

// checkScale makes sure that a scale, and nothing else, has a known length.
func checkScale(m shop.Mark, at string) error {
	if m.Kind != shop.MarkScale {
		if !m.Known.IsZero() || !m.KnownWithin.IsZero() {
			return fault.Invalid("app.mark_known_misplaced", at+"/known", "Only a scale has a known length.")
		}
		return nil
	}
	if m.Known.IsZero() {
		return fault.Invalid("app.scale_length_missing", at+"/known", "Give the known length between the two points, such as 10 mm on a rule.")
	}
	for _, q := range []struct {
		of      shop.Quantity
		pointer string
	}{{m.Known, "/known"}, {m.KnownWithin, "/known_within"}} {
		if q.of.IsZero() {
			continue
		}
		got, err := quantityOf(q.of)
		if err != nil {
			return ofMeasurement(err, at+q.pointer)
		}
		if got.Unit.Dimension() != measure.Length {
			return fault.Invalid("app.scale_not_a_length", at+q.pointer, "Give a length, such as 10 mm.")
		}
		if got.Value.Sign() <= 0 {
			return fault.Invalid("app.scale_not_a_length", at+q.pointer, "Give a length above nought, such as 10 mm.")
		}
	}
	return nil
}

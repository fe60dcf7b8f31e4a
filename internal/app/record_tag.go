package app

import (
	"context"
	"errors"
	"fmt"

	"benchtag/internal/auth"
	"benchtag/internal/fault"
	"benchtag/internal/shop"
)

func tagRules() rules[shop.Tag] { return rules[shop.Tag]{noun: "tag", check: checkTag} }

// PutTag records or changes a bag or label. A code that the client sends is
// one printed or leased ahead, as typed or scanned; without one the server
// gives a code of its own run.
//
// A code is bound once. Two that bind it at the same moment are told apart by
// the database; the one that lost looks again and is told whose it is.
func (a *App) PutTag(ctx context.Context, who auth.Principal, put Put, fill func(*shop.Tag)) (row shop.Tag, made bool, err error) {
	for range 2 {
		row, made, err = putRecord[shop.Tag](ctx, a, who, put, tagRules(), fill)
		var f *fault.Error
		if !errors.As(err, &f) || f.Code != "store.value_taken" {
			break
		}
	}
	return row, made, err
}

// StrikeTag strikes a tag with a reason; neither its number nor its code is
// given again.
func (a *App) StrikeTag(ctx context.Context, who auth.Principal, at Place, reason string) (shop.Tag, error) {
	return strikeRecord[shop.Tag](ctx, a, who, at, reason, tagRules(), nil)
}

// checkTag numbers a new tag: on its work order for people, in the shop by
// a code. The counter is the work order's own, so that numbers stay right
// however many tags there are.
func checkTag(c *JobChange, was, is *shop.Tag) error {
	mark := shop.TagMarkOf(c.Who.ShopID)
	if was != nil {
		return keepCode(mark, was, is)
	}
	number, err := c.Number("tag of " + string(c.Job.WorkOrderID))
	if err != nil {
		return err
	}
	is.Number = number
	if is.Code == "" {
		return ownCode(c, is)
	}
	label := is.Code
	code, err := freeCode(c, mark, label)
	switch {
	case err == nil:
		is.Code = string(code)
		return nil
	case is.Late && (fault.Is(err, fault.Meaning) || fault.Is(err, fault.Conflict)):
		// What a device brings late is stored in any case. The bag keeps its
		// label, so what that says is kept beside the code the tag gets.
		if code != "" {
			label = string(code)
		}
		is.LabelCode = firstRunes(label, maxLabelKept)
		return ownCode(c, is)
	}
	return err
}

// maxLabelKept bounds what is kept of a label that could not be bound.
const maxLabelKept = 100

func firstRunes(text string, n int) string {
	r := []rune(text)
	return string(r[:min(len(r), n)])
}

// keepCode refuses to put a tag under another code.
func keepCode(mark shop.TagMark, was, is *shop.Tag) error {
	if is.Code != was.Code {
		code, err := shop.ParseLabelText(is.Code, mark)
		if err != nil {
			return at(err, "/code")
		}
		if string(code) != was.Code && string(code) != was.LabelCode {
			return fault.Invalid("app.tag_code_fixed", "/code", "This tag has the code "+was.Code+". To put the bag under another label, strike this tag and record a new one.")
		}
	}
	is.Code, is.LabelCode = was.Code, was.LabelCode
	return nil
}

// ownCode gives the next code of the server's own run.
func ownCode(c *JobChange, is *shop.Tag) error {
	n, err := c.Number(tagCounter)
	if err != nil {
		return err
	}
	code, err := shop.NewTagCode(uint32(min(n, int64(shop.TagCodes))))
	is.Code = string(code)
	return err
}

// freeCode reads what stands on a label and makes sure that the code was
// given out ahead and is on no tag. The code comes along with the fault where
// it could be read.
func freeCode(c *JobChange, mark shop.TagMark, label string) (shop.TagCode, error) {
	code, err := shop.ParseLabelText(label, mark)
	if err != nil {
		return "", at(err, "/code")
	}
	taken, err := list[shop.Tag](c, By{"code": string(code)})
	if err != nil {
		return code, err
	}
	if len(taken) > 0 {
		return code, codeTaken(c, taken[0])
	}
	block, err := blockOf(c, code)
	switch {
	case fault.Is(err, fault.NotFound):
		return code, fault.Invalid("app.tag_code_unprinted", "/code", "No label with this code was printed or given out here. Read it again, or record the tag without a code.")
	case err != nil:
		return code, err
	}
	return code, othersLease(c, block)
}

// blockOf finds the block that a code was given out with.
func blockOf(tx Tx, code shop.TagCode) (shop.TagBlock, error) {
	block, err := tx.TagBlockBefore(int64(code.Number()))
	if err == nil && !block.Holds(code) {
		err = fault.Missing("tag block")
	}
	return block, err
}

// codeTaken says whose a code is.
func codeTaken(tx Tx, t shop.Tag) error {
	order, err := load[shop.WorkOrder](tx, string(t.WorkOrderID))
	if err != nil {
		return err
	}
	machine, err := load[shop.Machine](tx, string(order.MachineID))
	if err != nil {
		return err
	}
	struck := ""
	if t.IsStruck() {
		struck = ", which was struck,"
	}
	taken := fault.Invalid("app.tag_code_taken", "/code", fmt.Sprintf(
		"This code belongs to tag %d%s of work order %d, %s: %.200s. A code is never used again; take another label.",
		t.Number, struck, order.Number, machineText(machine), t.Holds))
	taken.Kind = fault.Conflict
	return taken
}

// othersLease refuses a code that was leased to a tablet still in use to
// whoever is not at that tablet: it may have given the code to a bag that
// the server has not heard of yet.
func othersLease(c *JobChange, block shop.TagBlock) error {
	if block.TabletID == "" || block.TabletID == c.Who.TabletID {
		return nil
	}
	tablet, err := load[shop.Tablet](c, string(block.TabletID))
	if err != nil || tablet.RevokedAt != nil {
		return err
	}
	leased := fault.Invalid("app.tag_code_leased", "/code", fmt.Sprintf(
		"The tablet %.100q gives this code out, and what it has put there may not have arrived yet. Let it send first, or record the tag without a code.", tablet.Name))
	leased.Kind = fault.Conflict
	return leased
}

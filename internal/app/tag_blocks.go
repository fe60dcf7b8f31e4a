package app

import (
	"context"

	"benchtag/internal/auth"
	"benchtag/internal/fault"
	"benchtag/internal/shop"
)

// tagCounter numbers the tag codes of a shop, those of blocks and those the
// server gives, so that no code is given twice.
const tagCounter = "tag"

// NewTagBlock is a wish for codes ahead.
type NewTagBlock struct {
	Purpose shop.TagPurpose
	Size    int64
	// TabletID names the tablet of a lease; empty means the one asking.
	TabletID shop.TabletID
}

// TagBlockWhole is a block with its codes and those already on a tag.
type TagBlockWhole struct {
	shop.TagBlock
	Codes []shop.TagCode
	Used  []shop.TagCode
}

// AddTagBlock gives out a run of codes before anything lies in the bags: to
// be printed on a roll or on sheets, or to a tablet, which then gives them
// out without a network. A code stays unused until a tag is recorded with
// it. Faults: app.tag_block_size, app.tag_block_tablet, shop.tag_code_used_up.
func (a *App) AddTagBlock(ctx context.Context, who auth.Principal, want NewTagBlock) (out TagBlockWhole, err error) {
	if want.Size < 1 || want.Size > shop.MaxTagBlock {
		return out, fault.Invalid("app.tag_block_size", "/size", "Take 1 to 500 codes at once; take another block for more.")
	}
	id := shop.TagBlockID(a.Source.ID())
	err = a.onShop(ctx, who, "tag_block.given", func(c *Change) error {
		block := shop.TagBlock{ID: id, Size: want.Size, Purpose: want.Purpose, GivenBy: who.StaffID, GivenAt: c.Now()}
		if block.TabletID, err = leasedTo(c, want); err != nil {
			return err
		}
		if block.FirstNumber, err = c.Numbers(tagCounter, want.Size); err != nil {
			return err
		}
		codes, err := block.Codes()
		if err != nil {
			return err
		}
		out = TagBlockWhole{TagBlock: block, Codes: codes, Used: []shop.TagCode{}}
		return c.Insert(&out.TagBlock)
	})
	return out, err
}

// leasedTo says which tablet a block is for: a printed one for none.
func leasedTo(c *Change, want NewTagBlock) (shop.TabletID, error) {
	if want.Purpose != shop.TagPurposeTablet {
		if want.TabletID != "" {
			return "", fault.Invalid("app.tag_block_tablet", "/tablet_id", "Printed codes belong to no tablet; leave it out.")
		}
		return "", nil
	}
	id := want.TabletID
	if id == "" {
		id = c.Who.TabletID
	}
	if id == "" {
		return "", fault.Invalid("app.tag_block_tablet", "/tablet_id", "Name the tablet these codes are for, or ask from it.")
	}
	tablet, err := pointed[shop.Tablet](c, string(id), "/tablet_id")
	if err == nil && tablet.RevokedAt != nil {
		err = fault.Invalid("app.tag_block_tablet", "/tablet_id", "This tablet was taken out of use; name another.")
	}
	return id, err
}

// TagBlock reads a block with its codes and which of them are on a tag.
func (a *App) TagBlock(ctx context.Context, who auth.Principal, id shop.TagBlockID) (out TagBlockWhole, err error) {
	err = a.Store.Read(ctx, who.ShopID, func(tx Tx) error {
		block, err := load[shop.TagBlock](tx, string(id))
		if err != nil {
			return err
		}
		out, err = wholeBlock(tx, block)
		return err
	})
	return out, err
}

func wholeBlock(tx Tx, block shop.TagBlock) (TagBlockWhole, error) {
	out := TagBlockWhole{TagBlock: block, Used: []shop.TagCode{}}
	var err error
	if out.Codes, err = block.Codes(); err != nil {
		return out, err
	}
	tags, err := list[shop.Tag](tx, By{"code": out.Codes})
	if err != nil {
		return out, err
	}
	for _, t := range tags {
		out.Used = append(out.Used, shop.TagCode(t.Code))
	}
	return out, nil
}

// TagBlocks reads a page of the blocks, in order of giving out.
func (a *App) TagBlocks(ctx context.Context, who auth.Principal, page Page) ([]shop.TagBlock, error) {
	return ShopRecordsOf[shop.TagBlock](ctx, a, who, nil, page)
}

package app

import (
	"context"

	"benchtag/internal/auth"
	"benchtag/internal/shop"
)

func tagRules() rules[shop.Tag] { return rules[shop.Tag]{noun: "tag", check: checkTag} }

// PutTag records or changes a bag or label.
func (a *App) PutTag(ctx context.Context, who auth.Principal, put Put, fill func(*shop.Tag)) (shop.Tag, bool, error) {
	return putRecord[shop.Tag](ctx, a, who, put, tagRules(), fill)
}

// StrikeTag strikes a tag with a reason; its number is not given again.
func (a *App) StrikeTag(ctx context.Context, who auth.Principal, at Place, reason string) (shop.Tag, error) {
	return strikeRecord[shop.Tag](ctx, a, who, at, reason, tagRules(), nil)
}

// checkTag numbers a new tag: on its work order for people, in the shop by
// a code. The counter is the work order's own, so that numbers stay right
// however many tags there are.
func checkTag(c *JobChange, was, is *shop.Tag) error {
	if was != nil {
		return nil
	}
	number, err := c.Number("tag of " + string(c.Job.WorkOrderID))
	if err != nil {
		return err
	}
	n, err := c.Number("tag")
	if err != nil {
		return err
	}
	code, err := shop.NewTagCode(uint32(min(n, int64(shop.TagCodes))))
	if err != nil {
		return err
	}
	is.Number, is.Code = number, string(code)
	return nil
}

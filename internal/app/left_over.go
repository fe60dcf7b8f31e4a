package app

import (
	"cmp"
	"context"
	"slices"

	"benchtag/internal/auth"
	"benchtag/internal/shop"
)

// LeftOver lists the tags of a job that nobody has said anything of yet, by
// their number: what still lies there and may be missing on the machine. The
// same tags stop the move to the road test.
func (a *App) LeftOver(ctx context.Context, who auth.Principal, id shop.JobID) (open []shop.Tag, err error) {
	err = a.Store.Read(ctx, who.ShopID, func(tx Tx) error {
		if _, err := load[shop.Job](tx, string(id)); err != nil {
			return err
		}
		open, err = leftOver(tx, id)
		return err
	})
	return open, err
}

func leftOver(tx Tx, id shop.JobID) ([]shop.Tag, error) {
	tags, err := every[shop.Tag](tx, By{"job_id": id})
	if err != nil {
		return nil, err
	}
	open := slices.DeleteFunc(unstruck(tags), func(t shop.Tag) bool { return t.Outcome != shop.TagOutcomeUnset })
	slices.SortFunc(open, func(x, y shop.Tag) int { return cmp.Compare(x.Number, y.Number) })
	return open, nil
}

// TagsLying lists a page of what lies in the shop, by place, for tidying up:
// the tags of every job without an outcome and, if alsoKept, those kept here
// or left off on purpose as well.
func (a *App) TagsLying(ctx context.Context, who auth.Principal, alsoKept bool, page Page) (out []TagSeen, err error) {
	page.Limit = pageLimit(page)
	err = a.Store.Read(ctx, who.ShopID, func(tx Tx) error {
		tags, err := tx.TagsLying(alsoKept, page)
		if err != nil {
			return err
		}
		out, err = seenTags(tx, who, tags)
		return err
	})
	return out, err
}

// Key is the tag's id, after which the next page starts.
func (s TagSeen) Key() string { return string(s.Tag.ID) }

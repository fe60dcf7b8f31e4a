package store

import (
	"benchtag/internal/app"
	"benchtag/internal/fault"
	"benchtag/internal/shop"
)

// TagBlockBefore gives the last block that starts at a number or before it.
func (t *tx) TagBlockBefore(number int64) (shop.TagBlock, error) {
	var block shop.TagBlock
	found, err := ids(t.db, stmtTagBlock, string(t.shop), number)
	if err != nil {
		return block, err
	}
	if len(found) == 0 {
		return block, fault.Missing("tag block")
	}
	err = t.Load(&block, found[0])
	return block, err
}

// TagsLying lists tags by where they lie.
func (t *tx) TagsLying(alsoKept bool, page app.Page) ([]shop.Tag, error) {
	if page.After != "" && !IsID(page.After) {
		return nil, fault.New(fault.Shape, "store.cursor_unreadable", "The cursor is not one of ours; start from the first page.")
	}
	kept := 0
	if alsoKept {
		kept = 1
	}
	order, err := ids(t.db, stmtTagsLying, string(t.shop), kept, page.After, page.After, page.Limit)
	if err != nil {
		return nil, err
	}
	tags, err := all[shop.Tag](t, "id", order)
	if err != nil {
		return nil, err
	}
	of := byID(tags, func(g shop.Tag) string { return string(g.ID) })
	list := make([]shop.Tag, len(order))
	for i, id := range order {
		list[i] = of[id]
	}
	return list, nil
}

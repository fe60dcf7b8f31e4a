package app_test

import (
	"errors"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"benchtag/internal/app"
	"benchtag/internal/auth"
	"benchtag/internal/fault"
	"benchtag/internal/shop"
)

// tagBag fills a bag with a label of that code; "" is none.
func tagBag(code string) func(*shop.Tag) {
	return func(t *shop.Tag) {
		if code != "" {
			t.Code = code
		}
		t.Kind, t.Holds, t.LiesAt = shop.TagKindParts, "two valve springs", "tray B"
	}
}

// block takes a run of codes and fails if it cannot be had.
func (h *recShop) block(who auth.Principal, want app.NewTagBlock) app.TagBlockWhole {
	h.t.Helper()
	b, err := h.AddTagBlock(h.t.Context(), who, want)
	if err != nil {
		h.t.Fatal(err)
	}
	return b
}

func (h *recShop) roll(size int64) []shop.TagCode {
	h.t.Helper()
	return h.block(h.tech, app.NewTagBlock{Purpose: shop.TagPurposeRoll, Size: size}).Codes
}

// tablet enrols a tablet and gives who at it.
func (h *recShop) tablet(name string, who auth.Principal) auth.Principal {
	h.t.Helper()
	at := h.clock.Now()
	on := shop.Tablet{ID: shop.TabletID(h.src.ID()), Name: name, EnrolledAt: &at}
	h.insert(&on)
	who.TabletID = on.ID
	return who
}

// A code printed ahead is bound by typing or scanning it, once, and the
// server's own run goes on beside it without giving any of them.
func TestTagCodePrintedAhead(t *testing.T) {
	t.Parallel()
	onBothDatabases(t, func(t *testing.T, h *recShop) {
		codes := h.roll(3)
		mark := shop.TagMarkOf(recShopID)
		typed := recMust(h, h.tech, h.PutTag, tagBag(strings.ToLower(string(codes[0][:2])+" "+string(codes[0][2:]))))
		scanned := recMust(h, h.tech, h.PutTag, tagBag(shop.LabelText("https://shop.example", mark, codes[1])))
		own := recMust(h, h.tech, h.PutTag, tagBag(""))
		if typed.Code != string(codes[0]) || scanned.Code != string(codes[1]) || slices.Contains(codes, shop.TagCode(own.Code)) {
			t.Errorf("codes %q, %q and own %q of the roll %v", typed.Code, scanned.Code, own.Code, codes)
		}
		if typed.Number != 1 || scanned.Number != 2 || own.Number != 3 {
			t.Errorf("numbers %d, %d, %d", typed.Number, scanned.Number, own.Number)
		}
		whole, err := h.TagBlock(t.Context(), h.owner, h.blockIDs()[0])
		if err != nil {
			t.Fatal(err)
		}
		if diff := cmp.Diff([]shop.TagCode{codes[0], codes[1]}, whole.Used); diff != "" {
			t.Errorf("used (-want +got):\n%s", diff)
		}
	})
}

func (h *recShop) blockIDs() []shop.TagBlockID {
	h.t.Helper()
	rows, err := h.TagBlocks(h.t.Context(), h.owner, app.Page{Limit: 100})
	if err != nil {
		h.t.Fatal(err)
	}
	ids := make([]shop.TagBlockID, len(rows))
	for i, b := range rows {
		ids[i] = b.ID
	}
	return ids
}

// What cannot be bound is refused with words that help, and a code that was
// bound is never free again, even where its tag was struck.
func TestTagCodeRefused(t *testing.T) {
	t.Parallel()
	h := openRecShop(t)
	codes := h.roll(2)
	first := recMust(h, h.tech, h.PutTag, tagBag(string(codes[0])))
	own := recMust(h, h.tech, h.PutTag, tagBag(""))
	never, err := shop.NewTagCode(5000)
	if err != nil {
		t.Fatal(err)
	}
	for _, tt := range []struct {
		name, code, want string
		kind             fault.Kind
		says             []string
	}{
		{"mistyped", string(codes[1][:4]) + "?", "shop.tag_code_character", fault.Meaning, nil},
		{"swapped", string([]byte{codes[1][0], codes[1][1], codes[1][3], codes[1][2], codes[1][4]}), "shop.tag_code_check", fault.Meaning, nil},
		{"another shop's label", "https://shop.example/t/2222-" + string(codes[1]), "shop.tag_label_foreign", fault.Meaning, nil},
		{"never printed", string(never), "app.tag_code_unprinted", fault.Meaning, []string{"without a code"}},
		{"on another bag", string(codes[0]), "app.tag_code_taken", fault.Conflict, []string{"tag 1 of work order 1", "Example One", "two valve springs"}},
		{"one of the server's own", own.Code, "app.tag_code_taken", fault.Conflict, []string{"tag 2 of work order 1"}},
	} {
		_, err := recNew(h, h.tech, h.PutTag, tagBag(tt.code))
		recRefused(t, err, tt.kind, tt.want, "/code")
		for _, word := range tt.says {
			if !strings.Contains(err.Error(), word) {
				t.Errorf("%s: %q does not say %q", tt.name, err, word)
			}
		}
	}
	if _, err := h.StrikeTag(t.Context(), h.tech, recAt(first), "wrong job"); err != nil {
		t.Fatal(err)
	}
	_, err = recNew(h, h.tech, h.PutTag, tagBag(string(codes[0])))
	recRefused(t, err, fault.Conflict, "app.tag_code_taken")
	if !strings.Contains(err.Error(), "struck") {
		t.Errorf("%q does not say that the tag was struck", err)
	}
	if third := recMust(h, h.tech, h.PutTag, tagBag(string(codes[1]))); third.Number != 3 {
		t.Errorf("the refused ones used up numbers: %d", third.Number)
	}
}

// A tag keeps its code; the same code again, however spelled, is no change.
func TestTagCodeFixed(t *testing.T) {
	t.Parallel()
	h := openRecShop(t)
	codes := h.roll(2)
	tag := recMust(h, h.tech, h.PutTag, tagBag(string(codes[0])))
	moved, err := recEdit(h, h.tech, h.PutTag, tag, func(n *shop.Tag) { n.LiesAt, n.Code = "shelf 4", strings.ToLower(n.Code) })
	if err != nil || moved.Code != string(codes[0]) || moved.LiesAt != "shelf 4" {
		t.Errorf("%+v, %v", moved, err)
	}
	_, err = recEdit(h, h.tech, h.PutTag, moved, func(n *shop.Tag) { n.Code = string(codes[1]) })
	recRefused(t, err, fault.Meaning, "app.tag_code_fixed", "/code")
}

// A tablet gives its leased codes out, nobody else does while it is in use,
// and a tablet out of use holds nobody up.
func TestTagCodeLeased(t *testing.T) {
	t.Parallel()
	h := openRecShop(t)
	bench := h.tablet("Bench 1", h.tech)
	codes := h.block(bench, app.NewTagBlock{Purpose: shop.TagPurposeTablet, Size: 3}).Codes
	if tag := recMust(h, bench, h.PutTag, tagBag(string(codes[0]))); tag.Code != string(codes[0]) {
		t.Errorf("the tablet's own code gave %q", tag.Code)
	}
	for name, who := range map[string]auth.Principal{"no tablet": h.tech, "another tablet": h.tablet("Bench 2", h.second)} {
		_, err := recNew(h, who, h.PutTag, tagBag(string(codes[1])))
		recRefused(t, err, fault.Conflict, "app.tag_code_leased", "/code")
		if !strings.Contains(err.Error(), "Bench 1") {
			t.Errorf("%s: %q names no tablet", name, err)
		}
	}
	if _, err := h.RevokeTablet(t.Context(), h.owner, bench.TabletID); err != nil {
		t.Fatal(err)
	}
	if tag := recMust(h, h.tech, h.PutTag, tagBag(string(codes[1]))); tag.Code != string(codes[1]) {
		t.Errorf("after the tablet's end: %q", tag.Code)
	}
	for _, tt := range []struct {
		who  auth.Principal
		want app.NewTagBlock
		code string
	}{
		{h.tech, app.NewTagBlock{Purpose: shop.TagPurposeTablet, Size: 1}, "app.tag_block_tablet"},
		{h.tech, app.NewTagBlock{Purpose: shop.TagPurposeTablet, Size: 1, TabletID: bench.TabletID}, "app.tag_block_tablet"},
		{h.tech, app.NewTagBlock{Purpose: shop.TagPurposeRoll, Size: 1, TabletID: bench.TabletID}, "app.tag_block_tablet"},
		{h.tech, app.NewTagBlock{Purpose: shop.TagPurposeRoll, Size: 0}, "app.tag_block_size"},
		{h.tech, app.NewTagBlock{Purpose: shop.TagPurposeRoll, Size: shop.MaxTagBlock + 1}, "app.tag_block_size"},
	} {
		_, err := h.AddTagBlock(t.Context(), tt.who, tt.want)
		recRefused(t, err, fault.Meaning, tt.code)
	}
}

// A tag that comes late is stored whatever its label says: under its own code
// where that is free, else under a fresh one with the label's words kept, so
// that whoever finds the bag is led to both.
func TestTagLateIsNeverLost(t *testing.T) {
	t.Parallel()
	h := openRecShop(t)
	codes := h.roll(2)
	before := h.clock.Now()
	h.clock.Advance(time.Hour)
	h.stage(shop.StageRepair)
	first := recMust(h, h.tech, h.PutTag, tagBag(string(codes[0])))
	late := func(code string) shop.Tag {
		return recMust(h, h.second, h.PutTag, func(n *shop.Tag) {
			tagBag(code)(n)
			n.CapturedAt = &before
		})
	}
	free := late(string(codes[1]))
	if !free.Late || free.Code != string(codes[1]) || free.LabelCode != "" {
		t.Errorf("late with a free code: %+v", free)
	}
	doubled := late("https://shop.example/t/" + string(shop.TagMarkOf(recShopID)) + "-" + string(codes[0]))
	if doubled.Code == first.Code || doubled.LabelCode != first.Code {
		t.Errorf("late with a code that is taken: code %q, label %q", doubled.Code, doubled.LabelCode)
	}
	if scrawl := late("smudged"); scrawl.Code == "" || scrawl.LabelCode != "smudged" {
		t.Errorf("late with a label nobody can read: code %q, label %q", scrawl.Code, scrawl.LabelCode)
	}
	found, err := h.FindTag(t.Context(), h.tech, string(codes[0]))
	if err != nil {
		t.Fatal(err)
	}
	if found.Seen == nil || found.Seen.Tag.ID != first.ID || len(found.Also) != 1 || found.Also[0].Tag.ID != doubled.ID {
		t.Errorf("the label leads to %+v", found)
	}
	if !strings.Contains(found.Words, "carries this label too") {
		t.Errorf("%q does not warn of the other bag", found.Words)
	}
	h.stage(shop.StageClosed)
	if after := late(""); !after.Late {
		t.Errorf("after the end of the job: %+v", after)
	}
}

// Whoever takes codes at the same moment, no code is given twice: not by two
// blocks, nor by a block and the server's own run.
func TestTagBlocksNeverOverlap(t *testing.T) {
	t.Parallel()
	onBothDatabases(t, func(t *testing.T, h *recShop) {
		var mu sync.Mutex
		given := map[shop.TagCode]int{}
		note := func(codes ...shop.TagCode) {
			mu.Lock()
			defer mu.Unlock()
			for _, c := range codes {
				given[c]++
			}
		}
		var wait sync.WaitGroup
		for i := range 6 {
			wait.Go(func() {
				for range 3 {
					b, err := h.AddTagBlock(t.Context(), h.tech, app.NewTagBlock{Purpose: shop.TagPurposeSheet, Size: int64(7 + i)})
					if err != nil {
						t.Error(err)
						return
					}
					note(b.Codes...)
				}
			})
			wait.Go(func() {
				tag, _, err := h.PutTag(t.Context(), h.tech, app.Put{JobID: h.job, ID: h.src.ID(), Create: true, Digest: "d"}, tagBag(""))
				if err != nil {
					t.Error(err)
					return
				}
				note(shop.TagCode(tag.Code))
			})
		}
		wait.Wait()
		want := 0
		for i := range 6 {
			want += 3*(7+i) + 1
		}
		if len(given) != want {
			t.Errorf("%d codes were given, want %d different ones", len(given), want)
		}
	})
}

// Two people at two machines put the same label on two bags at once: one has
// it, the other is told where it is.
func TestTagCodeBoundOnce(t *testing.T) {
	t.Parallel()
	onBothDatabases(t, func(t *testing.T, h *recShop) {
		for round, code := range h.roll(8) {
			errs := make([]error, 2)
			var ready, wait sync.WaitGroup
			ready.Add(2)
			for i, job := range []shop.JobID{h.job, h.foreignJob} {
				wait.Go(func() {
					ready.Done()
					ready.Wait()
					_, _, errs[i] = h.PutTag(t.Context(), h.tech, app.Put{JobID: job, ID: h.src.ID(), Create: true, Digest: "d"}, tagBag(string(code)))
				})
			}
			wait.Wait()
			lost := slices.DeleteFunc(errs, func(err error) bool { return err == nil })
			var f *fault.Error
			if len(lost) != 1 || !errors.As(lost[0], &f) || f.Code != "app.tag_code_taken" {
				t.Fatalf("round %d: %v", round, lost)
			}
		}
	})
}

// The last codes are given out, and then the words say so; nothing is used up
// by asking for more than there are.
func TestTagCodesUsedUp(t *testing.T) {
	t.Parallel()
	onBothDatabases(t, func(t *testing.T, h *recShop) {
		h.write(func(tx app.Tx) error {
			_, err := tx.Numbers("tag", int64(shop.TagCodes)-4)
			return err
		})
		_, err := h.AddTagBlock(t.Context(), h.tech, app.NewTagBlock{Purpose: shop.TagPurposeRoll, Size: 4})
		recRefused(t, err, fault.Conflict, "shop.tag_code_used_up")
		last := h.roll(3)
		if last[2] != "YYYYG" {
			t.Errorf("the last codes are %v", last)
		}
		_, err = recNew(h, h.tech, h.PutTag, tagBag(""))
		recRefused(t, err, fault.Conflict, "shop.tag_code_used_up")
		if tag := recMust(h, h.tech, h.PutTag, tagBag(string(last[2]))); tag.Code != "YYYYG" {
			t.Errorf("the last code gave %q", tag.Code)
		}
	})
}

// A bag found on the bench says which machine it belongs to, where it should
// lie and how the machine stands.
func TestFindTag(t *testing.T) {
	t.Parallel()
	h := openRecShop(t)
	codes := h.roll(2)
	recSet(h, recRow[shop.WorkOrder](h, h.order).MachineID, func(m *shop.Machine) {
		year := int64(2014)
		m.Year, m.VIN = &year, "ZZZEXAMPLE0123456"
	})
	recSet(h, h.job, func(j *shop.Job) { j.Stage, j.OpenedUp = shop.StageTeardown, true })
	recMust(h, h.tech, h.PutHandOverNote, func(n *shop.HandOverNote) {
		n.MachineState, n.DoNotStart, n.Words = "no oil", true, "rags in the tunnel"
	})
	tag := recMust(h, h.tech, h.PutTag, tagBag(string(codes[0])))
	unused, err := h.FindTag(t.Context(), h.tech, string(codes[1]))
	if err != nil || unused.Seen != nil || unused.Block == nil || unused.Words != "This label is not on anything yet." {
		t.Errorf("unused: %+v, %v", unused, err)
	}
	find := func() app.LabelFound {
		t.Helper()
		found, err := h.FindTag(t.Context(), h.tech, shop.LabelText("https://shop.example", shop.TagMarkOf(recShopID), codes[0]))
		if err != nil || found.Seen == nil {
			t.Fatalf("%+v, %v", found, err)
		}
		return found
	}
	found := find()
	want := "Tag 1 of work order 1, Example One 2014 …123456: two valve springs. It belongs at: tray B; what became of it is still open. The machine: no oil, do not start."
	if diff := cmp.Diff(want, found.Words); diff != "" {
		t.Error(diff)
	}
	if found.Seen.Job.ID != h.job || found.Seen.Customer != "Invented Person" || found.Seen.MachineState != "no oil, do not start" {
		t.Errorf("%+v", found.Seen)
	}
	recEdit(h, h.tech, h.PutTag, tag, func(n *shop.Tag) { n.Outcome = shop.TagOutcomeRefitted })
	if words := find().Words; !strings.Contains(words, "recorded as back on the machine") {
		t.Errorf("after it was refitted: %q", words)
	}
	for label, code := range map[string]string{"22AAA": "shop.tag_code_check", "2223": "shop.tag_code_length", "73S5E": "app.tag_code_unknown"} {
		_, err := h.FindTag(t.Context(), h.tech, label)
		recRefused(t, err, fault.NotFound, code)
	}
	hits, err := h.Search(t.Context(), h.tech, strings.ToLower(string(codes[0])), "")
	if err != nil || len(hits) != 1 || hits[0].WorkOrderID != h.order {
		t.Errorf("the search for the label gives %+v, %v", hits, err)
	}
	if hits, err := h.Search(t.Context(), h.tech, string(codes[0]), shop.StageClosed); err != nil || len(hits) != 0 {
		t.Errorf("in another stage: %+v, %v", hits, err)
	}
}

// Left-over parts of a job are its tags without an outcome; what lies in the
// shop is listed by place over all jobs, a page at a time.
func TestLeftOverAndLying(t *testing.T) {
	t.Parallel()
	onBothDatabases(t, func(t *testing.T, h *recShop) {
		bag := func(job shop.JobID, place string, outcome shop.TagOutcome) shop.Tag {
			tag, _, err := h.PutTag(t.Context(), h.tech, app.Put{JobID: job, ID: h.src.ID(), Create: true, Digest: "d"}, func(n *shop.Tag) {
				tagBag("")(n)
				n.LiesAt, n.Outcome = place, outcome
			})
			if err != nil {
				t.Fatal(err)
			}
			return tag
		}
		c, a := bag(h.job, "c", shop.TagOutcomeUnset), bag(h.job, "a", shop.TagOutcomeUnset)
		bag(h.job, "b", shop.TagOutcomeRefitted)
		off := bag(h.job, "b", shop.TagOutcomeOffOnPurpose)
		b := bag(h.foreignJob, "b", shop.TagOutcomeUnset)
		gone := bag(h.job, "a", shop.TagOutcomeUnset)
		if _, err := h.StrikeTag(t.Context(), h.tech, recAt(gone), "made twice"); err != nil {
			t.Fatal(err)
		}
		left, err := h.LeftOver(t.Context(), h.tech, h.job)
		if err != nil {
			t.Fatal(err)
		}
		if diff := cmp.Diff([]shop.TagID{c.ID, a.ID}, []shop.TagID{left[0].ID, left[1].ID}); diff != "" || len(left) != 2 {
			t.Errorf("%d left over: %s", len(left), diff)
		}
		for kept, want := range map[bool][]shop.TagID{false: {a.ID, b.ID, c.ID}, true: {a.ID, off.ID, b.ID, c.ID}} {
			var got []shop.TagID
			for after := ""; ; {
				seen, err := h.TagsLying(t.Context(), h.tech, kept, app.Page{After: after, Limit: 2})
				if err != nil {
					t.Fatal(err)
				}
				for _, s := range seen {
					got = append(got, s.Tag.ID)
				}
				if len(seen) < 2 {
					break
				}
				after = seen[1].Key()
			}
			if diff := cmp.Diff(want, got); diff != "" {
				t.Errorf("lying, with those kept %v (-want +got):\n%s", kept, diff)
			}
		}
		_, err = h.LeftOver(t.Context(), h.tech, "01995000-0000-7000-8000-00000000ffff")
		recRefused(t, err, fault.NotFound, "shop.not_found")
	})
}

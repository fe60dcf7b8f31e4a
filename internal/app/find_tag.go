package app

import (
	"context"
	"errors"
	"fmt"
	"strings"

	"benchtag/internal/auth"
	"benchtag/internal/fault"
	"benchtag/internal/shop"
)

// TagSeen is a tag with what somebody who holds the bag wants to know.
type TagSeen struct {
	Tag          shop.Tag
	Order        shop.WorkOrder
	Job          shop.Job
	Machine      shop.Machine
	Customer     string // name, as far as the caller may know it
	MachineState string // how the open machine stands, or ""
}

// LabelFound is what a label leads to.
type LabelFound struct {
	Code shop.TagCode
	// Words says it in one sentence or two, for a screen or a voice.
	Words string
	// Seen is the tag of that code; nil where the code is still unused.
	Seen *TagSeen
	// Block is the run the code was given out with; nil for the server's own.
	Block *shop.TagBlock
	// Also are tags that came late, whose bags carry a label of this code as
	// well: look at what is inside.
	Also []TagSeen
}

// FindTag tells what a label leads to, by its code as typed or by what a
// scanner read. A code that cannot be read, or that was never given out, is
// NotFound, with the words that say why.
func (a *App) FindTag(ctx context.Context, who auth.Principal, label string) (out LabelFound, err error) {
	code, err := shop.ParseLabelText(label, shop.TagMarkOf(who.ShopID))
	if err != nil {
		return out, notFound(err)
	}
	err = a.Store.Read(ctx, who.ShopID, func(tx Tx) error {
		out = LabelFound{Code: code}
		return out.look(tx, who)
	})
	return out, err
}

// notFound makes a fault one of not finding; code and words stay.
func notFound(err error) error {
	var f *fault.Error
	if !errors.As(err, &f) {
		return err
	}
	missing := *f
	missing.Kind = fault.NotFound
	return &missing
}

func (l *LabelFound) look(tx Tx, who auth.Principal) error {
	tags, err := list[shop.Tag](tx, By{"code": string(l.Code)})
	if err != nil {
		return err
	}
	late, err := list[shop.Tag](tx, By{"label_code": string(l.Code)})
	if err != nil {
		return err
	}
	block, err := blockOf(tx, l.Code)
	if err != nil && !fault.Is(err, fault.NotFound) {
		return err
	}
	if err == nil {
		l.Block = &block
	}
	if len(tags)+len(late) == 0 && l.Block == nil {
		return fault.New(fault.NotFound, "app.tag_code_unknown", "No label with this code was ever printed or given out here. Read it again.")
	}
	seen, err := seenTags(tx, who, append(tags, late...))
	if err != nil {
		return err
	}
	if len(tags) > 0 {
		l.Seen, seen = &seen[0], seen[1:]
	}
	l.Also = seen
	l.Words = l.words()
	return nil
}

func (l *LabelFound) words() string {
	said := []string{}
	if l.Seen != nil {
		said = append(said, l.Seen.words())
	} else {
		said = append(said, "This label is not on anything yet.")
	}
	for _, s := range l.Also {
		said = append(said, "A bag recorded late carries this label too; look at what is inside. "+s.words())
	}
	return strings.Join(said, " ")
}

// words says what a tag is, whose, and where it should be.
func (s TagSeen) words() string {
	said := fmt.Sprintf("Tag %d of work order %d, %s: %s.", s.Tag.Number, s.Order.Number, s.MachineWords(), strings.TrimRight(s.Tag.Holds, ". "))
	if s.Tag.FromWhere != "" {
		said += " It came off: " + strings.TrimRight(s.Tag.FromWhere, ". ") + "."
	}
	switch {
	case s.Tag.IsStruck():
		said += " It was struck: " + strings.TrimRight(s.Tag.StruckReason, ". ") + "."
	case s.Tag.Outcome != shop.TagOutcomeUnset:
		said += " It was recorded as " + outcomeWords(s.Tag.Outcome) + "."
	case s.Tag.LiesAt != "":
		said += " It belongs at: " + strings.TrimRight(s.Tag.LiesAt, ". ") + "; what became of it is still open."
	default:
		said += " Nobody wrote where it lies; what became of it is still open."
	}
	if s.MachineState != "" {
		said += " The machine: " + s.MachineState + "."
	}
	return said
}

// outcomeWords says what became of a tag as people say it.
func outcomeWords(o shop.TagOutcome) string {
	switch o {
	case shop.TagOutcomeRefitted:
		return "back on the machine"
	case shop.TagOutcomeReplaced:
		return "replaced by a new part"
	case shop.TagOutcomeReturned:
		return "given to the customer"
	case shop.TagOutcomeKept:
		return "kept here"
	case shop.TagOutcomeScrapped:
		return "scrapped"
	case shop.TagOutcomeOffOnPurpose:
		return "left off on purpose"
	case shop.TagOutcomeWithMachine:
		return "gone with the machine, not fitted"
	}
	return "open"
}

// MachineWords says which machine: make, model, year and the plate, or the
// last six of what identifies it.
func (s TagSeen) MachineWords() string { return machineLong(s.Machine) }

// vinTail is how much of a VIN or frame number people compare by eye.
const vinTail = 6

func machineLong(m shop.Machine) string {
	parts := []string{m.Make, m.Model}
	if m.Year != nil {
		parts = append(parts, fmt.Sprint(*m.Year))
	}
	switch number := m.VIN + m.FrameNumber; {
	case m.Plate != "":
		parts = append(parts, m.Plate)
	case number != "":
		parts = append(parts, "…"+number[max(0, len(number)-vinTail):])
	}
	return strings.Join(parts, " ")
}

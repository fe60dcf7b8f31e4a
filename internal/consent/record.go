package consent

import "slices"

// Term is a statement a teardown offer must carry.
type Term string

// The terms, found in the California rule in force since 1 July 2025; every
// other rule read asks for some of them.
const (
	TermTeardownCost  Term = "teardown_cost"             // taking down and finding out
	TermArea          Term = "area_or_component"         // what is taken down
	TermReassembly    Term = "reassembly_cost"           // putting it together again
	TermDestroyed     Term = "parts_and_labor_destroyed" // gaskets, seals, O-rings and the work they cost
	TermMaxTime       Term = "max_reassembly_time"       // the shop's own promise; no law fixes a number
	TermMayNotRestore Term = "may_prevent_restoration"   // whether it may be impossible to restore
)

// Terms lists every term, in the order an offer states them.
func Terms() []Term {
	return []Term{TermTeardownCost, TermArea, TermReassembly, TermDestroyed, TermMaxTime, TermMayNotRestore}
}

// TeardownTerms says which statements a teardown offer must carry under the
// rule. Where none were found in its sources the whole list applies.
func TeardownTerms(r Rule) []Term {
	if r.Teardown == nil || len(r.Teardown.MustState) == 0 {
		return Terms()
	}
	return slices.Clone(r.Teardown.MustState)
}

// MissingTerms lists what an offer that states the given terms still lacks,
// in the order of [TeardownTerms].
func MissingTerms(r Rule, given []Term) []Term { return missing(TeardownTerms(r), given) }

// RecordField is one thing a record of consent must hold.
type RecordField string

// The fields: the union of all that was found.
const (
	FieldGivenAt      RecordField = "given_at"      // date and time with its zone
	FieldChannel      RecordField = "channel"       // in person, phone, SMS, email, other
	FieldContact      RecordField = "contact"       // the number or address; "in person" where neither
	FieldPerson       RecordField = "person"        // who gave it
	FieldRole         RecordField = "role"          // customer or the person they named
	FieldReceivedBy   RecordField = "received_by"   // the member of staff
	FieldAddedWork    RecordField = "added_work"    // added work and parts, described
	FieldAddedAmount  RecordField = "added_amount"  // what they add
	FieldRevisedTotal RecordField = "revised_total" // the new total
	FieldTaxBase      RecordField = "tax_base"      // whether that total includes tax
	FieldRevisedDate  RecordField = "revised_date"  // the new date, or that it stands
)

// RecordFieldsAll lists every field; it is the strict list.
func RecordFieldsAll() []RecordField {
	return []RecordField{
		FieldGivenAt, FieldChannel, FieldContact, FieldPerson, FieldRole, FieldReceivedBy,
		FieldAddedWork, FieldAddedAmount, FieldRevisedTotal, FieldTaxBase, FieldRevisedDate,
	}
}

// recordFloor is what every record of a spoken consent holds here, whatever
// the rule: without these it proves nothing later. The program's own
// minimum; they are the fields found in more than one source (16 CCR
// 3356(d)-(e), C.R.S. 42-9-105 and others).
func recordFloor() []RecordField {
	return []RecordField{FieldGivenAt, FieldContact, FieldPerson, FieldReceivedBy, FieldAddedWork, FieldRevisedTotal}
}

// RecordFields says which fields the record of a spoken consent must carry
// under the rule: those found in its sources and the program's own minimum.
// Where none were found the whole list applies.
func RecordFields(r Rule) []RecordField {
	if len(r.ConsentRecord) == 0 {
		return RecordFieldsAll()
	}
	want := slices.Concat(r.ConsentRecord, recordFloor())
	return slices.DeleteFunc(RecordFieldsAll(), func(f RecordField) bool { return !slices.Contains(want, f) })
}

// MissingRecord lists what a record that holds the given fields still lacks,
// in the order of [RecordFields].
func MissingRecord(r Rule, given []RecordField) []RecordField {
	return missing(RecordFields(r), given)
}

// missing lists the wanted that are not given, in the order wanted.
func missing[T comparable](want, given []T) []T {
	return slices.DeleteFunc(slices.Clone(want), func(v T) bool { return slices.Contains(given, v) })
}

// Given is how something was said to the shop.
type Given string

// The ways.
const (
	GivenSpoken     Given = "spoken"
	GivenElectronic Given = "electronic" // message, link or mail that stays
	GivenWritten    Given = "written"    // on paper, signed
	GivenByHand     Given = "by_hand"    // written out and signed by the customer
)

// Givens lists every way.
func Givens() []Given { return []Given{GivenSpoken, GivenElectronic, GivenWritten, GivenByHand} }

// onPaper reports whether it was signed on paper.
func (g Given) onPaper() bool { return g == GivenWritten || g == GivenByHand }

// DropOff is a customer's "yes, up to this much" given before anything is known.
type DropOff struct {
	Given  Given         `json:"given"`            // how it was said
	Fields []RecordField `json:"fields,omitempty"` // what the record of it holds
}

// LimitAtDropOff reports whether a maximum named at drop-off counts as
// consent up to that amount, and why. A maximum that counts goes into
// [Change.Limit]; there it beats every tolerance, at one cent.
//
// The reading, where the text leaves room: the rules of some jurisdictions
// know such a maximum in any form, some only on a signed paper. Elsewhere
// the text is silent and it counts only when written or electronic, or
// spoken with the whole record the strict profile asks for. Under
// California's rule and under STRICT it must also name the work it is for,
// since consent there describes the added work. A maximum that does not
// count is still a ceiling the shop should respect; it is only no licence to
// pass the estimate.
func LimitAtDropOff(r Rule, d DropOff) (bool, string) {
	if !among(d.Given, Givens()) {
		return false, "It is not on record how the customer said it; ask again and record the answer."
	}
	if r.Limit == LimitWorkDescribed && !slices.Contains(d.Fields, FieldAddedWork) {
		return false, "The maximum does not say for which work; under this rule consent describes the work and its price."
	}
	switch {
	case r.Limit == LimitNamedInWriting && !d.Given.onPaper():
		return false, "This rule knows a customer's maximum only on a signed paper; have it signed or ask again when the price is known."
	case d.Given != GivenSpoken:
		return true, "The customer's maximum is on record; the bill may not pass it by one cent."
	}
	asked := RecordFields(r)
	if r.Limit != LimitNamed {
		asked = RecordFieldsAll()
	}
	if lacks := missing(asked, d.Fields); len(lacks) > 0 {
		return false, "The maximum was spoken and its record lacks: " + list(lacks) + "."
	}
	return true, "The customer's spoken maximum is on full record; the bill may not pass it by one cent."
}

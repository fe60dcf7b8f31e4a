package consent_test

import (
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"benchtag/internal/consent"
)

func TestTeardownTerms(t *testing.T) {
	t.Parallel()
	for _, tc := range []struct {
		id   string
		want []consent.Term
	}{
		{"", consent.Terms()},
		{"US-CA", consent.Terms()},
		{"US-TX", consent.Terms()}, // nothing found: the whole list
		{"US-OR", consent.Terms()}, // a separate authorization, contents not found
		{"US-FL", []consent.Term{consent.TermTeardownCost, consent.TermReassembly, consent.TermDestroyed}},
		{"US-MI", []consent.Term{consent.TermTeardownCost, consent.TermReassembly}},
		{"US-OH", []consent.Term{consent.TermTeardownCost}},
		{"CA-QC", []consent.Term{consent.TermReassembly, consent.TermDestroyed}},
		{"ZA", []consent.Term{consent.TermTeardownCost, consent.TermReassembly, consent.TermDestroyed}},
	} {
		if diff := cmp.Diff(tc.want, consent.TeardownTerms(find(t, tc.id))); diff != "" {
			t.Errorf("%q: -want +got\n%s", tc.id, diff)
		}
	}
}

func TestMissingTerms(t *testing.T) {
	t.Parallel()
	given := []consent.Term{consent.TermMaxTime, consent.TermReassembly, consent.TermTeardownCost}
	want := []consent.Term{consent.TermArea, consent.TermDestroyed, consent.TermMayNotRestore}
	if diff := cmp.Diff(want, consent.MissingTerms(consent.Strict(), given)); diff != "" {
		t.Errorf("-want +got\n%s", diff)
	}
	if left := consent.MissingTerms(consent.Strict(), consent.Terms()); len(left) != 0 {
		t.Errorf("all are given, yet %v is missing", left)
	}
}

func TestRecordFields(t *testing.T) {
	t.Parallel()
	floor := []consent.RecordField{
		consent.FieldGivenAt, consent.FieldContact, consent.FieldPerson, consent.FieldReceivedBy,
		consent.FieldAddedWork, consent.FieldRevisedTotal,
	}
	colorado := []consent.RecordField{
		consent.FieldGivenAt, consent.FieldChannel, consent.FieldContact, consent.FieldPerson, consent.FieldReceivedBy,
		consent.FieldAddedWork, consent.FieldRevisedTotal, consent.FieldRevisedDate,
	}
	for _, tc := range []struct {
		id   string
		want []consent.RecordField
	}{
		{"", consent.RecordFieldsAll()},
		{"GB", consent.RecordFieldsAll()},
		{"US-FL", floor},
		{"US-CO", colorado},
	} {
		if diff := cmp.Diff(tc.want, consent.RecordFields(find(t, tc.id))); diff != "" {
			t.Errorf("%q: -want +got\n%s", tc.id, diff)
		}
	}
	missing := consent.MissingRecord(find(t, "US-CO"), floor)
	if diff := cmp.Diff([]consent.RecordField{consent.FieldChannel, consent.FieldRevisedDate}, missing); diff != "" {
		t.Errorf("-want +got\n%s", diff)
	}
}

// The strict lists hold everything any rule asks for, and no rule asks for
// less than the strict parts and papers.
func TestStrictListsHoldEveryRule(t *testing.T) {
	t.Parallel()
	for _, r := range jurisdictions(t) {
		if left := consent.MissingRecord(r, consent.RecordFields(consent.Strict())); len(left) > 0 {
			t.Errorf("%s asks for %v, STRICT does not", r.ID, left)
		}
		if left := consent.MissingTerms(r, consent.TeardownTerms(consent.Strict())); len(left) > 0 {
			t.Errorf("%s asks for %v, STRICT does not", r.ID, left)
		}
		if years := consent.RecordsYears(r); years < 1 || years > consent.RecordsYears(consent.Strict()) {
			t.Errorf("%s keeps papers %d years", r.ID, years)
		}
	}
}

func TestOldParts(t *testing.T) {
	t.Parallel()
	for _, tc := range []struct {
		id   string
		want consent.Return
		by   consent.RequestBy
	}{
		{"", consent.ReturnOffer, ""},
		{"GB", consent.ReturnOffer, ""},
		{"CA-AB", consent.ReturnOffer, ""},
		{"US-MI", consent.ReturnDefault, ""},
		{"US-MD", consent.ReturnDefault, ""},
		{"US-CA", consent.ReturnOnRequest, consent.ByAuthorization},
		{"US-RI", consent.ReturnOnRequest, consent.ByWrittenDemand},
	} {
		if p := consent.OldParts(find(t, tc.id)); p.Return != tc.want || p.RequestBy != tc.by {
			t.Errorf("%q: %+v, want %s by %q", tc.id, p, tc.want, tc.by)
		}
	}
	if p := consent.OldParts(find(t, "US-MN")); !p.ShowIfExcepted || p.ShowBusinessDays != 5 || !slices.Contains(p.Exceptions, consent.ExceptLegalHold) {
		t.Errorf("Minnesota: %+v", p)
	}
	p := consent.OldParts(find(t, "US-CA"))
	p.Exceptions[0] = "changed"
	if consent.OldParts(find(t, "US-CA")).Exceptions[0] == "changed" {
		t.Error("the answer shares its list with the data")
	}
}

func TestLimitAtDropOff(t *testing.T) {
	t.Parallel()
	all := consent.RecordFieldsAll()
	work := []consent.RecordField{consent.FieldAddedWork}
	without := func(f consent.RecordField) []consent.RecordField {
		return slices.DeleteFunc(consent.RecordFieldsAll(), func(x consent.RecordField) bool { return x == f })
	}
	for _, tc := range []struct {
		name, id string
		in       consent.DropOff
		want     bool
		says     string
	}{
		{"strict, written", "", consent.DropOff{Given: consent.GivenWritten, Fields: work}, true, "one cent"},
		{"strict, electronic", "", consent.DropOff{Given: consent.GivenElectronic, Fields: work}, true, "one cent"},
		{"strict, work not named", "", consent.DropOff{Given: consent.GivenWritten}, false, "which work"},
		{"strict, spoken in full", "", consent.DropOff{Given: consent.GivenSpoken, Fields: all}, true, "spoken"},
		{"strict, spoken, role lost", "", consent.DropOff{Given: consent.GivenSpoken, Fields: without(consent.FieldRole)}, false, "role"},
		{"strict, nobody knows how", "", consent.DropOff{Fields: all}, false, "not on record"},
		{"California, work not named", "US-CA", consent.DropOff{Given: consent.GivenSpoken, Fields: without(consent.FieldAddedWork)}, false, "which work"},
		{"silent, written", "US-NY", consent.DropOff{Given: consent.GivenWritten}, true, "one cent"},
		{"silent, spoken, thin", "US-NY", consent.DropOff{Given: consent.GivenSpoken, Fields: work}, false, "lacks"},
		{"Maine, message", "US-ME", consent.DropOff{Given: consent.GivenElectronic, Fields: all}, false, "signed paper"},
		{"Maine, by hand", "US-ME", consent.DropOff{Given: consent.GivenByHand}, true, "one cent"},
		{"Florida, role not asked", "US-FL", consent.DropOff{Given: consent.GivenSpoken, Fields: without(consent.FieldRole)}, true, "spoken"},
		{"Florida, nobody named", "US-FL", consent.DropOff{Given: consent.GivenSpoken, Fields: without(consent.FieldPerson)}, false, "person"},
	} {
		t.Run(tc.name, func(t *testing.T) {
			t.Parallel()
			got, why := consent.LimitAtDropOff(find(t, tc.id), tc.in)
			if got != tc.want || !strings.Contains(why, tc.says) {
				t.Errorf("got %v %q, want %v and %q", got, why, tc.want, tc.says)
			}
		})
	}
}

// Taking a field out of the record never makes a maximum count.
func TestLimitAtDropOffNeedsEvidence(t *testing.T) {
	t.Parallel()
	all := consent.RecordFieldsAll()
	for _, r := range jurisdictions(t) {
		for _, given := range consent.Givens() {
			for cut := range all {
				more, _ := consent.LimitAtDropOff(r, consent.DropOff{Given: given, Fields: all[:cut+1]})
				less, _ := consent.LimitAtDropOff(r, consent.DropOff{Given: given, Fields: all[:cut]})
				if less && !more {
					t.Errorf("%s, %s: without %s it counts", r.ID, given, all[cut])
				}
			}
		}
	}
}

package app_test

import (
	"testing"

	"benchtag/internal/app"
	"benchtag/internal/flow"
	"benchtag/internal/shop"
)

// covers checks one pair of word lists: every noun's word comes out as a
// word flow knows (the unset one as none), and every word of flow that is
// asked for is reached.
func covers[S, F ~string](t *testing.T, name string, from []S, to []F, of func(S) F, unreached ...F) {
	t.Helper()
	if len(from) == 0 || len(to) == 0 {
		t.Fatalf("%s: an empty list checks nothing", name)
	}
	known, reached := map[F]bool{}, map[F]bool{}
	for _, w := range to {
		known[w] = true
	}
	for _, w := range from {
		got := of(w)
		if (w == "") != (got == "") || got != "" && !known[got] {
			t.Errorf("%s: %q comes out as %q", name, w, got)
		}
		reached[got] = true
	}
	for _, w := range unreached {
		if reached[w] {
			t.Errorf("%s: %q is said to be out of reach and is not", name, w)
		}
		reached[w] = true
	}
	for _, w := range to {
		if !reached[w] {
			t.Errorf("%s: no word comes out as %q", name, w)
		}
	}
	if got := of("no such word"); got != "" && name != "stage" {
		t.Errorf("%s: an unknown word comes out as %q", name, got)
	}
}

func TestWordsOfNounsAndGates(t *testing.T) {
	t.Parallel()
	covers(t, "stage", shop.StageValues(), flow.Stages(), app.StageOf)
	covers(t, "answer", shop.AnswerValues(), flow.Answers(), app.AnswerOf)
	covers(t, "again", shop.AgainValues(), flow.Agains(), app.AgainOf, flow.AgainBetter)
	covers(t, "danger", shop.DangerOutcomeValues(), flow.Settlements(), app.SettlementOf)
	covers(t, "hold", shop.HoldReasonValues(), flow.HoldKinds(), app.HoldKindOf)
	covers(t, "run", shop.RunKindValues(), flow.RunKinds(), app.RunKindOf)
	covers(t, "outcome", shop.RideOutcomeValues(), flow.Outcomes(), app.OutcomeOf)
	covers(t, "machine state", shop.MachineStateValues(), flow.MachineStates(), app.MachineStateOf)
	covers(t, "not-run state", shop.NotRunStateValues(), flow.MachineStates(), app.NotRunStateOf)
	covers(t, "transport", shop.TransportValues(), flow.Transports(), app.TransportOf)
	covers(t, "line", shop.LineStateValues(), flow.LineStates(), app.LineStateOf)
}

func TestTagResult(t *testing.T) {
	t.Parallel()
	for _, o := range shop.TagOutcomeValues() {
		accounted, off := app.TagResult(o)
		wantOff := o == shop.TagOutcomeOffOnPurpose
		if off != wantOff || accounted != (o != "" && !wantOff) {
			t.Errorf("%q: accounted %v, off on purpose %v", o, accounted, off)
		}
	}
}

func TestOldPartsAsAgreed(t *testing.T) {
	t.Parallel()
	pairs := map[shop.OldParts]shop.OldPartsDone{
		shop.OldPartsReturn: shop.OldPartsDoneReturned, shop.OldPartsKeep: shop.OldPartsDoneKept,
		shop.OldPartsExchange: shop.OldPartsDoneExchanged, shop.OldPartsDispose: shop.OldPartsDoneDisposed,
	}
	for _, wish := range append(shop.OldPartsValues(), "") {
		if app.OldPartsAgreed(wish, "") {
			t.Errorf("%q: nothing said counts as agreed", wish)
		}
		for _, done := range shop.OldPartsDoneValues() {
			want := wish == "" || wish == shop.OldPartsNotSaid || done == shop.OldPartsDoneNoneReplaced || pairs[wish] == done
			if got := app.OldPartsAgreed(wish, done); got != want {
				t.Errorf("wanted %q, was %q: %v, want %v", wish, done, got, want)
			}
		}
	}
}

func TestPersonsBehindAccounts(t *testing.T) {
	t.Parallel()
	got := app.PersonsOf([]shop.Staff{
		{ID: "a"}, {ID: "b", SamePersonAsID: "a"}, {ID: "c", SamePersonAsID: "b"},
		{ID: "d", SamePersonAsID: "e"}, {ID: "e", SamePersonAsID: "d"}, {ID: "f"},
		{ID: "g", SamePersonAsID: "gone"}, {ID: "h", SamePersonAsID: "gone"},
	})
	for _, same := range [][2]shop.StaffID{{"a", "b"}, {"b", "c"}, {"d", "e"}, {"g", "h"}} {
		if got[same[0]] != got[same[1]] || got[same[0]] == "" {
			t.Errorf("%s and %s are one person: %q, %q", same[0], same[1], got[same[0]], got[same[1]])
		}
	}
	for _, other := range [][2]shop.StaffID{{"a", "d"}, {"a", "f"}, {"d", "f"}, {"f", "g"}} {
		if got[other[0]] == got[other[1]] {
			t.Errorf("%s and %s are two people", other[0], other[1])
		}
	}
}

func TestSheetFor(t *testing.T) {
	t.Parallel()
	n := func(i int64) *int64 { return &i }
	sheets := []shop.LimitSheet{
		{ID: "old", Revision: 1, YearTo: n(1999)}, {ID: "new", Revision: 1, YearFrom: n(2000)},
		{ID: "newer", Revision: 2, YearFrom: n(2000)}, {ID: "any", Revision: 1},
	}
	for i := range sheets {
		sheets[i].MapCode, sheets[i].Make, sheets[i].Model = "twin", "Varga", "Tourist 500"
	}
	foreign := shop.LimitSheet{ID: "foreign", MapCode: "twin", Revision: 9, Make: "Orrin", Model: "Marlin 650"}
	example := shop.LimitSheet{ID: "example", MapCode: "twin", Revision: 3, Example: true}
	tests := []struct {
		name   string
		year   *int64
		sheets []shop.LimitSheet
		want   shop.LimitSheetID
	}{
		{"newest edition of the years", n(2005), sheets[:3], "newer"},
		{"before", n(1990), sheets[:3], "old"},
		{"unknown year takes no sheet of certain years", nil, sheets, "any"},
		{"none fits", nil, sheets[:3], ""},
		{"none there", n(2005), nil, ""},
		{"another machine's", n(2005), []shop.LimitSheet{foreign}, ""},
		{"an example where nothing better is", n(2005), []shop.LimitSheet{foreign, example}, "example"},
		{"no example where something better is", n(2005), []shop.LimitSheet{example, sheets[3]}, "any"},
	}
	for _, tt := range tests {
		if got := app.SheetFor("twin", shop.Machine{Make: "Varga", Model: "Tourist 500", Year: tt.year}, tt.sheets); got != tt.want {
			t.Errorf("%s: %q, want %q", tt.name, got, tt.want)
		}
	}
}

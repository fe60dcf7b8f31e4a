package app_test

import (
	"bytes"
	"encoding/json"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"benchtag/internal/app"
	"benchtag/internal/fault"
	"benchtag/internal/money"
	"benchtag/internal/shop"
)

func (b *moneyBench) record(id shop.ConsentID) app.ConsentRecord {
	b.t.Helper()
	rec, err := b.app.ConsentRecord(b.ctx, b.who, id)
	if err != nil {
		b.t.Fatal(err)
	}
	return rec
}

// labour adds a line of an hour's labour.
func (b *moneyBench) labour(price money.Amount) shop.Line {
	b.t.Helper()
	l := b.part(b.job, price)
	l.Kind, l.Minutes, l.QuantityMilli, l.Description = shop.LineKindLabour, 60, 0, "Fit the gears"
	b.write(func(tx app.Tx) error { return tx.Advance(&l) })
	return l
}

// asked makes an offer of two ways: both lines, or the part alone.
func (b *moneyBench) asked() (shop.Offer, shop.Scope) {
	work, part := b.labour(9_000), b.part(b.job, 10_000)
	both := b.scope(shop.ScopeKindRepair, work, part)
	return b.offer(both, b.scope(shop.ScopeKindRepair, part)), both
}

// Every answer, by whichever way it came, holds every field that applies: a
// yes and a no, by link, on the phone, in the shop, by message, and a limit
// named at drop-off.
func TestEveryRecordIsWhole(t *testing.T) {
	t.Parallel()
	inShop := func(as shop.ShownAs) func(*shop.Consent) {
		return func(g *shop.Consent) {
			g.Method, g.ShownAs, g.SaidBack, g.ReadOutSHA256, g.ContactUsed = shop.ConsentMethodInPerson, as, "", "", ""
			g.ElectronicAgreed = as == shop.ShownAsScreen
			g.IP, g.UserAgent = "192.0.2.9", "the shop's tablet"
		}
	}
	no := func(g *shop.Consent) { g.Decision, g.ScopeID = shop.DecisionDeclined, "" }
	for name, change := range map[string][]func(*shop.Consent){
		"spoken": {}, "spoken no": {no},
		"on a screen": {inShop(shop.ShownAsScreen)}, "on paper": {inShop(shop.ShownAsPaper)}, "no on paper": {inShop(shop.ShownAsPaper), no},
		"message": {func(g *shop.Consent) {
			g.Method, g.ElectronicAgreed, g.ReadOutSHA256 = shop.ConsentMethodMessage, true, ""
		}},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			b := newMoneyBench(t, nil)
			o, sc := b.asked()
			in := b.spoken(o, sc)
			for _, c := range change {
				c(&in)
			}
			given, err := b.app.RecordConsent(b.ctx, b.who, b.job.ID, in)
			if err != nil {
				t.Fatal(err)
			}
			b.whole(given, o)
		})
	}
	for name, decline := range map[string]bool{"link": false, "link no": true} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			b := newMoneyBench(t, nil)
			o, sc := b.asked()
			in := yes(b.token(o), o, sc)
			if in.Decline = decline; decline {
				in.ScopeID = ""
			}
			view, err := b.app.LinkDecide(b.ctx, in)
			if err != nil {
				t.Fatal(err)
			}
			b.whole(b.record(view.Receipt.ConsentID).Consent, o)
		})
	}
	for _, method := range []shop.ConsentMethod{shop.ConsentMethodSpoken, shop.ConsentMethodInPerson, shop.ConsentMethodMessage} {
		t.Run("drop-off "+string(method), func(t *testing.T) {
			t.Parallel()
			b := newMoneyBench(t, nil)
			given, err := b.app.RecordConsent(b.ctx, b.who, b.job.ID, dropOff(20_000, method))
			if err != nil {
				t.Fatal(err)
			}
			rec := b.record(given.ID)
			if len(rec.Lacking) > 0 || *rec.Evidence.What.Limit != 20_000 || rec.Document != nil {
				t.Errorf("record = %+v", rec)
			}
		})
	}
}

// whole holds the record of an answer to an offer against what was offered.
func (b *moneyBench) whole(given shop.Consent, o shop.Offer) {
	b.t.Helper()
	rec := b.record(given.ID)
	e := rec.Evidence
	if len(rec.Lacking) > 0 {
		b.t.Errorf("lacking %v", rec.Lacking)
	}
	agreed := given.Decision == shop.DecisionAgreed
	accepted := 0
	for _, l := range e.What.Lines {
		if l.Accepted {
			accepted++
		}
	}
	want := app.EvidenceWhat{Labour: 9_000, Parts: 10_000, Net: 19_000, Tax: 1_568, Total: 20_568, Revised: 20_568}
	if !agreed {
		want = app.EvidenceWhat{}
	}
	got := app.EvidenceWhat{Labour: e.What.Labour, Parts: e.What.Parts, Net: e.What.Net, Tax: e.What.Tax, Total: e.What.Total, Revised: e.What.Revised}
	if diff := cmp.Diff(want, got); diff != "" || len(e.What.Lines) != 2 || (accepted == 2) != agreed {
		b.t.Errorf("%d of %d lines accepted; sums (-want +got):\n%s", accepted, len(e.What.Lines), diff)
	}
	if e.What.Document != string(o.Document) || app.HashText(e.What.Document) != o.SHA256 || e.When.JournalSequence < 1 {
		b.t.Errorf("what was shown is %q", e.What.Document)
	}
	if e.Staff.Name != "Ivo" || e.Staff.ID != b.who.StaffID {
		b.t.Errorf("staff = %+v", e.Staff)
	}
	b.inJournal(e)
	var back app.ConsentEvidence
	if err := json.Unmarshal(rec.Bytes, &back); err != nil {
		b.t.Error(err)
	}
	if again, err := back.Bytes(); err != nil || !bytes.Equal(again, rec.Bytes) || app.HashText(string(again)) != rec.SHA256 {
		b.t.Errorf("read and written again the bytes differ: %v", err)
	}
}

// inJournal makes sure that the entry named is the one that recorded it.
func (b *moneyBench) inJournal(e app.ConsentEvidence) {
	b.t.Helper()
	b.write(func(tx app.Tx) error {
		entries, err := tx.Entries(e.When.JournalStream, e.When.JournalSequence-1, 1)
		if err != nil || len(entries) != 1 || !bytes.Contains(entries[0].Header, []byte(e.ConsentID)) {
			b.t.Errorf("entry %d is %+v, %v", e.When.JournalSequence, entries, err)
		}
		return nil
	})
}

// A record that lacks a field is refused, and the field is named: each one
// that applies to the way of answering.
func TestMissingFieldIsNamed(t *testing.T) {
	t.Parallel()
	b := newMoneyBench(t, nil)
	o, sc := b.asked()
	person := func(g *shop.Consent) {
		g.Method, g.ShownAs, g.ReadOutSHA256, g.SaidBack = shop.ConsentMethodInPerson, shop.ShownAsPaper, "", ""
	}
	message := func(g *shop.Consent) {
		g.Method, g.ElectronicAgreed, g.ReadOutSHA256 = shop.ConsentMethodMessage, true, ""
	}
	for name, tt := range map[string]struct {
		as, spoil func(*shop.Consent)
		at        string
	}{
		"name":              {nil, func(g *shop.Consent) { g.TypedName = "" }, "/typed_name"},
		"relation":          {nil, func(g *shop.Consent) { g.Relation = " " }, "/relation"},
		"identified":        {nil, func(g *shop.Consent) { g.IdentifiedHow = "" }, "/identified_how"},
		"when":              {nil, func(g *shop.Consent) { g.SaidAt = time.Time{} }, "/said_at"},
		"number":            {nil, func(g *shop.Consent) { g.ContactUsed = "the number we have" }, "/contact_used"},
		"said back":         {nil, func(g *shop.Consent) { g.SaidBack = "" }, "/said_back"},
		"read out":          {nil, func(g *shop.Consent) { g.ReadOutSHA256 = "" }, "/read_out_sha256"},
		"shown":             {nil, func(g *shop.Consent) { g.ShownSHA256 = "" }, "/shown_sha256"},
		"on a screen":       {nil, func(g *shop.Consent) { g.ShownAs = shop.ShownAsScreen }, "/shown_as"},
		"a day too early":   {nil, func(g *shop.Consent) { g.ReadyOn = "2026-03-19" }, "/ready_on"},
		"two days":          {nil, func(g *shop.Consent) { g.ReadyOn, g.DayStands = "2026-03-21", true }, "/day_stands"},
		"no day promised":   {nil, func(g *shop.Consent) { g.DayStands = true }, "/day_stands"},
		"in person, how":    {person, func(g *shop.Consent) { g.ShownAs = shop.ShownAsUnset }, "/shown_as"},
		"in person, screen": {person, func(g *shop.Consent) { g.ShownAs = shop.ShownAsScreen }, "/electronic_agreed"},
		"in person, read":   {person, func(g *shop.Consent) { g.ShownAs = shop.ShownAsReadOut }, "/read_out_sha256"},
		"in person, sent":   {person, func(g *shop.Consent) { g.ShownAs = shop.ShownAsMessage }, "/shown_as"},
		"message, when":     {message, func(g *shop.Consent) { g.SaidAt = time.Time{} }, "/said_at"},
		"message, words":    {message, func(g *shop.Consent) { g.SaidBack = "" }, "/said_back"},
		"message, from":     {message, func(g *shop.Consent) { g.ContactUsed = "" }, "/contact_used"},
		"message, form":     {message, func(g *shop.Consent) { g.ElectronicAgreed = false }, "/electronic_agreed"},
	} {
		in := b.spoken(o, sc)
		if tt.as != nil {
			tt.as(&in)
		}
		tt.spoil(&in)
		_, err := b.app.RecordConsent(b.ctx, b.who, b.job.ID, in)
		if !fault.Is(err, fault.Meaning) || !slices.Contains(pointersOf(err), tt.at) {
			t.Errorf("%s: %v at %v, want %s", name, err, pointersOf(err), tt.at)
		}
	}
	in := b.spoken(o, sc)
	in.ReadOutSHA256 = app.HashText("something else")
	_, err := b.app.RecordConsent(b.ctx, b.who, b.job.ID, in)
	wantMoneyFault(t, err, fault.Conflict, "app.script_differs")
	b.nothingRecorded()
}

func (b *moneyBench) nothingRecorded() {
	b.t.Helper()
	rows, err := b.app.Consents(b.ctx, b.who, b.job.ID, app.Page{})
	if err != nil || len(rows) != 0 {
		b.t.Errorf("%d records, %v", len(rows), err)
	}
}

// A correction is a new record that names the one it corrects; the old one
// stays byte for byte, no longer counts, and its lines go over, done or not.
func TestCorrectionIsANewRecord(t *testing.T) {
	t.Parallel()
	b := newMoneyBench(t, nil)
	o, sc := b.asked()
	wrong := b.spoken(o, sc)
	wrong.ContactUsed = "+1 555 0199"
	first, err := b.app.RecordConsent(b.ctx, b.who, b.job.ID, wrong)
	if err != nil {
		t.Fatal(err)
	}
	before := b.record(first.ID)
	b.done(0, moneyLoad[shop.Line](b, sc.LineIDs[0]))
	fix := app.Correction{Reason: "two figures of the number were swapped", Record: b.spoken(o, sc)}
	second, err := b.app.CorrectConsent(b.ctx, b.who, first.ID, fix)
	if err != nil {
		t.Fatal(err)
	}
	old, rec := b.record(first.ID), b.record(second.ID)
	if !bytes.Equal(old.Bytes, before.Bytes) || old.Ending == nil || old.Ending.Kind != shop.EndingKindCorrected || old.Ending.ReplacedBy != second.ID {
		t.Errorf("the old record: %+v", old.Ending)
	}
	if rec.Evidence.Corrects != first.ID || len(rec.Lacking) > 0 || rec.Evidence.Who.ContactUsed != "+1 555 0100" {
		t.Errorf("the new record: %+v", rec.Evidence)
	}
	b.inJournal(rec.Evidence)
	for _, id := range sc.LineIDs {
		if l := moneyLoad[shop.Line](b, id); l.ConsentID != second.ID {
			t.Errorf("line %s is under %s", l.Description, l.ConsentID)
		}
	}
	if got := b.check(); got.Authorized.ExclTax != 19_000 || got.Effective != "not_required" {
		t.Errorf("check = %+v", got)
	}
	_, err = b.app.CorrectConsent(b.ctx, b.who, first.ID, fix)
	wantMoneyFault(t, err, fault.Conflict, "app.consent_revoked")
	fix.Record.Decision, fix.Record.ScopeID = shop.DecisionDeclined, ""
	_, err = b.app.CorrectConsent(b.ctx, b.who, second.ID, fix)
	wantMoneyFault(t, err, fault.Conflict, "app.correction_after_work")
}

// What was chosen can be put right as long as nothing was done; what the
// customer sent by the page cannot.
func TestCorrectionOfTheChoice(t *testing.T) {
	t.Parallel()
	b := newMoneyBench(t, nil)
	o, sc := b.asked()
	first, err := b.app.RecordConsent(b.ctx, b.who, b.job.ID, b.spoken(o, sc))
	if err != nil {
		t.Fatal(err)
	}
	fix := app.Correction{Reason: "she had said no", Record: b.spoken(o, sc)}
	fix.Record.Decision, fix.Record.ScopeID = shop.DecisionDeclined, ""
	if _, err := b.app.CorrectConsent(b.ctx, b.who, first.ID, fix); err != nil {
		t.Fatal(err)
	}
	for _, id := range sc.LineIDs {
		if l := moneyLoad[shop.Line](b, id); l.State != shop.LineStateProposed || l.ConsentID != "" {
			t.Errorf("line = %+v", l)
		}
	}
	view := b.agree(shop.ScopeKindRepair, b.part(b.job, 500))
	_, err = b.app.CorrectConsent(b.ctx, b.who, view.Receipt.ConsentID, fix)
	wantMoneyFault(t, err, fault.Conflict, "app.consent_by_link")
}

// A yes taken back is recorded as fully as the yes, with the lines done and
// left; an incomplete one is refused and changes nothing.
func TestTakingBackIsRecordedWhole(t *testing.T) {
	t.Parallel()
	b := newMoneyBench(t, nil)
	o, sc := b.asked()
	given, err := b.app.RecordConsent(b.ctx, b.who, b.job.ID, b.spoken(o, sc))
	if err != nil {
		t.Fatal(err)
	}
	before := b.record(given.ID)
	b.done(0, moneyLoad[shop.Line](b, sc.LineIDs[0]))
	_, err = b.app.RevokeConsent(b.ctx, b.who, given.ID, shop.ConsentEnding{Reason: "sells it", Method: shop.ConsentMethodSpoken, TypedName: "Wren Ashdown"})
	if diff := cmp.Diff([]string{"/relation", "/identified_how", "/said_at", "/contact_used", "/said_back"}, pointersOf(err)); diff != "" {
		t.Error(diff)
	}
	call := shop.ConsentEnding{Reason: "sells it", Method: shop.ConsentMethodSpoken, TypedName: "Wren Ashdown", Relation: "owner", IdentifiedHow: "called back",
		SaidAt: b.clock.Now(), ContactUsed: "+1 555 0100", SaidBack: "stop, I sell it"}
	if _, err := b.app.RevokeConsent(b.ctx, b.who, given.ID, call); err != nil {
		t.Fatal(err)
	}
	rec := b.record(given.ID)
	if e := rec.Ending; e == nil || e.Kind != shop.EndingKindRevoked || !slices.Equal(e.DoneLines, sc.LineIDs[:1]) || !slices.Equal(e.LeftLines, sc.LineIDs[1:]) ||
		e.TakenBy != b.who.StaffID || e.SaidBack == "" || e.ContactUsed == "" {
		t.Errorf("ending = %+v", e)
	}
	if !bytes.Equal(rec.Bytes, before.Bytes) {
		t.Error("the record itself changed")
	}
}

// The script says all that the document asks, and every answer in the words
// that will be recorded.
func TestScriptSaysTheOffer(t *testing.T) {
	t.Parallel()
	b := newMoneyBench(t, nil)
	o, sc := b.asked()
	script, _, err := b.app.OfferScript(b.ctx, b.who, o.ID)
	if err != nil {
		t.Fatal(err)
	}
	given, err := b.app.RecordConsent(b.ctx, b.who, b.job.ID, b.spoken(o, sc))
	if err != nil || given.ReadOut != script {
		t.Fatalf("read out: %q, %v", given.ReadOut, err)
	}
	for _, want := range []string{"Fit the gears", "Gear pair", "Labour USD 90.00, parts USD 100.00", "Tax USD 15.68", "USD 205.68", "Friday 20 March 2026",
		"New gears.", "say it back to me", given.Wording, "Way B", "I say no to every way", "Ask before you lift.", "a copy of this goes to you"} {
		if !strings.Contains(script, want) {
			t.Errorf("the script does not say %q:\n%s", want, script)
		}
	}
}

// A statement on electronic form that was ever shown keeps its words: a
// record names it by its version. It tells what 15 USC 7001(c) asks for.
func TestStatementsKeepTheirWords(t *testing.T) {
	t.Parallel()
	hashes := map[string]string{
		"1": "3ddcdb06e58acf5081813d78218b4f17750fc4c7cb00d0da167c9c27fec40169", "2": "b8339509d3c7bab02ab2e8cdc61938b34192ef2fe2549cab5350c073c3d81732",
	}
	if versions := app.ElectronicVersions(); len(versions) != len(hashes) || !slices.Contains(versions, app.ElectronicVersion) {
		t.Errorf("versions = %v", versions)
	}
	for v, want := range hashes {
		if got := app.HashText(app.ElectronicStatement(v)); got != want {
			t.Errorf("statement %s has changed: %s", v, got)
		}
	}
	for _, told := range []string{"on paper if you ask", "take this agreement back", "need a browser", "this one offer", "simple electronic signature", "mail address changes", "costs nothing"} {
		if !strings.Contains(app.ElectronicStatement(app.ElectronicVersion), told) {
			t.Errorf("the statement does not tell %q", told)
		}
	}
}

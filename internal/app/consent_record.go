package app

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"slices"
	"strings"
	"time"

	"benchtag/internal/auth"
	"benchtag/internal/money"
	"benchtag/internal/shop"
)

// evidenceVersion is the version of ConsentEvidence's format.
const evidenceVersion = 1

// ConsentEvidence is one answer, whole: who, what, when, how, with which
// intent. It holds what was fixed when the answer was recorded and nothing
// that can change later; nothing of another job or customer; and of staff the
// first name alone. Amounts are integers in minor units of Currency. The
// fields follow 15 USC 7001(c) and (d), UETA sections 8, 9 and 12, 21 CFR
// 11.50(a) and 16 CCR 3354 and 3356(d)-(e).
type ConsentEvidence struct {
	Version     int                `json:"version"`
	ConsentID   shop.ConsentID     `json:"consent_id"`
	WorkOrderID shop.WorkOrderID   `json:"work_order_id"`
	WorkOrder   int64              `json:"work_order_number"`
	JobID       shop.JobID         `json:"job_id"`
	ShopID      shop.ShopID        `json:"shop_id"` // its name stands in the document
	Who         EvidenceWho        `json:"who"`
	What        EvidenceWhat       `json:"what"`
	When        EvidenceWhen       `json:"when"`
	How         EvidenceHow        `json:"how"`
	Intent      EvidenceIntent     `json:"intent"`
	Electronic  EvidenceElectronic `json:"electronic"`
	CopyTo      string             `json:"copy_to"` // where the copy is to go
	Staff       EvidenceStaff      `json:"staff"`
	Corrects    shop.ConsentID     `json:"corrects"` // the record it puts right, or ""
	Note        string             `json:"note"`
	// Ending is there only in the record that is kept of taking it back.
	Ending *EvidenceEnding `json:"ending,omitempty"`
}

// EvidenceWho is who decided.
type EvidenceWho struct {
	Name          string `json:"name"`
	Relation      string `json:"relation"` // to the owner of the machine
	ContactUsed   string `json:"contact_used"`
	IdentifiedHow string `json:"identified_how"`
}

// EvidenceWhat is what was asked and answered. The sums are those of the way
// chosen at most, as the document shows them; all are 0 for a no.
type EvidenceWhat struct {
	Kind           shop.ConsentKind `json:"kind"`
	Decision       shop.Decision    `json:"decision"`
	OfferID        shop.OfferID     `json:"offer_id"` // "" for a limit named without an offer
	Offer          int64            `json:"offer_number"`
	Document       string           `json:"document"` // the exact bytes shown
	DocumentSHA256 string           `json:"document_sha256"`
	WayID          shop.ScopeID     `json:"way_id"`
	WayTitle       string           `json:"way_title"`
	Lines          []EvidenceLine   `json:"lines"` // every line offered
	Currency       money.Currency   `json:"currency"`
	LinesHoldTax   bool             `json:"lines_contain_tax"` // and so Labour, Parts and Other
	Labour         money.Amount     `json:"labour_minor"`
	Parts          money.Amount     `json:"parts_minor"`
	Other          money.Amount     `json:"other_minor"`
	Net            money.Amount     `json:"net_minor"`
	Tax            money.Amount     `json:"tax_minor"`
	Total          money.Amount     `json:"total_minor"`         // of the way, tax included
	Before         money.Amount     `json:"agreed_before_minor"` // of the job, tax included
	Revised        money.Amount     `json:"revised_total_minor"` // both together
	Limit          *money.Amount    `json:"limit_minor"`         // "yes, up to" this, tax included
	ReadyOn        shop.Date        `json:"ready_on"`
	DayStands      bool             `json:"promised_day_stands"`
}

// EvidenceLine is one line offered, and whether it was accepted or left.
type EvidenceLine struct {
	LineID      shop.LineID    `json:"line_id"`
	Kind        shop.LineKind  `json:"kind"`
	Description string         `json:"description"`
	Certainty   shop.Certainty `json:"certainty"`
	Low         money.Amount   `json:"low_minor"`
	High        money.Amount   `json:"high_minor"`
	Accepted    bool           `json:"accepted"`
}

// EvidenceWhen is when: the server's time and its place in the journal beside
// the time stated by who recorded it, and the device's own.
type EvidenceWhen struct {
	ServerTime      string `json:"server_time"` // RFC 3339, UTC
	JournalStream   string `json:"journal_stream"`
	JournalSequence int64  `json:"journal_sequence"`
	SaidAt          string `json:"said_at"`     // RFC 3339, UTC
	DeviceTime      string `json:"device_time"` // as sent; "" where the device sends none
}

// EvidenceHow is by which way the answer came.
type EvidenceHow struct {
	Channel       shop.ConsentMethod `json:"channel"`
	ShownAs       shop.ShownAs       `json:"shown_as"`
	LinkHash      string             `json:"link_sha256"` // of the link's secret; for a link
	IP            string             `json:"ip"`
	UserAgent     string             `json:"user_agent"`
	ReadOut       string             `json:"read_out"` // the exact words read to them
	ReadOutSHA256 string             `json:"read_out_sha256"`
}

// EvidenceIntent is what was done to answer, the words, and what that means.
type EvidenceIntent struct {
	Act      string `json:"act"`
	Wording  string `json:"wording"`
	Meaning  string `json:"meaning"`
	SaidBack string `json:"said_back"`
}

// EvidenceElectronic is the consent to electronic form, asked apart.
type EvidenceElectronic struct {
	Agreed    bool   `json:"agreed"`
	Version   string `json:"version"`
	Statement string `json:"statement"`
}

// EvidenceStaff is who of the shop took the answer, or for a link asked.
type EvidenceStaff struct {
	ID   shop.StaffID `json:"id"`
	Name string       `json:"name"` // the first name
	Took bool         `json:"took"` // false: the page took it
}

// Bytes are the canonical bytes of the evidence: JSON, the members in this
// order, nothing escaped that need not be, no line end. They are made from
// stored values alone and so are the same each time.
func (e ConsentEvidence) Bytes() ([]byte, error) {
	var b bytes.Buffer
	enc := json.NewEncoder(&b)
	enc.SetEscapeHTML(false)
	if err := enc.Encode(e); err != nil {
		return nil, fmt.Errorf("app: write the record of an answer: %w", err)
	}
	return bytes.TrimSuffix(b.Bytes(), []byte("\n")), nil
}

// Lacking names, as JSON pointers, the fields that apply to this answer and
// are empty. A record made now has none; one from before the fields existed
// may.
func (e ConsentEvidence) Lacking() []string {
	var out []string
	need := func(ok bool, pointer string) {
		if !ok {
			out = append(out, pointer)
		}
	}
	for _, f := range []struct{ pointer, value string }{
		{"/who/name", e.Who.Name}, {"/who/relation", e.Who.Relation}, {"/who/contact_used", e.Who.ContactUsed}, {"/who/identified_how", e.Who.IdentifiedHow},
		{"/when/server_time", e.When.ServerTime}, {"/when/said_at", e.When.SaidAt}, {"/when/journal_stream", e.When.JournalStream},
		{"/how/channel", string(e.How.Channel)}, {"/intent/act", e.Intent.Act}, {"/intent/wording", e.Intent.Wording}, {"/intent/meaning", e.Intent.Meaning},
		{"/copy_to", e.CopyTo}, {"/staff/id", string(e.Staff.ID)}, {"/staff/name", e.Staff.Name}, {"/what/kind", string(e.What.Kind)}, {"/what/decision", string(e.What.Decision)},
	} {
		need(f.value != "", f.pointer)
	}
	need(e.When.JournalSequence > 0, "/when/journal_sequence")
	agreed := e.What.Decision == shop.DecisionAgreed
	if e.What.OfferID != "" {
		need(e.What.Document != "" && HashText(e.What.Document) == e.What.DocumentSHA256, "/what/document")
		need(len(e.What.Lines) > 0, "/what/lines")
		need(e.How.ShownAs != "", "/how/shown_as")
		need(!agreed || e.What.WayID != "" && e.What.WayTitle != "", "/what/way_id")
		need(!agreed || e.What.Total == e.What.Net+e.What.Tax || e.What.Total > 0, "/what/total_minor")
	} else {
		need(!agreed || e.What.Limit != nil, "/what/limit_minor")
	}
	return append(out, e.lackingOf()...)
}

// lackingOf names what is empty of what the way of answering calls for.
func (e ConsentEvidence) lackingOf() []string {
	var out []string
	need := func(value, pointer string) {
		if value == "" {
			out = append(out, pointer)
		}
	}
	spoken, offered := e.How.Channel == shop.ConsentMethodSpoken, e.What.OfferID != ""
	if spoken || e.How.Channel == shop.ConsentMethodMessage {
		need(e.Intent.SaidBack, "/intent/said_back")
	}
	if e.How.ShownAs == shop.ShownAsReadOut && offered {
		need(e.How.ReadOut, "/how/read_out")
		need(e.How.ReadOutSHA256, "/how/read_out_sha256")
	}
	if e.How.Channel == shop.ConsentMethodLink {
		need(e.How.LinkHash, "/how/link_sha256")
		need(e.How.IP, "/how/ip")
		need(e.How.UserAgent, "/how/user_agent")
	}
	if offered && (e.How.ShownAs == shop.ShownAsScreen || e.How.ShownAs == shop.ShownAsMessage) {
		need(e.Electronic.Version, "/electronic/version")
		need(e.Electronic.Statement, "/electronic/statement")
	}
	return out
}

// evidenceOf puts the evidence of an answer together from stored rows.
func evidenceOf(tx Tx, g shop.Consent) (ConsentEvidence, error) {
	order, err := load[shop.WorkOrder](tx, string(g.WorkOrderID))
	if err != nil {
		return ConsentEvidence{}, err
	}
	corrected, err := list[shop.ConsentEnding](tx, By{"job_id": g.JobID, "replaced_by": g.ID})
	if err != nil {
		return ConsentEvidence{}, err
	}
	e := ConsentEvidence{Version: evidenceVersion, ConsentID: g.ID, WorkOrderID: g.WorkOrderID, WorkOrder: order.Number, JobID: g.JobID, ShopID: tx.Shop(),
		Who:    EvidenceWho{Name: g.TypedName, Relation: g.Relation, ContactUsed: g.ContactUsed, IdentifiedHow: g.IdentifiedHow},
		Intent: EvidenceIntent{Act: g.Act, Wording: g.Wording, Meaning: g.Meaning, SaidBack: g.SaidBack},
		When: EvidenceWhen{ServerTime: microTime(g.CreatedAt), SaidAt: microTime(g.SaidAt), DeviceTime: g.DeviceTime,
			JournalStream: orderStream(tx.Shop(), order.ID).ID, JournalSequence: g.JournalSequence},
		How: EvidenceHow{Channel: g.Method, ShownAs: g.ShownAs, LinkHash: g.LinkHash, IP: g.IP, UserAgent: g.UserAgent,
			ReadOut: g.ReadOut, ReadOutSHA256: g.ReadOutSHA256},
		Electronic: EvidenceElectronic{Agreed: g.ElectronicAgreed, Version: g.ElectronicVersion, Statement: ElectronicStatement(g.ElectronicVersion)},
		CopyTo:     g.CopyTo, Note: g.Note, Staff: EvidenceStaff{ID: g.TakenBy, Name: firstName(g.StaffName), Took: g.TakenBy != ""},
		What: EvidenceWhat{Kind: g.Kind, Decision: g.Decision, OfferID: g.OfferID, WayID: g.ScopeID, Lines: []EvidenceLine{},
			Limit: g.LimitAmount, ReadyOn: g.ReadyOn, DayStands: g.DayStands}}
	if len(corrected) > 0 {
		e.Corrects = corrected[0].ConsentID
	}
	if g.OfferID == "" {
		s, err := load[shop.Shop](tx, string(tx.Shop()))
		e.What.Currency = currencyOf(s)
		return e, err
	}
	offer, err := load[shop.Offer](tx, string(g.OfferID))
	if err != nil {
		return e, err
	}
	if e.Staff.ID == "" {
		e.Staff.ID = offer.AskedBy
	}
	return e, e.What.from(offer, g)
}

// from takes what was asked from the bytes that were shown.
func (w *EvidenceWhat) from(offer shop.Offer, g shop.Consent) error {
	doc, err := readDocument(offer)
	if err != nil {
		return err
	}
	w.Offer, w.Document, w.DocumentSHA256 = offer.Number, string(offer.Document), g.ShownSHA256
	w.Currency, w.LinesHoldTax = doc.Currency, doc.TaxMode == shop.TaxModeInclusive
	way := doc.Way(g.ScopeID)
	if g.Decision != shop.DecisionAgreed {
		way = nil
	}
	w.Lines = doc.answered(way)
	if way == nil {
		return nil
	}
	sums := doc.Sums(*way)
	w.WayTitle, w.Labour, w.Parts, w.Other = way.Title, sums.Labour, sums.Parts, sums.Other
	w.Net, w.Tax, w.Total, w.Before = g.Net, g.Tax, g.Gross, doc.Before[way.ScopeID].Gross
	w.Revised = w.Total + w.Before
	return nil
}

// answered lists every line of a document once, accepted where it is of the
// way chosen and left where it is not.
func (d OfferDocument) answered(way *OfferWay) []EvidenceLine {
	out := []EvidenceLine{}
	for _, w := range d.Ways {
		for _, l := range w.Lines {
			if slices.ContainsFunc(out, func(e EvidenceLine) bool { return e.LineID == l.LineID }) {
				continue
			}
			accepted := way != nil && slices.ContainsFunc(way.Lines, func(x OfferLine) bool { return x.LineID == l.LineID })
			out = append(out, EvidenceLine{LineID: l.LineID, Kind: l.Kind, Description: l.Description, Certainty: l.Certainty, Low: l.Low, High: l.High, Accepted: accepted})
		}
	}
	return out
}

// microTime writes an instant in UTC with its microseconds.
func microTime(t time.Time) string { return t.UTC().Format("2006-01-02T15:04:05.000000Z") }

// firstName is what of a member of staff's name is told outside the shop.
func firstName(name string) string {
	first, _, _ := strings.Cut(strings.TrimSpace(name), " ")
	return first
}

// ConsentRecord is everything on record of one answer: the evidence, which
// never changes, and what became of it since.
type ConsentRecord struct {
	Consent  shop.Consent
	Evidence ConsentEvidence
	Bytes    []byte // canonical, of Evidence
	SHA256   string // of Bytes, hex
	Lacking  []string
	// Document is what was shown, parsed; nil where nothing was.
	Document *OfferDocument
	// Ending says why it no longer counts, or nil.
	Ending *shop.ConsentEnding
}

// ConsentRecord reads everything on record of one answer.
func (a *App) ConsentRecord(ctx context.Context, who auth.Principal, id shop.ConsentID) (out ConsentRecord, err error) {
	err = a.Store.Read(ctx, who.ShopID, func(tx Tx) error {
		out, err = consentRecord(tx, id)
		return err
	})
	return out, err
}

func consentRecord(tx Tx, id shop.ConsentID) (out ConsentRecord, err error) {
	if out.Consent, err = load[shop.Consent](tx, string(id)); err != nil {
		return out, err
	}
	if out.Evidence, err = evidenceOf(tx, out.Consent); err != nil {
		return out, err
	}
	if out.Bytes, err = out.Evidence.Bytes(); err != nil {
		return out, err
	}
	out.SHA256, out.Lacking = HashText(string(out.Bytes)), out.Evidence.Lacking()
	if out.Evidence.What.Document != "" {
		var doc OfferDocument
		if err := json.Unmarshal([]byte(out.Evidence.What.Document), &doc); err != nil {
			return out, fmt.Errorf("app: read the document of an answer: %w", err)
		}
		out.Document = &doc
	}
	endings, err := list[shop.ConsentEnding](tx, By{"job_id": out.Consent.JobID, "consent_id": id})
	if err != nil {
		return out, err
	}
	if len(endings) > 0 {
		out.Ending = &endings[0]
	}
	return out, nil
}

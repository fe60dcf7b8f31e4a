package api

import (
	"bytes"
	"encoding/base64"
	"encoding/json"
	"errors"
	"strings"
	"time"

	"benchtag/internal/fault"
	"benchtag/internal/measure"
	"benchtag/internal/money"
	"benchtag/internal/shop"
)

// looseJSON reads JSON into maps, as the schema checker wants it.
func looseJSON(body []byte) (any, error) {
	var value any
	d := json.NewDecoder(bytes.NewReader(body))
	d.UseNumber()
	err := d.Decode(&value)
	return value, err
}

// Money is an amount as clients see it.
type Money struct {
	Amount   string `json:"amount"`
	Currency string `json:"currency"`
}

// Quantity is a value with its unit as clients see it.
type Quantity struct {
	Value   string `json:"value"`
	Unit    string `json:"unit"`
	Entered string `json:"entered"`
}

// QuantityIn is a quantity as clients send it.
type QuantityIn struct {
	Value   string `json:"value"`
	Unit    string `json:"unit"`
	Entered string `json:"entered"`
}

// StruckView says whether and why a record no longer counts.
type StruckView struct {
	StruckAt     *string `json:"struck_at"`
	StruckBy     *string `json:"struck_by"`
	StruckReason string  `json:"struck_reason"`
}

// OriginView says who recorded something, where and when.
type OriginView struct {
	RecordedBy string  `json:"recorded_by"`
	TabletID   *string `json:"tablet_id"`
	SignOnID   *string `json:"sign_on_id"`
	CapturedAt *string `json:"captured_at"`
	ReceivedAt string  `json:"received_at"`
	Late       bool    `json:"late"`
}

// conv turns what a client sent into nouns and collects what is wrong with it.
type conv struct {
	currency money.Currency
	fields   []fault.Field
}

// conv starts a conversion in the shop's currency.
func (c *call) conv() *conv { return &conv{currency: c.currency()} }

// err gives everything that was wrong, or nil.
func (c *conv) err() error {
	if len(c.fields) == 0 {
		return nil
	}
	return &fault.Error{Kind: fault.Meaning, Code: "api.values_wrong", Message: c.fields[0].Message, Fields: c.fields}
}

func (c *conv) wrong(pointer, message string) {
	c.fields = append(c.fields, fault.Field{Pointer: pointer, Message: message})
}

func (c *conv) money(pointer string, m Money) money.Amount {
	if money.Currency(m.Currency) != c.currency {
		c.wrong(pointer+"/currency", "The shop reckons in "+string(c.currency)+".")
		return 0
	}
	a, err := money.Parse(m.Amount, c.currency)
	if err != nil {
		c.wrong(pointer+"/amount", messageOf(err))
		return 0
	}
	if a < 0 {
		c.wrong(pointer+"/amount", "An amount here cannot be below zero.")
	}
	return a
}

func (c *conv) moneyOrZero(pointer string, m *Money) money.Amount {
	if m == nil {
		return 0
	}
	return c.money(pointer, *m)
}

func (c *conv) moneyOpt(pointer string, m *Money) *money.Amount {
	if m == nil {
		return nil
	}
	a := c.money(pointer, *m)
	return &a
}

func (c *conv) quantity(pointer string, q QuantityIn) shop.Quantity {
	got, err := measure.Read(measure.Parts(q))
	if err != nil {
		c.wrong(pointer, messageOf(err))
		return shop.Quantity{}
	}
	return shop.Quantity{Value: got.Value.String(), Unit: string(got.Unit), Entered: got.Entered}
}

func (c *conv) quantityOpt(pointer string, q *QuantityIn) shop.Quantity {
	if q == nil {
		return shop.Quantity{}
	}
	return c.quantity(pointer, *q)
}

func (c *conv) date(pointer, text string) shop.Date {
	d, ok := shop.ParseDate(text)
	if !ok {
		c.wrong(pointer, "This is not a day of the calendar, as in 2026-03-01.")
	}
	return d
}

func (c *conv) dateOpt(pointer string, text *string) shop.Date {
	if text == nil {
		return ""
	}
	return c.date(pointer, *text)
}

func (c *conv) instant(pointer, text string) time.Time {
	t, err := time.Parse(time.RFC3339Nano, text)
	if err != nil || t.Year() < 1990 || t.Year() > 2200 {
		c.wrong(pointer, "This is not a time, as in 2026-03-01T09:30:00Z.")
		return time.Time{}
	}
	return t.UTC().Truncate(time.Microsecond)
}

func (c *conv) instantOpt(pointer string, text *string) *time.Time {
	if text == nil {
		return nil
	}
	t := c.instant(pointer, *text)
	return &t
}

// messageOf gives an error's sentence, without its code.
func messageOf(err error) string {
	var f *fault.Error
	if errors.As(err, &f) {
		return f.Message
	}
	var m *measure.Error
	if errors.As(err, &m) {
		return m.Message
	}
	return "The value does not fit."
}

func (c *conv) ownRule(pointer string, r *OwnRule) *shop.OwnRule {
	if r == nil {
		return nil
	}
	return &shop.OwnRule{Kind: r.Kind, PctBP: r.PctBP, AtEqual: r.AtEqual,
		Abs: minor(c.moneyOpt(pointer+"/abs", r.Abs)), Cap: minor(c.moneyOpt(pointer+"/cap", r.Cap))}
}

func minor(a *money.Amount) *int64 { return (*int64)(a) }

func (c *conv) teardownTerms(_ string, t *TeardownTerms) *shop.TeardownTerms {
	return (*shop.TeardownTerms)(t)
}

// OwnRule is a consent rule of the shop's own as clients see it.
type OwnRule struct {
	Kind    string `json:"kind"`
	PctBP   int64  `json:"pct_bp"`
	Abs     *Money `json:"abs"`
	Cap     *Money `json:"cap"`
	AtEqual bool   `json:"at_equal"`
}

// TeardownTerms is what must be said before something is taken apart.
type TeardownTerms struct {
	AreaOrComponent        string `json:"area_or_component"`
	TeardownCost           string `json:"teardown_cost"`
	ReassemblyCost         string `json:"reassembly_cost"`
	PartsAndLaborDestroyed string `json:"parts_and_labor_destroyed"`
	MaxReassemblyTime      string `json:"max_reassembly_time"`
	MayPreventRestoration  string `json:"may_prevent_restoration"`
}

func ownRuleView(cur money.Currency, r *shop.OwnRule) *OwnRule {
	if r == nil {
		return nil
	}
	return &OwnRule{Kind: r.Kind, PctBP: r.PctBP, AtEqual: r.AtEqual,
		Abs: moneyOptView(cur, (*money.Amount)(r.Abs)), Cap: moneyOptView(cur, (*money.Amount)(r.Cap))}
}

func teardownTermsView(_ money.Currency, t *shop.TeardownTerms) *TeardownTerms {
	return (*TeardownTerms)(t)
}

func moneyView(cur money.Currency, a money.Amount) Money {
	return Money{Amount: a.Text(cur), Currency: string(cur)}
}

func moneyOptView(cur money.Currency, a *money.Amount) *Money {
	if a == nil {
		return nil
	}
	m := moneyView(cur, *a)
	return &m
}

func quantityView(q shop.Quantity) *Quantity {
	if q.IsZero() {
		return nil
	}
	v := Quantity(q)
	return &v
}

func dateView(d shop.Date) *string {
	if d == "" {
		return nil
	}
	text := string(d)
	return &text
}

func instantView(t time.Time) string { return t.UTC().Format("2006-01-02T15:04:05.000000Z") }

func instantOptView(t *time.Time) *string {
	if t == nil {
		return nil
	}
	text := instantView(*t)
	return &text
}

func orNull[T ~string](id T) *string {
	if id == "" {
		return nil
	}
	text := string(id)
	return &text
}

func text(p *string) string {
	if p == nil {
		return ""
	}
	return *p
}

func orElse(text, otherwise string) string {
	if text == "" {
		return otherwise
	}
	return text
}

func list(in []string) []string {
	if in == nil {
		return []string{}
	}
	return in
}

func texts[T ~string](in []T) []string {
	out := make([]string, len(in))
	for i, t := range in {
		out[i] = string(t)
	}
	return out
}

func roles(in []string) []shop.Role {
	out := make([]shop.Role, len(in))
	for i, t := range in {
		out[i] = shop.Role(t)
	}
	return out
}

func struckView(s shop.Struck) StruckView {
	return StruckView{StruckAt: instantOptView(s.StruckAt), StruckBy: orNull(s.StruckBy), StruckReason: s.StruckReason}
}

func originView(o shop.Origin) OriginView {
	return OriginView{RecordedBy: string(o.RecordedBy), TabletID: orNull(o.TabletID), SignOnID: orNull(o.SignOnID),
		CapturedAt: instantOptView(o.CapturedAt), ReceivedAt: instantView(o.ReceivedAt), Late: o.Late}
}

// cursorVersion starts every cursor, so that its meaning may change one day.
const cursorVersion = "1."

func writeCursor(after string) string {
	return base64.RawURLEncoding.EncodeToString([]byte(cursorVersion + after))
}

func readCursor(text string) (after string, ok bool) {
	raw, err := base64.RawURLEncoding.DecodeString(text)
	if err != nil {
		return "", false
	}
	return strings.CutPrefix(string(raw), cursorVersion)
}

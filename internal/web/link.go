package web

import (
	"errors"
	"log/slog"
	"net/http"
	"net/url"
	"strconv"
	"time"

	"benchtag/internal/app"
	"benchtag/internal/fault"
	"benchtag/internal/shop"
)

// page is what the templates of the customer's link are given.
type page struct {
	letter
	Token    string
	Title    string
	Typed    typed
	Wrong    problems
	Notice   string // something the customer must know first
	NewFound bool
	Till     string // when the answer is due
	TooLate  bool   // that time has passed
	Chosen   *way   // on the check page; nil is "no, thank you"
	Wording  string
	Receipt  *receipt
	Asked    []asked
	NoThanks string // the value of that choice
	MaxName  int
	MaxNote  int
}

// receipt is "your copy".
type receipt struct {
	Agreed      bool
	WayTitle    string
	AtMost      string
	Name        string
	At          string
	Wording     string
	Number      string
	Fingerprint []string
}

// Link shows an offer to the customer, takes the answer and shows the receipt.
func (p *Pages) Link(w http.ResponseWriter, r *http.Request, visit app.LinkVisit) {
	err := p.link(w, r, visit)
	if err != nil {
		p.Trouble(w, r, err)
	}
}

func (p *Pages) link(w http.ResponseWriter, r *http.Request, visit app.LinkVisit) error {
	switch visit.Step {
	case "":
		return p.show(w, r, visit)
	case "receipt":
		return p.receiptFile(w, r, visit)
	}
	if !p.sameOrigin(r) {
		return fault.New(fault.Forbidden, "web.form_from_elsewhere", "This answer did not come from our page.")
	}
	if visit.Step == "ask" {
		return p.ask(w, r, visit)
	}
	form, err := readForm(r)
	if err != nil {
		return err
	}
	view, err := p.offers.LinkOffer(r.Context(), visit.Token)
	if err != nil {
		return err
	}
	b := p.begin(view, visit, form)
	switch {
	case view.State == app.LinkDecided:
		b.Notice = "This question was already answered. Here is the answer we hold."
		return p.send(w, r, http.StatusConflict, "receipt.html", b)
	case form.Offer != view.SHA256:
		return p.changed(w, r, b)
	case b.TooLate:
		return p.send(w, r, http.StatusConflict, "offer.html", b)
	case form.Back:
		return p.send(w, r, http.StatusOK, "offer.html", b)
	}
	if b.Wrong = form.check(view.Document); len(b.Wrong) > 0 {
		return p.send(w, r, http.StatusUnprocessableEntity, "offer.html", b)
	}
	if visit.Step == "decide" {
		return p.decide(w, r, visit, b)
	}
	return p.send(w, r, http.StatusOK, "check.html", b)
}

// receiptFile answers GET and HEAD with the receipt as a file to keep.
func (p *Pages) receiptFile(w http.ResponseWriter, r *http.Request, visit app.LinkVisit) error {
	file, err := p.offers.LinkReceiptFile(r.Context(), visit.Token)
	if err != nil {
		return err
	}
	h := w.Header()
	secretHeaders(h)
	h.Set("Content-Type", "text/plain; charset=utf-8")
	h.Set("Content-Disposition", `attachment; filename="`+file.Name+`"`)
	write(w, r, http.StatusOK, file.Text)
	return nil
}

// show answers GET and HEAD: the offer, or the receipt once it is answered.
func (p *Pages) show(w http.ResponseWriter, r *http.Request, visit app.LinkVisit) error {
	view, err := p.offers.LinkOffer(r.Context(), visit.Token)
	if err != nil {
		return err
	}
	name := "offer.html"
	if view.State == app.LinkDecided {
		name = "receipt.html"
	}
	return p.send(w, r, http.StatusOK, name, p.begin(view, visit, typed{}))
}

// decide hands the checked answer to the use case. After it the browser is
// sent to the link itself, so that a reload cannot send the form again.
func (p *Pages) decide(w http.ResponseWriter, r *http.Request, visit app.LinkVisit, b page) error {
	if b.Wrong = b.Typed.unticked(); len(b.Wrong) > 0 {
		return p.send(w, r, http.StatusUnprocessableEntity, "check.html", b)
	}
	_, err := p.offers.LinkDecide(r.Context(), b.Typed.answer(visit))
	switch fault.Of(err) {
	case fault.Conflict, fault.Gates:
		return p.afterConflict(w, r, visit, b, err)
	case fault.Meaning:
		var f *fault.Error
		if errors.As(err, &f) {
			b.Wrong = fromFault(f)
			return p.send(w, r, http.StatusUnprocessableEntity, b.Wrong.page(), b)
		}
	}
	if err != nil {
		return err
	}
	secretHeaders(w.Header())
	http.Redirect(w, r, "/c/"+url.PathEscape(visit.Token), http.StatusSeeOther)
	return nil
}

// afterConflict shows what holds now: the answer given elsewhere, or the
// offer as it is today.
func (p *Pages) afterConflict(w http.ResponseWriter, r *http.Request, visit app.LinkVisit, before page, cause error) error {
	view, err := p.offers.LinkOffer(r.Context(), visit.Token)
	if err != nil {
		return err
	}
	b := p.begin(view, visit, before.Typed)
	switch {
	case view.State == app.LinkDecided:
		b.Notice = "This question was already answered. Here is the answer we hold."
		return p.send(w, r, http.StatusConflict, "receipt.html", b)
	case view.SHA256 != before.Typed.Offer:
		return p.changed(w, r, b)
	}
	var f *fault.Error
	if errors.As(cause, &f) {
		b.Wrong = problems{"form": f.Message}
	}
	return p.send(w, r, http.StatusConflict, "offer.html", b)
}

// changed shows the offer anew, the choice emptied, since it was made on
// other words.
func (p *Pages) changed(w http.ResponseWriter, r *http.Request, b page) error {
	b.Notice = "The shop changed this offer while you were reading. Nothing was agreed. Please read it again."
	b.Typed.Choice = ""
	return p.send(w, r, http.StatusConflict, "offer.html", b)
}

// begin gathers what every page of a link needs.
func (p *Pages) begin(view app.LinkView, visit app.LinkVisit, form typed) page {
	d := view.Document
	b := page{
		letter: letterOf(d, view.Erased), Token: visit.Token, Typed: form, NewFound: view.NewFinding,
		Till: instant(view.DecideTill, d.Shop.TimeZone), TooLate: p.passed(view.DecideTill), NoThanks: noThanks, MaxName: maxName, MaxNote: maxNote,
	}
	b.Typed.Offer = view.SHA256
	b.Chosen = b.find(form.Choice)
	b.Wording = d.Wording(form.way(d))
	for _, q := range view.Asked {
		b.Asked = append(b.Asked, asked{Call: q.Kind == shop.QuestionKindCallMe, Words: q.Words, When: q.CallWhen, At: instant(q.AskedAt, d.Shop.TimeZone), Answer: q.Answer})
	}
	if view.Receipt != nil {
		b.Receipt, b.Open = receiptOf(*view.Receipt, d), true
	}
	return b
}

// passed reports whether a time has come; one that cannot be read has not.
func (p *Pages) passed(text string) bool {
	t, err := time.Parse(time.RFC3339, text)
	return err == nil && !p.now().Before(t)
}

// find gives the way of that id as it is shown.
func (l *letter) find(id string) *way {
	for i := range l.Ways {
		if l.Ways[i].ID == id {
			return &l.Ways[i]
		}
	}
	return nil
}

func receiptOf(r app.LinkReceipt, d app.OfferDocument) *receipt {
	return &receipt{
		Agreed: r.Decision == shop.DecisionAgreed, WayTitle: r.WayTitle, AtMost: amount(r.Gross, d.Currency),
		Name: r.TypedName, At: instant(r.AnsweredAt, d.Shop.TimeZone), Wording: r.Wording,
		Number: string(r.ConsentID), Fingerprint: inBlocks(r.SHA256),
	}
}

// send renders a page whose address is a secret.
func (p *Pages) send(w http.ResponseWriter, r *http.Request, status int, name string, b page) error {
	body, err := p.render(name, b)
	if err != nil {
		return err
	}
	secretHeaders(w.Header())
	write(w, r, status, body)
	return nil
}

// Trouble is the page of a link that cannot be served. It holds no data: not
// of the offer, not of the error.
func (p *Pages) Trouble(w http.ResponseWriter, r *http.Request, err error) {
	status := http.StatusInternalServerError
	switch fault.Of(err) {
	case fault.NotFound, fault.Unauthenticated:
		status = http.StatusNotFound
	case fault.Gone:
		status = http.StatusGone
	case fault.TooMany:
		status = http.StatusTooManyRequests
	case fault.Forbidden:
		status = http.StatusForbidden
	case fault.Media:
		status = http.StatusUnsupportedMediaType
	case fault.TooLarge:
		status = http.StatusRequestEntityTooLarge
	case fault.Shape, fault.Meaning:
		status = http.StatusBadRequest
	case fault.Conflict, fault.Gates:
		status = http.StatusConflict
	case fault.Unavailable:
		status = http.StatusServiceUnavailable
	case fault.Internal:
		p.log.ErrorContext(r.Context(), "customer's page failed", slog.Any("cause", err))
	}
	retryAfter(w.Header(), err)
	var f *fault.Error
	if errors.As(err, &f) && f.Code == app.PhotoErased {
		p.tell(w, r, status, told{"This picture is not here any more", "It was erased. The page it belonged to still holds, and says what the picture showed.", "Go back to the page, or call the shop if you have a question about it."})
		return
	}
	p.trouble(w, r, status)
}

func retryAfter(h http.Header, err error) {
	var f *fault.Error
	if errors.As(err, &f) && f.RetryAfter > 0 {
		h.Set("Retry-After", strconv.Itoa(f.RetryAfter))
	}
}

// trouble says what happened in general words.
func (p *Pages) trouble(w http.ResponseWriter, r *http.Request, status int) {
	p.tell(w, r, status, troubleOf(status))
}

func (p *Pages) tell(w http.ResponseWriter, r *http.Request, status int, words told) {
	body, err := p.render("trouble.html", words)
	if err != nil {
		p.log.ErrorContext(r.Context(), "page failed", slog.Any("cause", err))
	}
	secretHeaders(w.Header())
	write(w, r, status, body)
}

// told is what a page of trouble says.
type told struct{ Title, Text, Do string }

// troubleOf gives the words for a status.
func troubleOf(status int) told {
	switch status {
	case http.StatusGone:
		return told{"This link is closed", "It has been answered, replaced by a newer one, its time is over, or the job is closed.", "Call the shop. They can tell you where things stand and send a new link."}
	case http.StatusNotFound:
		return told{"There is nothing here", "The address may be cut short. Some mail programs break a long link in two.", "Open the link again from the shop’s message. If that does not help, call the shop."}
	case http.StatusTooManyRequests:
		return told{"Please wait a little", "This page was asked for very often in a short time.", "Wait some minutes and open the link again. If it is urgent, call the shop."}
	case http.StatusServiceUnavailable:
		return told{"We cannot answer just now", "Our side is busy. If you were sending an answer, we cannot say yet whether it arrived.", "Wait a minute and open the link again: it shows your copy if the answer arrived. You can also call the shop."}
	case http.StatusInternalServerError:
		return told{"Something went wrong on our side", "It is not your fault. If you were sending an answer, we cannot say yet whether it arrived.", "Open the link again: it shows your copy if the answer arrived. If not, call the shop."}
	}
	return told{"That did not work", "The answer could not be taken in this way. Nothing was agreed.", "Open the link from the shop’s message again and use the form on the page. You can also call the shop."}
}

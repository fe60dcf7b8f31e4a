package web

import (
	"net/http"
	"net/url"
	"strings"

	"benchtag/internal/app"
	"benchtag/internal/fault"
	"benchtag/internal/shop"
)

// asked is a question of the customer as the page shows it again.
type asked struct {
	Call   bool
	Words  string
	When   string
	At     string
	Answer string
}

// ask takes a question, or the wish to be called. The browser is then sent to
// the page, which shows what was asked; nothing of it answers the offer.
func (p *Pages) ask(w http.ResponseWriter, r *http.Request, visit app.LinkVisit) error {
	if _, err := readForm(r); err != nil {
		return err
	}
	f := r.PostForm
	q := app.LinkQuestion{Token: visit.Token, Kind: shop.QuestionKindQuestion, IP: visit.IP,
		Words: strings.TrimSpace(strings.ToValidUTF8(f.Get("words"), "")), CallWhen: clean(f.Get("call_when"))}
	if f.Get("call") == "yes" {
		q.Kind = shop.QuestionKindCallMe
	}
	err := p.offers.LinkAsk(r.Context(), q)
	if err != nil && fault.Of(err) != fault.Meaning { // an empty one shows the page again
		return err
	}
	secretHeaders(w.Header())
	http.Redirect(w, r, "/c/"+url.PathEscape(visit.Token)+"#ask", http.StatusSeeOther)
	return nil
}

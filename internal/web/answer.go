package web

import (
	"errors"
	"net/http"
	"strings"
	"unicode/utf8"

	"benchtag/internal/app"
	"benchtag/internal/fault"
	"benchtag/internal/shop"
)

// noThanks is the choice of none of the ways. No id of a way can be it.
const noThanks = "no-thank-you"

// The most that may be typed, in characters.
const (
	maxName = 200
	maxNote = 2000
)

// typed is the form as the customer filled it in; it is kept through every
// step, so that nobody types twice.
type typed struct {
	Offer     string // fingerprint of the document shown
	Choice    string // id of a way, or noThanks
	Name      string
	Relation  string
	Note      string
	Agreed    bool
	Paperless bool // the statement on electronic form was ticked
	Back      bool // "change something" was pressed
}

// problems are messages by field; "form" is for the whole.
type problems map[string]string

// page names the page on which the fields at fault can be changed.
func (p problems) page() string {
	for _, name := range []string{"choice", "typed_name", "relation", "note"} {
		if p[name] != "" {
			return "offer.html"
		}
	}
	return "check.html"
}

// readForm reads the form's own body; the query counts for nothing.
func readForm(r *http.Request) (typed, error) {
	if !isForm(r) {
		return typed{}, fault.New(fault.Media, "web.body_no_form", "Send the answer with the form on the page.")
	}
	if err := r.ParseForm(); err != nil {
		var large *http.MaxBytesError
		if errors.As(err, &large) {
			return typed{}, fault.New(fault.TooLarge, "web.form_too_large", "That was too much text. Please write less.").Because(err)
		}
		return typed{}, fault.New(fault.Shape, "web.form_unreadable", "The answer could not be read. Please try again.").Because(err)
	}
	f := r.PostForm
	return typed{
		Offer: f.Get("offer"), Choice: f.Get("choice"), Name: clean(f.Get("typed_name")), Relation: clean(f.Get("relation")),
		Note: strings.TrimSpace(strings.ToValidUTF8(f.Get("note"), "")), Agreed: f.Get("agreed") == "yes", Paperless: f.Get("electronic") == "yes", Back: f.Get("back") == "yes",
	}, nil
}

// clean makes one line of what was typed.
func clean(text string) string {
	return strings.Join(strings.Fields(strings.ToValidUTF8(text, "")), " ")
}

// check looks whether the answer is complete.
func (t typed) check(d app.OfferDocument) problems {
	p := problems{}
	if t.Choice != noThanks && d.Way(shop.ScopeID(t.Choice)) == nil {
		p["choice"] = "Choose one of the ways, or “No, thank you”."
	}
	switch n := utf8.RuneCountInString(t.Name); {
	case n < 2:
		p["typed_name"] = "Type your full name."
	case n > maxName:
		p["typed_name"] = "This name is too long. Use at most 200 letters."
	}
	if utf8.RuneCountInString(t.Relation) > maxName {
		p["relation"] = "This is too long. Use at most 200 letters."
	}
	if utf8.RuneCountInString(t.Note) > maxNote {
		p["note"] = "This is too long. Use at most 2,000 letters, or call us."
	}
	return p
}

// unticked names the boxes of the last step that are not ticked. The one is
// the answer, the other the consent to give it electronically: two things,
// asked apart.
func (t typed) unticked() problems {
	p := problems{}
	if !t.Agreed {
		p["agreed"] = "Tick the box if this is your answer. If not, change it or call us."
	}
	if !t.Paperless {
		p["electronic"] = "Tick the box if you agree to answer electronically. If you want paper instead, call us."
	}
	return p
}

// way gives the way chosen, or nil for "no, thank you".
func (t typed) way(d app.OfferDocument) *app.OfferWay {
	if t.Choice == noThanks {
		return nil
	}
	return d.Way(shop.ScopeID(t.Choice))
}

// answer is what the use case takes.
func (t typed) answer(visit app.LinkVisit) app.LinkAnswer {
	a := app.LinkAnswer{
		Token: visit.Token, SHA256: t.Offer, Decline: t.Choice == noThanks, TypedName: t.Name, Relation: t.Relation,
		Note: t.Note, Agreed: t.Agreed, Electronic: t.Paperless, IP: visit.IP, UserAgent: visit.UserAgent,
	}
	if !a.Decline {
		a.ScopeID = shop.ScopeID(t.Choice)
	}
	return a
}

// fromFault puts a refusal of the use case beside the fields it names.
func fromFault(f *fault.Error) problems {
	p := problems{}
	for _, field := range f.Fields {
		name := strings.TrimPrefix(field.Pointer, "/")
		switch name {
		case "typed_name", "relation", "note", "choice", "agreed", "electronic":
			p[name] = field.Message
		}
	}
	if len(p) == 0 {
		p["form"] = f.Message
	}
	return p
}

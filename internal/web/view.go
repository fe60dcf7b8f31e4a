package web

import (
	"encoding/json"
	"slices"
	"strconv"
	"strings"
	"time"

	"benchtag/internal/app"
	"benchtag/internal/money"
	"benchtag/internal/shop"
)

// letter is the document as the page shows it: all text made, nothing left to
// decide in a template.
type letter struct {
	Shop       app.OfferShop
	Dial       string // the phone number as a telephone takes it
	Number     int64
	Machine    string
	Job        string
	Question   string
	AskedAt    string
	PriceTill  string
	Concerns   []concern
	Began      []finding // the first causes
	Then       []finding // what they did
	Unsafe     []string  // what is not safe to ride with
	Findings   []finding
	NotLooked  []finding
	Ways       []way
	Cautions   []string
	Statement  string
	Rule       ruleNote
	Legend     []legend
	Open       bool // whether price lines stand open
	TaxInLines bool
}

type concern struct{ Words, Answer, Note string }

type finding struct {
	Component string
	Mark      *mark
	Damage    string
	Safe      string
	Advised   string
	First     bool
	CausedBy  string
	NotLooked string
	Photos    []photo
}

// photo is a picture of a finding, in the size it takes on the page.
type photo struct {
	ID            string
	Alt, Caption  string
	Width, Height int64
	Drawn         *drawing // over it, or nil
	Notes         []string
	Erased        bool
}

// previewEdge is the long edge of the small copy that the page shows, in
// pixels.
const previewEdge = 480

func photosOf(f app.OfferFinding, erased []shop.PhotoID) []photo {
	var out []photo
	for _, p := range f.Photos {
		long := max(p.Width, p.Height, 1)
		shown := photo{ID: string(p.PhotoID), Alt: "Photo: " + f.Component, Caption: p.Shows, Width: p.Width, Height: p.Height,
			Drawn: drawingOf(p), Notes: p.Notes, Erased: slices.Contains(erased, p.PhotoID)}
		if long > previewEdge {
			shown.Width, shown.Height = max(1, p.Width*previewEdge/long), max(1, p.Height*previewEdge/long)
		}
		if p.Shows != "" {
			shown.Alt += ", " + p.Shows
		}
		out = append(out, shown)
	}
	return out
}

// mark is a condition: numeral, bars and word. Colour alone says nothing.
type mark struct {
	Grade int
	Word  string
	Bars  []bar
}

type bar struct {
	X, Y, H int
	On      bool
}

type legend struct {
	Mark    *mark
	Meaning string
}

type way struct {
	ID       string
	Letter   string
	Title    string
	What     string
	Warranty string
	Range    string // from–to with tax
	AtMost   string
	Before   string // agreed to before, if anything
	Together string // that and this way
	Deposit  string
	When     string
	Unknown  string
	Ride     string
	RideNote string
	Terms    []term
	Lines    []line
	Sums     []sum
}

type term struct{ Name, Said string }

type line struct{ Text, Kind, Certainty, Range string }

type sum struct {
	Name, Range string
	Total       bool
}

// ruleNote is what the page says of the consent rule inside the document.
type ruleNote struct {
	Name     string  `json:"name"`
	Citation string  `json:"citation"`
	Read     string  `json:"retrieved"`
	Verified *string `json:"verified_on"`
}

// letterOf turns the document into what the page shows.
func letterOf(d app.OfferDocument, erased []shop.PhotoID) letter {
	l := letter{
		Shop: d.Shop, Dial: dial(d.Shop.Phone), Number: d.Number, Machine: d.Machine, Job: d.Job,
		Question: kindQuestion(d.Kind), AskedAt: instant(d.AskedAt, d.Shop.TimeZone), PriceTill: day(d.PriceTill),
		Cautions: d.Cautions, Statement: d.Statement, TaxInLines: d.TaxMode == shop.TaxModeInclusive,
	}
	for _, c := range d.Concerns {
		l.Concerns = append(l.Concerns, concern{Words: c.Words, Answer: answerWords(c.Answer), Note: c.Note})
	}
	l.addFindings(d.Findings, erased)
	for i, w := range d.Ways {
		shown := wayOf(w, i, d.Currency)
		if before := d.Before[w.ScopeID].Gross; before > 0 {
			shown.Before = amount(before, d.Currency)
			shown.Together = spread(before+w.Low.Gross, before+w.High.Gross, d.Currency)
		}
		l.Ways = append(l.Ways, shown)
	}
	for g := range gradeWords() {
		l.Legend = append(l.Legend, legend{markOf(new(int64(g))), gradeMeanings()[g]})
	}
	// A rule that cannot be read is not shown; the document still holds it.
	_ = json.Unmarshal(d.Rule, &l.Rule)
	return l
}

// addFindings puts the first cause first and then the worst, as a story goes.
func (l *letter) addFindings(findings []app.OfferFinding, erased []shop.PhotoID) {
	findings = slices.Clone(findings)
	slices.SortStableFunc(findings, func(x, y app.OfferFinding) int { return weight(y) - weight(x) })
	for _, f := range findings {
		shown := finding{
			Component: f.Component, Mark: markOf(f.Grade), Damage: sentence(damageWords(f.DamageMode)), Safe: safeWords(f.SafeToRide),
			Advised: advisedWords(f.Advised), First: f.FirstCause, NotLooked: f.NotLooked, CausedBy: f.CausedBy, Photos: photosOf(f, erased),
		}
		switch {
		case f.FirstCause:
			l.Began = append(l.Began, shown)
		case f.CausedBy != "" && f.NotLooked == "":
			l.Then = append(l.Then, shown)
		}
		if f.SafeToRide == shop.YesNoNo {
			l.Unsafe = append(l.Unsafe, f.Component)
		}
		if f.NotLooked != "" {
			l.NotLooked = append(l.NotLooked, shown)
			continue
		}
		l.Findings = append(l.Findings, shown)
	}
}

func weight(f app.OfferFinding) int {
	switch {
	case f.FirstCause:
		return 10
	case f.Grade == nil:
		return -1
	}
	return int(*f.Grade)
}

// markOf draws a grade, or nothing where there is no data.
func markOf(grade *int64) *mark {
	if grade == nil || *grade < 0 || int(*grade) >= len(gradeWords()) {
		return nil
	}
	m := &mark{Grade: int(*grade), Word: gradeWords()[*grade]}
	for i := range gradeWords() {
		height := 6 + 3*i
		m.Bars = append(m.Bars, bar{X: 1 + 8*i, Y: 19 - height, H: height, On: i <= m.Grade})
	}
	return m
}

func wayOf(w app.OfferWay, index int, c money.Currency) way {
	shown := way{
		ID: string(w.ScopeID), Letter: letterName(index), Title: w.Title, What: w.WhatWeDo,
		Warranty: or(w.Warranty, "Nothing is said. Ask the shop."),
		Range:    spread(w.Low.Gross, w.High.Gross, c),
		AtMost:   amount(w.High.Gross, c),
		Deposit:  "None.",
		When:     "Not known yet. Ask the shop.",
		Unknown:  or(w.StaysUnknown, "The shop named nothing. Ask if you are not sure."),
		Ride:     rideWords(w.MayRide), RideNote: w.RideNote, Terms: termsOf(w.Terms), Sums: sumsOf(w, c),
	}
	if w.Deposit != nil && *w.Deposit != 0 {
		shown.Deposit = amount(*w.Deposit, c)
	}
	if w.EarliestOn != "" {
		shown.When = "Ready on " + day(w.EarliestOn) + " at the earliest."
	}
	for _, l := range w.Lines {
		shown.Lines = append(shown.Lines, line{
			Text: l.Description, Kind: lineWords(l.Kind), Certainty: certaintyWords(l.Certainty), Range: spread(l.Low, l.High, c),
		})
	}
	return shown
}

// letterName gives A to Z, then 27 and so on: a name to say on the phone.
func letterName(index int) string {
	if index < 26 {
		return string(rune('A' + index))
	}
	return strconv.Itoa(index + 1)
}

func termsOf(t *shop.TeardownTerms) []term {
	if t == nil {
		return nil
	}
	terms := []term{
		{"What comes apart", t.AreaOrComponent},
		{"Cost to take apart", t.TeardownCost},
		{"Cost to put back", t.ReassemblyCost},
		{"Parts and work that cannot be used again", t.PartsAndLaborDestroyed},
		{"Longest time to put it back", t.MaxReassemblyTime},
		{"Might it never be as it was?", t.MayPreventRestoration},
	}
	for i := range terms {
		terms[i].Said = or(terms[i].Said, "Not said. Ask the shop.")
	}
	return terms
}

func sumsOf(w app.OfferWay, c money.Currency) []sum {
	sums := []sum{
		{Name: "Sum without tax", Range: spread(w.Low.Net, w.High.Net, c)},
		{Name: "Tax", Range: spread(w.Low.Tax, w.High.Tax, c)},
	}
	if w.Low.Rounding != 0 || w.High.Rounding != 0 {
		sums = append(sums, sum{Name: "Rounding", Range: spread(w.Low.Rounding, w.High.Rounding, c)})
	}
	return append(sums, sum{Name: "To pay", Range: spread(w.Low.Gross, w.High.Gross, c), Total: true})
}

// spread writes a range, or one amount where both ends are the same.
func spread(low, high money.Amount, c money.Currency) string {
	if low == high {
		return amount(low, c)
	}
	return amount(low, c) + " to " + amount(high, c)
}

// amount writes money for the page: code and digits stay on one line.
func amount(a money.Amount, c money.Currency) string {
	return strings.Replace(app.AmountWords(a, c), " ", "\u00a0", 1)
}

// sentence makes the first letter a capital; the words here begin with ASCII.
func sentence(words string) string {
	if words == "" {
		return ""
	}
	return strings.ToUpper(words[:1]) + words[1:]
}

func or(said, otherwise string) string {
	if strings.TrimSpace(said) == "" {
		return otherwise
	}
	return said
}

// day writes a date in full, so that no country reads month for day.
func day(d shop.Date) string {
	t, err := time.Parse(time.DateOnly, string(d))
	if err != nil {
		return string(d)
	}
	return t.Format("Monday 2 January 2006")
}

// instant writes an RFC 3339 time in the shop's zone, or in UTC where that is
// not known, and always says which.
func instant(text, zone string) string {
	t, err := time.Parse(time.RFC3339, text)
	if err != nil {
		return text
	}
	place, err := time.LoadLocation(zone)
	if err != nil || zone == "" || zone == "Local" {
		return t.UTC().Format("Monday 2 January 2006, 15:04") + " UTC"
	}
	return t.In(place).Format("Monday 2 January 2006, 15:04 (UTC-07:00)")
}

// dial keeps of a phone number what a telephone takes.
func dial(phone string) string {
	return strings.Map(func(r rune) rune {
		if r >= '0' && r <= '9' || r == '+' {
			return r
		}
		return -1
	}, phone)
}

// inBlocks writes a fingerprint in groups of eight, to be compared by eye.
func inBlocks(hash string) []string {
	var blocks []string
	for len(hash) > 8 {
		blocks, hash = append(blocks, hash[:8]), hash[8:]
	}
	return append(blocks, hash)
}

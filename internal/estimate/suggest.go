package estimate

import (
	"cmp"
	"slices"
	"strconv"

	"benchtag/internal/shop"
)

// ScopeKey names a way forward.
type ScopeKey string

// The ways forward, in the order proposed.
const (
	ScopeFirstCause  ScopeKey = "first_cause"
	ScopeEverything  ScopeKey = "everything"
	ScopeLookFurther ScopeKey = "look_further"
	ScopePutBack     ScopeKey = "put_back"
)

// ScopeKeys lists every way forward.
func ScopeKeys() []ScopeKey {
	return []ScopeKey{ScopeFirstCause, ScopeEverything, ScopeLookFurther, ScopePutBack}
}

// Title says a way forward in the shop's words.
func (k ScopeKey) Title() string {
	switch k {
	case ScopeFirstCause:
		return "The first cause alone"
	case ScopeEverything:
		return "Everything found"
	case ScopeLookFurther:
		return "Everything found, and look further"
	}
	return "Put back, movable only, do not start"
}

// ProposedLine is a line with what it is for.
type ProposedLine struct {
	Line
	// For is the finding or unseen component it is for; "" for opening and closing.
	For string `json:"for,omitempty"`
}

// Scope is one way forward proposed. It names what it repairs and what it
// leaves; nothing in it is agreed.
type Scope struct {
	Key   ScopeKey `json:"key"`
	Title string   `json:"title"`
	Lines []string `json:"lines"` // ids of its lines
	// Repairs and Stays are ids of findings, in the order given; a finding
	// that is to be used again and known to be safe is in neither.
	Repairs []string `json:"repairs"`
	Stays   []string `json:"stays"`
	// Exposed and NotLookedAt are components that stay unseen.
	Exposed     []string `json:"exposed"`
	NotLookedAt []string `json:"not_looked_at"`
	// Riding is whether the machine may be ridden afterwards, subject to
	// pre-ride checks and road test; never yes where something is unknown.
	Riding    shop.YesNo `json:"riding"`
	RidingWhy []string   `json:"riding_why"`
	// PricesMissing and MinutesMissing name what its totals lack.
	PricesMissing  []string `json:"prices_missing"`
	MinutesMissing []string `json:"minutes_missing"`
	Notes          []string `json:"notes"`
	Totals         Totals   `json:"totals"`
}

// MissingPrice is a part without a price; it has no line.
type MissingPrice struct {
	For  string `json:"for"` // a finding, an unseen component or a step
	Name string `json:"name"`
}

// Suggestion is a proposal that a person edits.
type Suggestion struct {
	Lines         []ProposedLine `json:"lines"`
	Scopes        []Scope        `json:"scopes"`
	PricesMissing []MissingPrice `json:"prices_missing"`
	Working       []string       `json:"working"`
	Warnings      []string       `json:"warnings"`
}

// Suggest proposes lines and ways forward from what was found: the first
// cause alone, everything found, everything found with a look further, and
// putting it back without running it. A way that would repeat another or be
// empty is left out; putting back is always there.
//
// Opening up and closing stands in each way forward as a line of its own,
// each step once, so that striking any other line leaves the rest as dear as
// shown. A part without a price gives no line and stands under
// PricesMissing. A machine with a dangerous finding left in it is never
// proposed to be ridden, nor one put back; where anything relevant is not
// known, riding is not known.
//
// It fails with a Meaning fault on a situation or rules that cannot be
// meant, and where Total does.
func Suggest(s Situation, rules Rules) (Suggestion, error) {
	known, err := s.check()
	if err != nil {
		return Suggestion{}, err
	}
	p := proposal{Situation: s, rules: rules, known: known}
	p.out.Lines, p.out.Scopes = []ProposedLine{}, []Scope{}
	p.out.PricesMissing, p.out.Working = p.pricesMissing(), []string{}
	p.out.Warnings = p.warnings()
	for _, way := range p.ways() {
		err := p.propose(way)
		if err != nil {
			return Suggestion{}, err
		}
	}
	return p.out, nil
}

// proposal is a suggestion under way.
type proposal struct {
	Situation
	rules Rules
	known map[string]thing
	out   Suggestion
}

// way is a way forward before it is priced: what is worked on in it.
type way struct {
	key    ScopeKey
	repair map[string]bool // findings, by id
	look   map[string]bool // findings and unseen components looked at further
}

// ways lists the ways forward worth proposing.
func (p *proposal) ways() []way {
	first, all, look := map[string]bool{}, map[string]bool{}, map[string]bool{}
	for _, f := range p.Findings {
		if f.repairable() {
			all[f.ID] = true
			first[f.ID] = f.FirstCause
		}
		if f.Advised == shop.AdvisedLookFurther {
			look[f.ID] = true
		}
	}
	for id, is := range first {
		if !is {
			delete(first, id)
		}
	}
	for _, u := range p.Unseen {
		look[u.Component] = true
	}
	var out []way
	if len(first) > 0 && len(first) < len(all) {
		out = append(out, way{ScopeFirstCause, first, nil})
	}
	if len(all) > 0 {
		out = append(out, way{ScopeEverything, all, nil})
	}
	if len(look) > 0 {
		out = append(out, way{ScopeLookFurther, all, look})
	}
	return append(out, way{key: ScopePutBack})
}

// on reports whether a way works on the thing.
func (w way) on(id string) bool { return w.repair[id] || w.look[id] }

// propose prices one way forward and adds it.
func (p *proposal) propose(w way) error {
	sc := Scope{
		Key: w.key, Title: w.key.Title(), Lines: []string{}, Repairs: []string{}, Stays: []string{}, Exposed: []string{}, NotLookedAt: []string{},
		RidingWhy: []string{}, PricesMissing: []string{}, MinutesMissing: []string{}, Notes: []string{},
	}
	lines := p.lines(w, &sc)
	plain := make([]Line, len(lines))
	for i, l := range lines {
		plain[i] = l.Line
		sc.Lines = append(sc.Lines, l.ID)
		if !slices.ContainsFunc(p.out.Lines, func(o ProposedLine) bool { return o.ID == l.ID }) {
			p.out.Lines = append(p.out.Lines, l)
		}
	}
	p.leave(w, &sc)
	p.ride(w, &sc)
	r, err := Total(plain, p.rules)
	if err != nil {
		return err
	}
	sc.Totals = r.Totals
	p.out.Working = append(p.out.Working, "— "+sc.Title+" —", p.openingWords(w))
	p.out.Working = append(p.out.Working, r.Working...)
	p.out.Scopes = append(p.out.Scopes, sc)
	return nil
}

// lines lists what a way takes: opening and closing first, then the work on
// each thing in the order given.
func (p *proposal) lines(w way, sc *Scope) []ProposedLine {
	out := p.openingLines(w, sc)
	for _, f := range p.Findings {
		if w.repair[f.ID] {
			out = append(out, p.workOn(f.ID, sc)...)
		}
		if w.look[f.ID] {
			out = append(out, p.lookAt(f.ID, sc)...)
		}
	}
	for _, u := range p.Unseen {
		if w.look[u.Component] {
			out = append(out, p.lookAt(u.Component, sc)...)
			out = append(out, p.workOn(u.Component, sc)...)
		}
	}
	return out
}

// openMinutes is what a way takes to open and to close, each step once.
func (p *proposal) openMinutes(w way) (open, back int64) {
	for _, s := range p.Steps {
		switch {
		case s.Done:
			back += s.Back
		case slices.ContainsFunc(s.NeededBy, w.on):
			open, back = open+s.Minutes, back+s.Back
		}
	}
	return open, back
}

func (p *proposal) openingLines(w way, sc *Scope) []ProposedLine {
	var out []ProposedLine
	open, back := p.openMinutes(w)
	if open+back > 0 {
		out = append(out, ProposedLine{Line: p.labour("opening_closing:"+string(w.key), "Opening up and closing, once", open+back)})
	}
	if w.key == ScopePutBack {
		return out
	}
	for _, s := range p.Steps {
		if !s.Done && !slices.ContainsFunc(s.NeededBy, w.on) {
			continue
		}
		for n, d := range s.Destroys {
			id := "used_once:" + s.Key + ":" + strconv.Itoa(n)
			if d.Price == nil {
				sc.PricesMissing = append(sc.PricesMissing, d.Name)
				continue
			}
			line := p.goods(id, d.Name+", used once", Part)
			line.Milli, line.UnitPrice = cmp.Or(d.Milli, milliPerUnit), *d.Price
			out = append(out, ProposedLine{Line: line})
		}
	}
	return out
}

func (p *proposal) labour(id, label string, minutes int64) Line {
	return Line{ID: id, Label: label, Kind: Labour, Certainty: Certain, TaxCategory: p.Rates.LabourTax, Minutes: minutes, UnitPrice: p.Rates.Labour}
}

func (p *proposal) goods(id, label string, kind LineKind) Line {
	return Line{ID: id, Label: label, Kind: kind, Certainty: Certain, TaxCategory: p.Rates.PartsTax}
}

// workOn lists the repair of one thing: its own minutes and its parts.
func (p *proposal) workOn(id string, sc *Scope) []ProposedLine {
	var out []ProposedLine
	on := p.known[id]
	timed := on.unseen // nobody expects minutes of work that may not come
	for i, r := range p.Repairs {
		if r.For != id {
			continue
		}
		timed = true
		line := p.labour("repair:"+strconv.Itoa(i)+":"+id, on.name+", own work", r.Minutes)
		line.Certainty = certainty(r.Certainty, on)
		out = append(out, ProposedLine{Line: line, For: id})
	}
	if !timed {
		sc.MinutesMissing = append(sc.MinutesMissing, on.name)
	}
	for i, w := range p.Parts {
		if w.For != id {
			continue
		}
		if w.Price == nil {
			sc.PricesMissing = append(sc.PricesMissing, w.Name)
			continue
		}
		line := p.goods("part:"+strconv.Itoa(i)+":"+id, w.Name, cmp.Or(w.Kind, Part))
		line.Milli, line.UnitPrice, line.Certainty = cmp.Or(w.Milli, milliPerUnit), *w.Price, certainty(w.Certainty, on)
		if line.Certainty == Possible {
			line.Ceiling = w.Ceiling
		}
		out = append(out, ProposedLine{Line: line, For: id})
	}
	return out
}

// certainty is what was said, or certain; possible for what nobody has seen.
func certainty(said Certainty, on thing) Certainty {
	if on.unseen {
		return Possible
	}
	return cmp.Or(said, Certain)
}

func (p *proposal) lookAt(id string, sc *Scope) []ProposedLine {
	var out []ProposedLine
	for i, l := range p.Looks {
		if l.For == id {
			line := p.labour("look:"+strconv.Itoa(i)+":"+id, p.known[id].name+", look further", l.Minutes)
			out = append(out, ProposedLine{Line: line, For: id})
		}
	}
	if len(out) == 0 {
		sc.MinutesMissing = append(sc.MinutesMissing, p.known[id].name+", look further")
	}
	return out
}

// pricesMissing lists every part without a price.
func (p *proposal) pricesMissing() []MissingPrice {
	out := []MissingPrice{}
	for _, w := range p.Parts {
		if w.Price == nil {
			out = append(out, MissingPrice{w.For, w.Name})
		}
	}
	for _, s := range p.Steps {
		for _, d := range s.Destroys {
			if d.Price == nil {
				out = append(out, MissingPrice{s.Key, d.Name})
			}
		}
	}
	return out
}

package figures

import (
	"cmp"
	"maps"
	"slices"
)

// Sold is labour sold on a job, in minutes.
type Sold struct {
	Job     string `json:"job"`
	Minutes int64  `json:"minutes"`
	// By is the technician it belongs to; "" divides it between all who worked
	// on the job, in proportion to their minutes.
	By string `json:"by,omitempty"`
}

// Worked is bench time of a technician on a job, in minutes.
type Worked struct {
	Job     string `json:"job"`
	By      string `json:"by"`
	Minutes int64  `json:"minutes"`
}

// Efficiency is hours sold against hours worked.
type Efficiency struct {
	By string `json:"by"` // "" in a total
	// Sold is in thousandths of a minute, as decimal text in minutes.
	Sold   Thousandths `json:"sold_minutes"`
	Worked int64       `json:"worked_minutes"`
	Jobs   int64       `json:"jobs"`
	// Percent is 100 × sold/worked; nil where nothing was worked.
	Percent *Number `json:"efficiency_percent"`
}

// Thousandths is a count of thousandths. In JSON it is decimal text of the
// whole.
type Thousandths int64

// MarshalText writes the whole with three places at most.
func (t Thousandths) MarshalText() ([]byte, error) { return []byte(t.String()), nil }

// String is the same, for a sentence.
func (t Thousandths) String() string { return Span(t * 1000).String() }

// Hours is how labour sold stands against labour worked.
type Hours struct {
	Technicians []Efficiency `json:"technicians"` // by name
	Total       Efficiency   `json:"total"`
	// Unworked is labour sold on jobs on which nobody worked; it is in the
	// total and in nobody's own.
	Unworked Thousandths `json:"sold_unworked_minutes"`
	// Unsold is minutes worked on jobs with nothing sold; they count as worked.
	Unsold int64 `json:"worked_unsold_minutes"`
	// Divided are the parts that labour was divided into, for the working.
	Divided []Division `json:"-"`
}

// Division is a technician's part of labour sold on a job.
type Division struct {
	Sold
	Part Thousandths
}

// mostMinutes bounds one row, so that no product overflows: about two years.
const mostMinutes = 1_000_000

// Sell sets labour sold against labour worked. What was sold on a job without a
// name is divided by minutes worked on it, to thousandths of a minute by largest
// remainder, so that the parts add up exactly. Faults: figures.minutes_outside,
// figures.by_missing, figures.rows_too_many.
func Sell(sold []Sold, worked []Worked) (Hours, error) {
	err := checkHours(sold, worked)
	if err != nil {
		return Hours{}, err
	}
	b := books{people: map[string]*Efficiency{}, jobs: map[string]map[string]int64{}, seen: map[[2]string]bool{}, sold: map[string]bool{}}
	for _, w := range worked {
		b.work(w)
	}
	for _, s := range sold {
		b.sell(s)
	}
	return b.hours(), nil
}

func checkHours(sold []Sold, worked []Worked) error {
	for i, s := range sold {
		if s.Minutes < 0 || s.Minutes > mostMinutes {
			return invalid("minutes_outside", row("sold", i, "minutes"), "Give minutes from 0 to 1000000.")
		}
	}
	for i, w := range worked {
		switch {
		case w.Minutes < 0 || w.Minutes > mostMinutes:
			return invalid("minutes_outside", row("worked", i, "minutes"), "Give minutes from 0 to 1000000.")
		case w.By == "":
			return invalid("by_missing", row("worked", i, "by"), "Say who worked.")
		}
	}
	return cmp.Or(bounded("/sold", len(sold)), bounded("/worked", len(worked)))
}

// books gather minutes.
type books struct {
	people map[string]*Efficiency
	jobs   map[string]map[string]int64 // minutes by job and name
	seen   map[[2]string]bool          // name and job
	sold   map[string]bool             // jobs with something sold
	total  Efficiency
	unwork Thousandths
	parts  []Division
}

func (b *books) person(name string) *Efficiency {
	if b.people[name] == nil {
		b.people[name] = &Efficiency{By: name}
	}
	return b.people[name]
}

// on notes that somebody had to do with a job.
func (b *books) on(name, job string) {
	if !b.seen[[2]string{name, job}] {
		b.seen[[2]string{name, job}] = true
		b.person(name).Jobs++
	}
}

func (b *books) work(w Worked) {
	if b.jobs[w.Job] == nil {
		b.jobs[w.Job] = map[string]int64{}
	}
	b.jobs[w.Job][w.By] += w.Minutes
	b.person(w.By).Worked += w.Minutes
	b.total.Worked += w.Minutes
	b.on(w.By, w.Job)
}

func (b *books) sell(s Sold) {
	amount := Thousandths(s.Minutes * 1000)
	b.total.Sold += amount
	b.sold[s.Job] = true
	if s.By != "" {
		b.person(s.By).Sold += amount
		b.on(s.By, s.Job)
		return
	}
	shares := divide(amount, b.jobs[s.Job])
	if shares == nil {
		b.unwork += amount
	}
	for _, name := range slices.Sorted(maps.Keys(shares)) {
		b.person(name).Sold += shares[name]
		if len(b.parts) < MostPieces {
			b.parts = append(b.parts, Division{Sold{s.Job, s.Minutes, name}, shares[name]})
		}
	}
}

// divide divides an amount in proportion to minutes, what is left over to the
// largest remainders, by name where they are equal; nil where nobody worked.
func divide(amount Thousandths, minutes map[string]int64) map[string]Thousandths {
	var all int64
	for _, m := range minutes {
		all += m
	}
	if all == 0 {
		return nil
	}
	type rest struct {
		name string
		over Thousandths
	}
	shares, rests, left := map[string]Thousandths{}, []rest{}, amount
	for name, m := range minutes {
		// At most 1e9 times 2e10, spread over 20000 rows of a million minutes.
		whole, over := mulDiv(int64(amount), m, all)
		shares[name] = Thousandths(whole)
		rests = append(rests, rest{name, Thousandths(over)})
		left -= shares[name]
	}
	slices.SortFunc(rests, func(a, b rest) int { return cmp.Or(cmp.Compare(b.over, a.over), cmp.Compare(a.name, b.name)) })
	for i := range left {
		shares[rests[i].name]++
	}
	return shares
}

func (b *books) hours() Hours {
	out := Hours{Technicians: []Efficiency{}, Unworked: b.unwork, Divided: b.parts}
	for _, p := range b.people {
		p.Percent = percent(p.Sold, p.Worked)
		out.Technicians = append(out.Technicians, *p)
	}
	slices.SortFunc(out.Technicians, func(x, y Efficiency) int { return cmp.Compare(x.By, y.By) })
	jobs := map[string]bool{}
	for job, people := range b.jobs {
		jobs[job] = true
		for _, minutes := range people {
			if !b.sold[job] {
				out.Unsold += minutes
			}
		}
	}
	for job := range b.sold {
		jobs[job] = true
	}
	out.Total = b.total
	out.Total.Jobs, out.Total.Percent = int64(len(jobs)), percent(b.total.Sold, b.total.Worked)
	return out
}

func percent(sold Thousandths, worked int64) *Number {
	if worked == 0 {
		return nil
	}
	return some(float64(sold) / 10 / float64(worked))
}

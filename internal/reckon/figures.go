package reckon

import (
	"fmt"
	"math"
	"strings"
	"time"

	"benchtag/internal/fault"
	"benchtag/internal/figures"
	"benchtag/internal/measure"
)

// figuresIn is rows to count over; Call says what to count.
type figuresIn struct {
	// Call is times, hours, approvals, comebacks, share, survival, line, wear
	// or rank.
	Call string `json:"call"`
	// Level is of the intervals.
	Level string `json:"level,omitempty"`
	// Until is up to when to count what has no end.
	Until *time.Time `json:"until,omitempty"`

	Events []figures.Entry `json:"events,omitempty"`
	Waits  []figures.Wait  `json:"waits,omitempty"`
	Holds  []figures.Hold  `json:"holds,omitempty"`

	Sold   []figures.Sold   `json:"sold,omitempty"`
	Worked []figures.Worked `json:"worked,omitempty"`

	Offers []figures.Asked    `json:"offers,omitempty"`
	Jobs   []figures.Released `json:"jobs,omitempty"`
	Modes  []figures.Mode     `json:"modes,omitempty"`

	shareIn
	survivalIn
	lineIn
}

// shareIn is a count with prior weights.
type shareIn struct {
	Hits   int64  `json:"hits,omitempty"`
	Trials int64  `json:"trials,omitempty"`
	A      string `json:"a,omitempty"`
	B      string `json:"b,omitempty"`
}

// survivalIn is times to an event, as decimal text; one with a plus sign behind
// it is censored.
type survivalIn struct {
	Times    []string `json:"times,omitempty"`
	Against  []string `json:"against,omitempty"`
	Interval string   `json:"interval,omitempty"`
}

// lineIn is points in plain numbers, or readings with units.
type lineIn struct {
	Points   []pointIn `json:"points,omitempty"`
	At       []string  `json:"at,omitempty"`
	Readings []wornIn  `json:"readings,omitempty"`
	Limit    *Quantity `json:"limit,omitempty"`
	// Side says whether the limit is a max or a min.
	Side string `json:"side,omitempty"`
}

type pointIn struct {
	X string `json:"x"`
	Y string `json:"y"`
}

type wornIn struct {
	Distance Quantity `json:"distance"`
	Value    Quantity `json:"value"`
}

// survivalOut is one curve, or two with their comparison.
type survivalOut struct {
	Curve   figures.Curve       `json:"curve"`
	Against *figures.Curve      `json:"against"`
	LogRank *figures.Comparison `json:"log_rank"`
}

type lineOut struct {
	Line *figures.Line     `json:"line"` // null: no data
	At   []figures.Reading `json:"at"`
}

// wearOut is a forecast in the units of the first distance and of the limit.
type wearOut struct {
	figures.Forecast
	DistanceUnit string `json:"distance_unit"`
	ValueUnit    string `json:"value_unit"`
}

type rankOut struct {
	Modes []figures.Ranked `json:"modes"`
}

// FiguresRevision is raised when an answer can change; who counts with the
// functions of package figures itself names it too.
const FiguresRevision = "1"

func figuresEngine() Engine {
	return engine("figures", FiguresRevision, "Counts over jobs: time by stage and whose move, hours, answers, comebacks, survival, wear over distance, risk numbers.", figuresAnswer)
}

func figuresAnswer(in figuresIn) (Answer, error) {
	level, err := in.level()
	if err != nil {
		return Answer{}, err
	}
	switch in.Call {
	case "times":
		return timesAnswer(in)
	case "hours":
		return hoursAnswer(in)
	case "approvals":
		return approvalsAnswer(in, level)
	case "comebacks":
		return comebacksAnswer(in, level)
	case "share":
		return shareAnswer(in.shareIn, level)
	case "survival":
		return survivalAnswer(in.survivalIn, level)
	case "line":
		return lineAnswer(in.lineIn, level)
	case "wear":
		return wearAnswer(in.lineIn, level)
	case "rank":
		return rankAnswer(in.Modes)
	}
	return Answer{}, fault.Invalid("figures.call_unknown", "/call", "Say times, hours, approvals, comebacks, share, survival, line, wear or rank.")
}

func (in figuresIn) level() (figures.Level, error) {
	level := float64(figures.DefaultLevel)
	err := readPlain(plainFigure{"/level", in.Level, level, &level})
	return figures.Level(level), err
}

func (in figuresIn) until() (time.Time, error) {
	if in.Until == nil {
		return time.Time{}, fault.Invalid("figures.until_missing", "/until", "Say in until up to when to count what has no end, like 2026-05-01T12:00:00Z.")
	}
	return *in.Until, nil
}

func timesAnswer(in figuresIn) (Answer, error) {
	until, err := in.until()
	if err != nil {
		return Answer{}, err
	}
	spent, err := figures.TimeSpent(figures.Times{Entries: in.Events, Waits: in.Waits, Holds: in.Holds, Until: until})
	return Answer{Value: spent, Working: timesWorking(spent)}, err
}

func hoursAnswer(in figuresIn) (Answer, error) {
	hours, err := figures.Sell(in.Sold, in.Worked)
	return Answer{Value: hours, Working: hoursWorking(hours), Warnings: []string{
		"Hours sold against hours worked say nothing of the quality of the work: set them beside comebacks.",
	}}, err
}

func approvalsAnswer(in figuresIn, level figures.Level) (Answer, error) {
	until, err := in.until()
	if err != nil {
		return Answer{}, err
	}
	a, err := figures.Approve(in.Offers, until, level)
	return Answer{Value: a, Working: approvalsWorking(a, level), Warnings: few(a.Rate.Trials)}, err
}

func comebacksAnswer(in figuresIn, level figures.Level) (Answer, error) {
	until, err := in.until()
	if err != nil {
		return Answer{}, err
	}
	c, err := figures.ComeBack(in.Jobs, until, level)
	return Answer{Value: c, Working: comebacksWorking(c, level), Warnings: append(few(c.Rate.Trials),
		"A job closed lately has had little time to come back: the curve allows for that, the rate does not.")}, err
}

func shareAnswer(in shareIn, level figures.Level) (Answer, error) {
	prior := figures.Prior{For: 1, Against: 1}
	err := readPlain(plainFigure{"/a", in.A, 1, &prior.For}, plainFigure{"/b", in.B, 1, &prior.Against})
	if err != nil {
		return Answer{}, err
	}
	p, err := figures.Share(figures.Count{Hits: in.Hits, Trials: in.Trials}, prior, level)
	return Answer{Value: p, Working: proportionWorking(p, level), Warnings: few(p.Trials)}, err
}

// few warns of a small count.
func few(n int64) []string {
	const enough = 30
	switch {
	case n == 0:
		return []string{"No data."}
	case n < enough:
		return []string{fmt.Sprintf("From %d cases: go by the interval, not by the figure.", n)}
	}
	return nil
}

// observations reads times to an event.
func observations(list string, texts []string) ([]figures.Observation, error) {
	out := make([]figures.Observation, len(texts))
	for i, text := range texts {
		number, censored := strings.CutSuffix(text, "+")
		var o figures.Observation
		err := readPlain(plainFigure{fmt.Sprintf("/%s/%d", list, i), number, math.NaN(), &o.Time})
		if err != nil {
			return nil, err
		}
		o.Event = !censored
		out[i] = o
	}
	return out, nil
}

func survivalAnswer(in survivalIn, level figures.Level) (Answer, error) {
	transform := figures.LogLog
	if in.Interval != "" {
		transform = figures.Transform(in.Interval)
	}
	first, err := observations("times", in.Times)
	if err != nil {
		return Answer{}, err
	}
	var out survivalOut
	out.Curve, err = figures.Survival(first, level, transform)
	if err != nil || in.Against == nil {
		return Answer{Value: out, Working: curveWorking("", out.Curve), Warnings: few(int64(len(first)))}, err
	}
	second, err := observations("against", in.Against)
	if err != nil {
		return Answer{}, err
	}
	curve, err := figures.Survival(second, level, transform)
	if err != nil {
		return Answer{}, err
	}
	test, err := figures.Compare(first, second)
	out.Against, out.LogRank = &curve, &test
	working := append(curveWorking("First group: ", out.Curve), curveWorking("Second group: ", curve)...)
	return Answer{Value: out, Working: append(working, logRankWorking(test)...), Warnings: few(int64(min(len(first), len(second))))}, err
}

func lineAnswer(in lineIn, level figures.Level) (Answer, error) {
	var points []figures.Point
	for i, p := range in.Points {
		var q figures.Point
		err := readPlain(plainFigure{fmt.Sprintf("/points/%d/x", i), p.X, math.NaN(), &q.X}, plainFigure{fmt.Sprintf("/points/%d/y", i), p.Y, math.NaN(), &q.Y})
		if err != nil {
			return Answer{}, err
		}
		points = append(points, q)
	}
	line, err := figures.Fit(points, level)
	if err != nil {
		return Answer{}, err
	}
	out := lineOut{line, []figures.Reading{}}
	for i, text := range in.At {
		var x float64
		err := readPlain(plainFigure{fmt.Sprintf("/at/%d", i), text, math.NaN(), &x})
		if err != nil {
			return Answer{}, err
		}
		if line != nil {
			out.At = append(out.At, line.At(x))
		}
	}
	verdict := ""
	if line == nil {
		verdict = string(figures.NoneOutlook)
	}
	return Answer{Verdict: verdict, Value: out, Working: append(lineWorking(line), atWorking(out.At)...)}, nil
}

func wearAnswer(in lineIn, level figures.Level) (Answer, error) {
	w, units, err := in.wear()
	if err != nil {
		return Answer{}, err
	}
	f, err := figures.Reach(w, level)
	out := wearOut{f, string(units.distance), string(units.value)}
	return Answer{Verdict: string(f.Outlook), Value: out, Working: wearWorking(f, w, units), Warnings: []string{
		"Wear need not go on in a straight line: measure again before the low end of the interval, and by the maker's manual in any case.",
		"Readings of one machine say nothing of another.",
	}}, err
}

// units are those that readings were brought to.
type units struct{ distance, value measure.Unit }

// wear brings readings to the unit of the first distance and of the limit.
func (in lineIn) wear() (figures.Wear, units, error) {
	var w figures.Wear
	var u units
	if in.Limit == nil {
		return w, u, fault.Invalid("figures.limit_missing", "/limit", "Give the service limit that the readings run towards.")
	}
	if in.Side != "max" && in.Side != "min" {
		return w, u, fault.Invalid("figures.side_unknown", "/side", "Say whether the limit is a max or a min.")
	}
	limit, err := in.Limit.read("/limit")
	if err != nil {
		return w, u, err
	}
	u.value, w.Upper = limit.Unit, in.Side == "max"
	w.Limit, err = inUnit("/limit", limit, limit.Unit)
	if err != nil {
		return w, u, err
	}
	for i, r := range in.Readings {
		p, err := r.point(fmt.Sprintf("/readings/%d", i), &u)
		if err != nil {
			return w, u, err
		}
		w.Points = append(w.Points, p)
	}
	return w, u, nil
}

// point gives a reading in plain numbers; the first sets the unit of distance.
func (r wornIn) point(pointer string, u *units) (figures.Point, error) {
	distance, err := r.Distance.read(pointer + "/distance")
	if err != nil {
		return figures.Point{}, err
	}
	value, err := r.Value.read(pointer + "/value")
	if err != nil {
		return figures.Point{}, err
	}
	if u.distance == "" {
		u.distance = distance.Unit
	}
	var p figures.Point
	p.X, err = inUnit(pointer+"/distance", distance, u.distance)
	if err != nil {
		return figures.Point{}, err
	}
	p.Y, err = inUnit(pointer+"/value", value, u.value)
	return p, err
}

// inUnit gives a quantity as a plain number of a unit.
func inUnit(pointer string, q measure.Quantity, unit measure.Unit) (float64, error) {
	q, err := measure.Convert(q, unit)
	if err != nil {
		return 0, at(pointer, err)
	}
	return number(pointer, q.Value.String())
}

func rankAnswer(modes []figures.Mode) (Answer, error) {
	ranked, err := figures.Rank(modes)
	return Answer{Value: rankOut{ranked}, Working: rankWorking(ranked), Warnings: []string{
		"Making a fault rarer or easier to find does not make it less severe; severity 9 and 10 come first whatever the number.",
	}}, err
}

package figures

import (
	"math"

	"benchtag/internal/chance"
)

// Point is a reading at a distance (or any x), in plain numbers.
type Point struct{ X, Y float64 }

// Line is a straight line through readings by least squares: y = a + b x, with
// b = Sxy/Sxx, a = ȳ − b x̄ and s² = Σ(y − a − b x)²/(n − 2) (from the
// definition; intervals of Student's t with n − 2 degrees of freedom).
type Line struct {
	N         int64  `json:"n"`
	Slope     Number `json:"slope"`
	Intercept Number `json:"intercept"`
	// Residual is s, SlopeError s/√Sxx, InterceptError s √(1/n + x̄²/Sxx).
	Residual       Number  `json:"residual_sd"`
	SlopeError     Number  `json:"slope_se"`
	InterceptError Number  `json:"intercept_se"`
	R2             *Number `json:"r_squared"` // nil where all y are the same
	Freedom        int64   `json:"degrees_of_freedom"`
	T              Number  `json:"t"` // the point of Student's t that the intervals use
	MeanX          Number  `json:"mean_x"`
	MeanY          Number  `json:"mean_y"`
	Sxx            Number  `json:"s_xx"`

	SlopeInterval Interval `json:"slope_interval"`
}

// Reading is what the line says at an x: Mean is the interval for the line
// itself, a + b x ± t s √(1/n + (x − x̄)²/Sxx), Next the prediction interval for
// one more reading, with 1 + under the root.
type Reading struct {
	X    Number   `json:"x"`
	Y    Number   `json:"y"`
	Mean Interval `json:"line_interval"`
	Next Interval `json:"prediction_interval"`
}

// FewestPoints is how many readings a line with an interval takes.
const FewestPoints = 3

// Fit lays a line through points; nil, without a fault, where they are fewer
// than FewestPoints or all at one x, for which there are no data. Faults:
// figures.point_outside, figures.rows_too_many, figures.level_outside.
func Fit(points []Point, level Level) (*Line, error) {
	err := checkPoints(points)
	if err == nil {
		err = level.check()
	}
	if err != nil {
		return nil, err
	}
	m := momentsOf(points)
	if m.n < FewestPoints || !(m.xx > 0) {
		return nil, nil
	}
	slope := m.xy / m.xx
	intercept := m.y - slope*m.x
	var squares float64
	for _, p := range points {
		off := (p.Y - m.y) - slope*(p.X-m.x)
		squares += off * off
	}
	s := math.Sqrt(squares / (m.n - 2))
	t := chance.StudentQuantile(level.upper(), m.n-2)
	out := &Line{N: int64(len(points)), Slope: Number(slope), Intercept: Number(intercept), Residual: Number(s), SlopeError: Number(s / math.Sqrt(m.xx)),
		InterceptError: Number(s * math.Sqrt(1/m.n+m.x*m.x/m.xx)), Freedom: int64(len(points)) - 2, T: Number(t),
		MeanX: Number(m.x), MeanY: Number(m.y), Sxx: Number(m.xx)}
	out.SlopeInterval = around(slope, t*float64(out.SlopeError))
	if m.yy > 0 {
		out.R2 = some(max(0, 1-squares/m.yy))
	}
	return out, nil
}

// moments are means, and sums of squares about them.
type moments struct{ n, x, y, xx, yy, xy float64 }

func momentsOf(points []Point) moments {
	m := moments{n: float64(len(points))}
	for _, p := range points {
		m.x += p.X / m.n
		m.y += p.Y / m.n
	}
	for _, p := range points {
		dx, dy := p.X-m.x, p.Y-m.y
		m.xx += dx * dx
		m.yy += dy * dy
		m.xy += dx * dy
	}
	return m
}

func around(middle, half float64) Interval {
	return Interval{Number(middle - half), Number(middle + half)}
}

func checkPoints(points []Point) error {
	const most = 1e12
	for i, p := range points {
		if !(math.Abs(p.X) <= most) || !(math.Abs(p.Y) <= most) {
			return invalid("point_outside", row("points", i, "y"), "Give figures of at most twelve digits before the mark.")
		}
	}
	return bounded("/points", len(points))
}

// At reads the line at an x.
func (l Line) At(x float64) Reading {
	y := float64(l.Intercept) + float64(l.Slope)*x
	off := x - float64(l.MeanX)
	leverage := 1/float64(l.N) + off*off/float64(l.Sxx)
	half := float64(l.T) * float64(l.Residual)
	return Reading{Number(x), Number(y), around(y, half*math.Sqrt(leverage)), around(y, half*math.Sqrt(1+leverage))}
}

// Outlook is what becomes of a forecast.
type Outlook string

// The outlooks.
const (
	WillReach   Outlook = "will_reach"
	HasReached  Outlook = "has_reached" // the line is past the limit at the last reading
	GoesAway    Outlook = "goes_away"   // the line does not run towards the limit
	NoneOutlook Outlook = "no_data"     // fewer than three readings, or all at one distance
	NotSure     Outlook = "not_proven"  // it runs towards the limit, but a slope of nought is as possible
)

// Outlooks lists every outlook.
func Outlooks() []Outlook {
	return []Outlook{WillReach, HasReached, GoesAway, NotSure, NoneOutlook}
}

// Forecast is when a limit is reached.
type Forecast struct {
	Outlook Outlook `json:"outlook"`
	Line    *Line   `json:"line"`
	// At is the x at which the line reaches the limit; nil unless the line runs
	// towards it.
	At *Number `json:"at"`
	// Low and High bound the x at which one more reading may be at the limit:
	// where the limits of the prediction interval cross it. nil at an end that
	// is open.
	Low  *Number `json:"low"`
	High *Number `json:"high"`
	// Left is At less the last x.
	Left *Number `json:"left"`
}

// Wear is readings over distance and the limit they run towards.
type Wear struct {
	Points []Point
	Limit  float64
	// Upper says that the limit is a most, so that wear makes values grow.
	Upper bool
}

// Reach forecasts where a limit is reached. The interval is that of inverse
// prediction: (a + b x − L)² = t² s² (1 + 1/n + (x − x̄)²/Sxx), solved for x
// (E. C. Fieller; from memory). Faults as of Fit.
func Reach(w Wear, level Level) (Forecast, error) {
	line, err := Fit(w.Points, level)
	if err != nil || line == nil {
		return Forecast{Outlook: NoneOutlook}, err
	}
	out := Forecast{Line: line, Outlook: GoesAway}
	last := w.Points[0].X
	for _, p := range w.Points {
		last = max(last, p.X)
	}
	slope, gap := float64(line.Slope), w.Limit-float64(line.At(last).Y)
	if !w.Upper {
		slope, gap = -slope, -gap
	}
	switch {
	case gap <= 0:
		out.Outlook = HasReached
	case slope <= 0:
		return out, nil
	default:
		out.Outlook = WillReach
	}
	out.cross(w.Limit, last)
	if out.Outlook == WillReach && out.High == nil {
		out.Outlook = NotSure
	}
	return out, nil
}

// cross puts in where the line and its prediction interval cross the limit.
func (f *Forecast) cross(limit, last float64) {
	l := *f.Line
	b, ts := float64(l.Slope), float64(l.T)*float64(l.Residual)
	if b == 0 {
		return
	}
	mean := float64(l.MeanX)
	// In z = x − x̄: (b z + g)² = ts² (1 + 1/n + z²/Sxx), with g = ȳ − L.
	g := float64(l.MeanY) - limit
	at := mean - g/b
	f.At, f.Left = some(at), some(at-last)
	k := b*b - ts*ts/float64(l.Sxx)
	if k <= 0 {
		return // the slope may be nought: no bound
	}
	c := g*g - ts*ts*(1+1/float64(l.N))
	root := math.Sqrt(max(0, b*b*g*g-k*c))
	one, two := (-b*g-root)/k, (-b*g+root)/k
	f.Low, f.High = some(mean+min(one, two)), some(mean+max(one, two))
}

package reckon

import (
	"fmt"
	"math"
	"time"

	"benchtag/internal/chance"
	"benchtag/internal/figures"
)

func timesWorking(s figures.Spent) []string {
	lines := []string{"A stage lasts until the job's next one; closed and withdrawn take no time. Whose move: a hold says it, else a wait, else the stage (intake, authorization, release: counter; others: bench)."}
	for _, p := range s.Pieces {
		hold := ""
		if p.OnHold {
			hold = ", on hold"
		}
		lines = append(lines, fmt.Sprintf("%s in %s, %s to %s: %s s, on %s%s.", p.Job, p.Stage, instant(p.From), instant(p.To), figures.Span(p.To.Sub(p.From).Microseconds()), p.On, hold))
	}
	if len(s.Pieces) == figures.MostPieces {
		lines = append(lines, "Further pieces are counted and not listed.")
	}
	for _, st := range s.Stages {
		lines = append(lines, fmt.Sprintf("%s: %s s in %d jobs, median %s s, %s s of it on hold.", st.Stage, st.Total, st.Jobs, st.Median, st.OnHold))
	}
	for _, w := range s.Waits {
		lines = append(lines, fmt.Sprintf("On %s: %s s of %s s.", w.On, w.Total, s.Total))
	}
	return lines
}

func instant(t time.Time) string { return t.UTC().Format(time.RFC3339Nano) }

func hoursWorking(h figures.Hours) []string {
	lines := []string{"Efficiency = 100 × minutes sold / minutes worked (common practice, no source). Labour sold on a job without a name is divided by minutes worked on it, to thousandths of a minute, what is left over to the largest remainders."}
	for _, d := range h.Divided {
		lines = append(lines, fmt.Sprintf("%s: of %d min sold %s are %s's.", d.Job, d.Minutes, d.Part, d.By))
	}
	for _, e := range append(h.Technicians, h.Total) {
		who, percent := e.By, "no data"
		if who == "" {
			who = "All"
		}
		if e.Percent != nil {
			percent = e.Percent.String() + " %"
		}
		lines = append(lines, fmt.Sprintf("%s: 100 × %s / %d = %s, on %d jobs.", who, e.Sold, e.Worked, percent, e.Jobs))
	}
	return lines
}

func approvalsWorking(a figures.Approval, level figures.Level) []string {
	lines := []string{fmt.Sprintf("%d asked: %d accepted, %d declined, %d lapsed, %d open. Rate = accepted / (accepted + declined).", a.Asked, a.Accepted, a.Declined, a.Lapsed, a.Open)}
	lines = append(lines, proportionWorking(a.Rate, level)...)
	if a.MedianSeconds != nil {
		lines = append(lines, fmt.Sprintf("Median of the %d times to a decision: %s s.", a.Rate.Trials, a.MedianSeconds))
	}
	if a.WaitingMedian != nil {
		lines = append(lines, fmt.Sprintf("Half of all offers are decided after %s s, open and lapsed ones counted as far as they were watched (Kaplan–Meier).", a.WaitingMedian))
	}
	return lines
}

func comebacksWorking(c figures.Comebacks, level figures.Level) []string {
	lines := append([]string{"Rate = jobs that came back / jobs closed."}, proportionWorking(c.Rate, level)...)
	lines = append(lines, curveWorking("Days without coming back: ", c.Curve)...)
	for _, l := range c.Causes {
		for _, cause := range l.Causes {
			lines = append(lines, fmt.Sprintf("Machine map %q: first cause %q in %d of %d jobs with one named.", l.Layout, cause.Cause, cause.Share.Hits, l.Named))
		}
	}
	return lines
}

func proportionWorking(p figures.Proportion, level figures.Level) []string {
	up := (1 + float64(level)) / 2
	belief := fmt.Sprintf("Beta(a + hits, b + trials − hits) = Beta(%s, %s): mean %s; points at %s and %s: %s and %s (conjugate prior, from memory).",
		p.Belief.A, p.Belief.B, p.Belief.Mean, shown(1-up), shown(up), p.Belief.Low, p.Belief.High)
	if p.Share == nil {
		return []string{"Share: no data.", belief}
	}
	z := chance.NormalQuantile(up)
	return []string{
		fmt.Sprintf("p̂ = %d/%d = %s; z = %s.", p.Hits, p.Trials, p.Share, shown(z)),
		fmt.Sprintf("Wilson: (p̂ + z²/2n ± z √(p̂(1 − p̂)/n + z²/4n²)) / (1 + z²/n) = %s to %s (E. B. Wilson 1927; R. G. Newcombe 1998, method 3).", p.Wilson.Low, p.Wilson.High),
		fmt.Sprintf("The same with correction for continuity: %s to %s (Newcombe, method 4).", p.Corrected.Low, p.Corrected.High),
		fmt.Sprintf("Exact (Clopper and Pearson): points of Beta(x, n − x + 1) and Beta(x + 1, n − x): %s to %s.", p.Exact.Low, p.Exact.High),
		belief,
	}
}

func curveWorking(name string, c figures.Curve) []string {
	lines := []string{fmt.Sprintf("%s%d watched, %d events, %d censored; one censored at the time of an event is at risk at it. S = Π(1 − d/n), standard error S √Σ d/(n(n − d)) (Kaplan and Meier 1958; Greenwood).", name, c.Watched, c.Events, c.Censored)}
	before := 1.0
	for _, s := range c.Steps {
		line := fmt.Sprintf("At %s: %s × (1 − %d/%d) = %s", s.Time, shown(before), s.Events, s.AtRisk, s.Survival)
		if s.Error != nil && s.Low != nil {
			line += fmt.Sprintf(", standard error %s, %s to %s", s.Error, s.Low, s.High)
		}
		lines, before = append(lines, line+"."), float64(s.Survival)
	}
	if c.Median != nil {
		return append(lines, fmt.Sprintf("Median: the first time with S of a half or less, %s.", c.Median))
	}
	return append(lines, "Median: not reached.")
}

func logRankWorking(c figures.Comparison) []string {
	lines := []string{"Log-rank (Mantel 1966): at each time E = d n1/n and V = d (n1/n)(1 − n1/n)(n − d)/(n − 1), with d events, n at risk, n1 of them in the first group."}
	for _, t := range c.Terms {
		lines = append(lines, fmt.Sprintf("At %s: d = %d, n = %d, n1 = %d: E = %s, V = %s.", t.Time, t.Events, t.AtRisk, t.First, t.Expected, t.Variance))
	}
	if c.ChiSquare == nil {
		return append(lines, "No variance: nothing to compare.")
	}
	return append(lines, fmt.Sprintf("χ² = (%d − %s)²/%s = %s with one degree of freedom, p = %s.", c.First.Observed, c.First.Expected, c.Variance, c.ChiSquare, c.P))
}

func lineWorking(l *figures.Line) []string {
	if l == nil {
		return []string{"No data: a line with an interval takes at least three readings at different x."}
	}
	lines := []string{
		fmt.Sprintf("n = %d, x̄ = %s, ȳ = %s, Sxx = Σ(x − x̄)² = %s.", l.N, l.MeanX, l.MeanY, l.Sxx),
		fmt.Sprintf("Slope b = Sxy/Sxx = %s, intercept a = ȳ − b x̄ = %s (least squares).", l.Slope, l.Intercept),
		fmt.Sprintf("s = √(Σ(y − a − b x)²/(n − 2)) = %s; standard errors s/√Sxx = %s and s √(1/n + x̄²/Sxx) = %s.", l.Residual, l.SlopeError, l.InterceptError),
		fmt.Sprintf("t with %d degrees of freedom = %s; slope from %s to %s.", l.Freedom, l.T, l.SlopeInterval.Low, l.SlopeInterval.High),
	}
	if l.R2 != nil {
		lines = append(lines, fmt.Sprintf("r² = 1 − Σ(y − a − b x)²/Σ(y − ȳ)² = %s.", l.R2))
	}
	return lines
}

func atWorking(all []figures.Reading) []string {
	var lines []string
	for _, r := range all {
		lines = append(lines, fmt.Sprintf("At x = %s: a + b x = %s; line ± t s √(1/n + (x − x̄)²/Sxx): %s to %s; one more reading, with 1 + under the root: %s to %s.",
			r.X, r.Y, r.Mean.Low, r.Mean.High, r.Next.Low, r.Next.High))
	}
	return lines
}

func wearWorking(f figures.Forecast, w figures.Wear, u units) []string {
	lines := append([]string{fmt.Sprintf("Distances in %s, values and limit in %s; limit %s.", u.distance.Symbol(), u.value.Symbol(), shown(w.Limit))}, lineWorking(f.Line)...)
	if f.At == nil {
		return append(lines, "The line reaches no limit: "+string(f.Outlook)+".")
	}
	lines = append(lines, fmt.Sprintf("The line is at the limit at x = (L − a)/b = %s, %s after the last reading: %s.", f.At, f.Left, f.Outlook))
	low, high := math.Inf(-1), math.Inf(1)
	if f.Low != nil {
		low, high = float64(*f.Low), float64(*f.High)
	}
	return append(lines, fmt.Sprintf("One more reading may be at the limit from x = %s to %s: (a + b x − L)² = t² s² (1 + 1/n + (x − x̄)²/Sxx), solved for x (inverse prediction, Fieller; from memory).", shown(low), shown(high)))
}

func rankWorking(all []figures.Ranked) []string {
	lines := []string{"RPN = S × O × D, each 1 to 10 (IEC 60812, SAE J1739). S of 9 and 10 comes first, then by RPN, then by S."}
	for _, m := range all {
		lines = append(lines, fmt.Sprintf("%s: %d × %d × %d = %d; severity %d, %s.", m.Name, m.Severity, m.Occurrence, m.Detection, m.Number, m.Severity, m.Word))
	}
	return lines
}

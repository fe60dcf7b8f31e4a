package reckon

import (
	"fmt"
	"math"

	"benchtag/internal/chance"
	"benchtag/internal/fault"
	"benchtag/internal/grade"
)

type riskOut struct {
	U0                 string  `json:"u0"`
	Conforming         string  `json:"pc"`
	Below              string  `json:"below"`
	Above              string  `json:"above"`
	Outside            string  `json:"outside"`
	Cpk                *string `json:"cpk"`
	Accepted           string  `json:"accepted"`
	Consumer           string  `json:"consumer"`
	Producer           string  `json:"producer"`
	ConsumerOfAccepted string  `json:"consumer_of_accepted"`
	ProducerOfRefused  string  `json:"producer_of_refused"`
	Error              string  `json:"integration_error"`
}

// inspection reads what risk takes.
func (in plainIn) inspection() (grade.Inspection, error) {
	var i grade.Inspection
	var err error
	i.Tolerance, err = in.tolerance()
	if err != nil {
		return i, err
	}
	middle := i.Tolerance.Lower + (i.Tolerance.Upper-i.Tolerance.Lower)/2
	if math.IsInf(middle, 0) {
		middle = math.NaN()
	}
	i.Process.Uncertainty, err = in.spread(middle, i.Tolerance)
	if err != nil {
		return i, err
	}
	var share, r float64
	err = readPlain(plainFigure{"/y0", in.Y0, middle, &i.Process.Value}, plainFigure{"/u_m", in.UM, 0, &i.Measurement}, plainFigure{"/u_m_over_u0", in.UMOverU0, 0, &share},
		plainFigure{"/r", in.R, 0, &r})
	switch {
	case err != nil:
		return i, err
	case in.UM != "" && in.UMOverU0 != "":
		return i, fault.Invalid("grade.figure_twice", "/u_m_over_u0", "Give u_m or u_m_over_u0, not both.")
	case share < 0:
		return i, fault.Invalid("grade.figure_outside", "/u_m_over_u0", "Give a share of nought or more.")
	}
	i.Measurement = max(i.Measurement, share*i.Process.Uncertainty)
	drawn := i.Tolerance.Acceptance(2 * r * i.Measurement)
	return i, readPlain(plainFigure{"/a_l", in.AL, drawn.Lower, &i.Acceptance.Lower}, plainFigure{"/a_u", in.AU, drawn.Upper, &i.Acceptance.Upper})
}

// spread gives the standard deviation of the process: as given, or such that
// a share of it lies inside limits to both sides of the mean.
func (in plainIn) spread(middle float64, t grade.Interval) (float64, error) {
	var share float64
	err := readPlain(plainFigure{"/in_tolerance", in.InTolerance, 0, &share})
	switch {
	case err != nil:
		return 0, err
	case in.InTolerance == "":
		return in.givenSpread()
	case in.U0 != "":
		return 0, fault.Invalid("grade.figure_twice", "/in_tolerance", "Give u0 or in_tolerance, not both.")
	case !(share > 0 && share < 1) || math.IsNaN(middle) || in.Y0 != "":
		return 0, fault.Invalid("grade.figure_outside", "/in_tolerance", "Give a share between 0 and 1, both tolerance limits, and no y0: the mean is in the middle.")
	}
	return (t.Upper - middle) / chance.NormalQuantile((1+share)/2), nil
}

func (in plainIn) givenSpread() (float64, error) {
	var u0 float64
	err := readPlain(plainFigure{"/u0", in.U0, math.NaN(), &u0})
	return u0, err
}

func riskAnswer(in plainIn) (Answer, error) {
	i, err := in.inspection()
	if err != nil {
		return Answer{}, err
	}
	r, err := grade.Risk(i)
	if err != nil {
		return Answer{}, err
	}
	var out riskOut
	err = written(map[*string]float64{&out.U0: i.Process.Uncertainty, &out.Conforming: r.Conforming, &out.Below: r.Below, &out.Above: r.Above,
		&out.Outside: r.Below + r.Above, &out.Accepted: r.Accepted, &out.Consumer: r.Consumer, &out.Producer: r.Producer,
		&out.ConsumerOfAccepted: r.ConsumerOfAccepted, &out.ProducerOfRefused: r.ProducerOfRefused, &out.Error: r.Error})
	if err == nil && !math.IsInf(r.Capability, 0) {
		out.Cpk, err = optionalText(&r.Capability)
	}
	return Answer{Value: out, Working: riskWorking(i, out), Warnings: []string{"Both distributions are taken as normal; a process of which little is known has risks of which little is known."}}, err
}

func riskWorking(i grade.Inspection, out riskOut) []string {
	lines := []string{
		fmt.Sprintf("Process N(%s, %s), measured with u_m = %s; tolerance %s to %s; accepted from %s to %s.", shown(i.Process.Value), out.U0, shown(i.Measurement),
			shown(i.Tolerance.Lower), shown(i.Tolerance.Upper), shown(i.Acceptance.Lower), shown(i.Acceptance.Upper)),
		fmt.Sprintf("Conforming: Φ((T_U − y0)/u0) − Φ((T_L − y0)/u0) = %s; below %s, above %s.", out.Conforming, out.Below, out.Above),
		fmt.Sprintf("Accepted: the same with a_l, a_u and √(u0² + u_m²): %s.", out.Accepted),
		fmt.Sprintf("Consumer's risk R_C = ∫ outside the tolerance of g0(η) P(accepted | η) dη = %s; of the accepted parts R_C/accepted = %s.", out.Consumer, out.ConsumerOfAccepted),
		fmt.Sprintf("Producer's risk R_P = ∫ inside the tolerance of g0(η) (1 − P(accepted | η)) dη = %s; of the refused parts %s.", out.Producer, out.ProducerOfRefused),
		fmt.Sprintf("Source: JCGM 106:2012, clause 9. Integrated by adaptive Simpson over 12 standard deviations; by its own estimate off by at most %s. Check: accepted = conforming − R_P + R_C.", out.Error),
	}
	if out.Cpk != nil {
		lines = append(lines, "Cpk = least distance from the mean to a limit / (3 u0) = "+*out.Cpk+".")
	}
	return lines
}

package reckon

import (
	"fmt"
	"math"
	"strconv"

	"benchtag/internal/fault"
	"benchtag/internal/grade"
	"benchtag/internal/measure"
)

// gradeIn is a value to judge, a stage of damage to look up, or figures of a
// decision under uncertainty; Call says which.
type gradeIn struct {
	// Call is judge (also where it is left out), look, catalogue, conformance,
	// acceptance, risk or normal.
	Call string `json:"call,omitempty"`
	judgeIn
	lookIn
	plainIn
}

// judgeIn is grade.Request on the wire.
type judgeIn struct {
	Value               *Quantity `json:"value,omitempty"`
	Uncertainty         *Quantity `json:"uncertainty,omitempty"`
	StandardUncertainty *Quantity `json:"standard_uncertainty,omitempty"`
	New                 rangeIn   `json:"new,omitzero"`
	Service             rangeIn   `json:"service,omitzero"`
	Source              string    `json:"source,omitempty"`
	Rule                string    `json:"rule,omitempty"`
	NearPercent         int64     `json:"near_percent,omitempty"`
	Safety              string    `json:"safety,omitempty"`
	Demo                bool      `json:"demo,omitempty"`
	Gauge               string    `json:"gauge,omitempty"`
	FromPhoto           bool      `json:"from_photo,omitempty"`
	Indicative          bool      `json:"indicative,omitempty"`
	// LookedAt is the grade by eye, to be set beside the measured one.
	LookedAt *int64 `json:"looked_at,omitempty"`
}

type rangeIn struct {
	Min *Quantity `json:"min,omitempty"`
	Max *Quantity `json:"max,omitempty"`
}

// lookIn is a described stage of a damage mode.
type lookIn struct {
	Mode  string `json:"mode,omitempty"`
	Stage string `json:"stage,omitempty"`
	// Measured is the measured grade, to be set beside the one by eye.
	Measured *int64 `json:"measured,omitempty"`
}

// judgeOut is grade.Verdict on the wire; its outcome is the answer's verdict.
type judgeOut struct {
	CountsAs          string      `json:"counts_as"`
	Grade             *int64      `json:"grade"`
	Suggests          *int64      `json:"suggests"`
	Effective         *int64      `json:"effective"`
	Indicative        bool        `json:"indicative"`
	IndicativeBecause []string    `json:"indicative_because"`
	Guard             Quantity    `json:"guard"`
	New               *againstOut `json:"new"`
	Service           *againstOut `json:"service"`
	WearLeftPercent   *string     `json:"wear_left_percent"`
	Settle            *settleOut  `json:"settle"`
	Reasons           []string    `json:"reasons"`
}

type againstOut struct {
	Probability *string  `json:"pc"`
	Proven      rangeOut `json:"proven"`
	Possible    rangeOut `json:"possible"`
}

type rangeOut struct {
	Min *Quantity `json:"min"`
	Max *Quantity `json:"max"`
}

type settleOut struct {
	Uncertainty *Quantity `json:"uncertainty"`
	Resolution  *Quantity `json:"resolution"`
}

// lookedOut is a stage with its grade, by itself and beside a measured one.
type lookedOut struct {
	stageOut
	Effective *int64 `json:"effective"`
}

type stageOut struct {
	Mode    string `json:"mode"`
	Stage   string `json:"stage"`
	Words   string `json:"words"`
	Grade   int64  `json:"grade"`
	Gear    string `json:"iso_10825"`
	Bearing string `json:"iso_15243"`
}

type gradeCatalogue struct {
	Stages []stageOut `json:"stages"`
}

func gradeEngine() Engine {
	return engine("grade", "1", "Judges a measured value with its uncertainty against limits, grades described damage, and reckons the risks of deciding.", gradeAnswer)
}

func gradeAnswer(in gradeIn) (Answer, error) {
	switch in.Call {
	case "", "judge":
		return judgeAnswer(in.judgeIn)
	case "look":
		return lookAnswer(in.lookIn)
	case "catalogue":
		return gradeStages()
	case "conformance":
		return conformanceAnswer(in.plainIn)
	case "acceptance":
		return acceptanceAnswer(in.plainIn)
	case "risk":
		return riskAnswer(in.plainIn)
	case "normal":
		return normalAnswer(in.plainIn)
	}
	return Answer{}, fault.Invalid("grade.call_unknown", "/call", "Say judge, look, catalogue, conformance, acceptance, risk or normal.")
}

// request reads what judge takes.
func (in judgeIn) request() (grade.Request, error) {
	r := grade.Request{Source: grade.SourceKind(in.Source), Rule: grade.Rule(in.Rule), NearPercent: in.NearPercent,
		Safety: grade.Safety(in.Safety), Demo: in.Demo, Gauge: grade.Gauge(in.Gauge), FromPhoto: in.FromPhoto, Indicative: in.Indicative}
	if in.Gauge == "" {
		r.Gauge = grade.InCalibration
	}
	if in.Value == nil {
		return r, fault.Invalid("grade.value_missing", "/value", `Give the value, like {"value":"0.095","unit":"mm"} or {"entered":"3.7 thou"}.`)
	}
	value, err := in.Value.read("/value")
	if err != nil {
		return r, err
	}
	r.Value = value
	for _, part := range []struct {
		pointer string
		from    *Quantity
		to      **measure.Quantity
	}{
		{"/uncertainty", in.Uncertainty, &r.Uncertainty}, {"/standard_uncertainty", in.StandardUncertainty, &r.StandardUncertainty},
		{"/new/min", in.New.Min, &r.New.Min}, {"/new/max", in.New.Max, &r.New.Max},
		{"/service/min", in.Service.Min, &r.Service.Min}, {"/service/max", in.Service.Max, &r.Service.Max},
	} {
		if part.from == nil {
			continue
		}
		q, err := part.from.read(part.pointer)
		if err != nil {
			return r, err
		}
		*part.to = &q
	}
	return r, nil
}

func judgeAnswer(in judgeIn) (Answer, error) {
	r, err := in.request()
	if err != nil {
		return Answer{}, err
	}
	lookedAt, err := gradeOf("/looked_at", in.LookedAt)
	if err != nil {
		return Answer{}, err
	}
	v, err := grade.Judge(r)
	if err != nil {
		return Answer{}, err
	}
	out, err := judged(v)
	if err != nil {
		return Answer{}, err
	}
	out.Effective = gradeNumber(grade.Effective(lookedAt, v.Grade))
	return Answer{Verdict: string(v.Outcome), Value: out, Working: v.Working, Warnings: in.warnings(r, v)}, nil
}

func judged(v grade.Verdict) (judgeOut, error) {
	out := judgeOut{CountsAs: string(v.CountsAs), Grade: gradeNumber(v.Grade), Suggests: gradeNumber(v.Suggests),
		Indicative: v.Indicative, IndicativeBecause: list(v.IndicativeBecause), Guard: quantity(v.Guard), Reasons: v.Reasons}
	var err error
	out.New, err = against(v.New)
	if err != nil {
		return out, err
	}
	out.Service, err = against(v.Service)
	if err != nil {
		return out, err
	}
	out.WearLeftPercent, err = optionalText(v.WearLeft)
	if v.Settle != nil {
		out.Settle = &settleOut{optionalQuantity(v.Settle.Uncertainty), optionalQuantity(v.Settle.Resolution)}
	}
	return out, err
}

func against(a grade.Against) (*againstOut, error) {
	if a == (grade.Against{}) {
		return nil, nil
	}
	p, err := optionalText(a.Probability)
	return &againstOut{p, rangeOut{optionalQuantity(a.Proven.Min), optionalQuantity(a.Proven.Max)},
		rangeOut{optionalQuantity(a.Possible.Min), optionalQuantity(a.Possible.Max)}}, err
}

func optionalText(f *float64) (*string, error) {
	if f == nil {
		return nil, nil
	}
	t, err := text(*f)
	return &t, err
}

func optionalQuantity(q *measure.Quantity) *Quantity {
	if q == nil {
		return nil
	}
	out := quantity(*q)
	return &out
}

// gradeNumber gives a grade as a number, null for none.
func gradeNumber(g grade.Grade) *int64 {
	if g == grade.None {
		return nil
	}
	n := int64(g)
	return &n
}

func gradeOf(pointer string, n *int64) (grade.Grade, error) {
	if n == nil {
		return grade.None, nil
	}
	if *n < int64(grade.AsNew) || *n > int64(grade.Failed) {
		return grade.None, fault.Invalid("grade.grade_unknown", pointer, "Grades run from 0, as new, to 4, failed.")
	}
	return grade.Grade(*n), nil
}

// warnings are what to look at before the verdict is relied on.
func (in judgeIn) warnings(r grade.Request, v grade.Verdict) []string {
	var out []string
	for _, because := range v.IndicativeBecause {
		out = append(out, "Indicative: "+because+".")
	}
	if r.Source == grade.FromExample {
		out = append(out, "Example figures, not for service.")
	}
	if in.Gauge == "" {
		out = append(out, "Nothing is said of the gauge; it is taken to be in calibration.")
	}
	if least := coarser(r); least != "" {
		out = append(out, "The last digit of the value alone makes U at least "+least+" (its step over √3, common practice, no source): check the uncertainty.")
	}
	if r.Rule == grade.Simple {
		out = append(out, "The rule simple leaves the uncertainty out: near a limit every second verdict may be wrong.")
	}
	if r.Safety == grade.Critical {
		out = append(out, "Brakes, steering and wheels: a qualified person decides, by the maker's service manual.")
	}
	if v.Outcome == grade.Within {
		out = append(out, "Within its limits is not free of cracks, pits or heat: look at the part as well.")
	}
	return append(out, "The maker's service manual goes before these limits.")
}

// coarser gives the least U that the last digit of the value allows, where the
// one given is less; "" where it is not.
func coarser(r grade.Request) string {
	u, times := r.Uncertainty, 1.0
	if u == nil {
		u, times = r.StandardUncertainty, 2
	}
	if u == nil || u.Unit.Dimension() == measure.Temperature {
		return ""
	}
	given, err := inUnit("", *u, r.Value.Unit)
	least := math.Pow10(-r.Value.Value.Scale()) / math.Sqrt(3)
	if err != nil || given*times >= least*.99 {
		return ""
	}
	return strconv.FormatFloat(least, 'g', 2, 64) + " " + r.Value.Unit.Symbol()
}

func lookAnswer(in lookIn) (Answer, error) {
	looked, err := grade.Look(in.Mode, in.Stage)
	if err != nil {
		return Answer{}, err
	}
	measured, err := gradeOf("/measured", in.Measured)
	if err != nil {
		return Answer{}, err
	}
	worse := grade.Effective(looked.Grade, measured)
	working := []string{fmt.Sprintf("%s, %s: %s suggests grade %d, %s (common practice, no source).", looked.Mode, looked.Key, looked.Words, looked.Grade, looked.Grade.Words())}
	if looked.Gear != "" {
		working = append(working, "On a gear tooth ISO 10825 calls it "+looked.Gear+".")
	}
	if looked.Bearing != "" {
		working = append(working, "In a rolling bearing ISO 15243 calls it "+looked.Bearing+".")
	}
	if measured != grade.None {
		working = append(working, fmt.Sprintf("Measured grade %d; the worse of the two counts: %d, %s.", measured, worse, worse.Words()))
	}
	return Answer{Value: lookedOut{staged(looked.Mode, looked.Stage), gradeNumber(worse)}, Working: working, Warnings: []string{
		"A grade by eye is common practice, no source; neither standard grades damage. Where the maker gives a limit, measure.",
		"On brakes, steering and wheels take the worse of two stages when in doubt, and leave it to a qualified person.",
	}}, nil
}

func staged(mode string, s grade.Stage) stageOut {
	return stageOut{mode, s.Key, s.Words, int64(s.Grade), s.Gear, s.Bearing}
}

func gradeStages() (Answer, error) {
	var out gradeCatalogue
	for _, mode := range grade.Modes() {
		for _, s := range grade.Stages(mode) {
			out.Stages = append(out.Stages, staged(mode, s))
		}
	}
	return Answer{Value: out, Working: []string{"Modes and stages as they are written down; the grades are common practice, no source."}}, nil
}

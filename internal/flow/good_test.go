package flow_test

import (
	"reflect"

	"benchtag/internal/fault"
	"benchtag/internal/flow"
)

func row(id string) flow.Row { return flow.Row{ID: id, Name: "the " + id} }

// good is a rich job on which every move is free, except leaving not run.
func good() flow.Facts {
	return flow.Facts{
		Intake:     flow.IntakeFacts{Customer: true, Machine: true, Odometer: true, Given: true},
		Complaints: []flow.Complaint{{Row: row("c1"), Answer: flow.AnswerFinding, Again: flow.AgainGone}},
		Diagnosis:  flow.DiagnosisFacts{Agreed: true},
		Teardown:   flow.TeardownFacts{Consent: true, AsFound: true, Opened: true},
		Findings: []flow.Finding{{
			Row: row("f1"), Graded: true, Grade: 4, Photo: true, Measured: true, GaugeInDate: true, LimitSourced: true,
			Broken: true, LaidOut: true, PieceMissing: true, OpenLook: true, Dangerous: true, Settled: flow.SettledRepaired,
		}},
		Reached:    []flow.Reached{{Row: row("r1"), LookedAt: true}},
		FirstCause: flow.FirstCause{Marked: true},
		Tags:       []flow.Tag{{Row: row("t1"), Accounted: true}},
		Lines:      []flow.Line{{Row: row("l1"), State: flow.LineDone, Worked: true, Consented: true}},
		Consent:    flow.ConsentFacts{Given: true, Scope: true, Bound: true},
		Deposit:    flow.Deposit{Asked: true, Paid: true},
		HoldPoints: []flow.HoldPoint{{Row: row("h1"), Passed: true}},
		Fastenings: []flow.Fastening{{Row: row("j1"), Critical: true, HoldPoint: "h1", Done: true, Checked: true, DoneBy: "ann", CheckedBy: "bo"}},
		FirstStart: flow.FirstStartFacts{
			EngineOpened: true, OilOut: true, CircuitOpen: true, TurnedByHand: true, MarksReread: true, OilIn: true,
			NoLeaks: true, ToolsOut: true, PressureInQuestion: true, Pressure: true,
		},
		PreRide: preRide(),
		RoadTest: flow.RoadTestFacts{
			Kind: flow.RunRide, RiderLicensed: true, RiderInsured: true, LeaveToRide: true, DistanceOut: true, Outcome: flow.OutcomeOK,
		},
		Debris:     flow.DebrisFacts{Asked: true, Falling: true},
		Bill:       flow.BillFacts{Present: true, WithinConsent: true, Paid: true},
		OldParts:   flow.OldParts{Replaced: true, Settled: true, ClaimPossible: true, KeptUntil: true},
		HandOver:   flow.HandOver{Advice: true, RecheckNeeded: true, RecheckDated: true, StillOpenWritten: true, To: "owner", Transport: flow.TransportRides},
		Withdrawal: flow.Withdrawal{Reason: "sold it", State: flow.StateComplete},
	}
}

// boxed is good, leaving not run.
func boxed() flow.Facts {
	f := good()
	f.NotRun = flow.NotRunFacts{Stated: true, Reason: "no parts to be had", State: flow.StateInBoxes}
	f.HandOver.NotRunTold = true
	f.HandOver.Transport = flow.TransportTrailer
	return f
}

func preRide() []flow.PreRide {
	var out []flow.PreRide
	for _, c := range flow.PreRideChecks() {
		out = append(out, flow.PreRide{Check: c, Passed: true, Fresh: true})
	}
	return out
}

func codes(gates []fault.Gate) []string {
	var out []string
	for _, g := range gates {
		out = append(out, g.Code)
	}
	return out
}

// clone copies facts with all their slices.
func clone(f flow.Facts) flow.Facts {
	v := reflect.ValueOf(&f).Elem()
	cloneSlices(v)
	return f
}

func cloneSlices(v reflect.Value) {
	switch v.Kind() {
	case reflect.Struct:
		for i := range v.NumField() {
			cloneSlices(v.Field(i))
		}
	case reflect.Slice:
		if v.IsNil() {
			return
		}
		c := reflect.MakeSlice(v.Type(), v.Len(), v.Len())
		reflect.Copy(c, v)
		v.Set(c)
	default:
	}
}

// leaf is one plain value inside facts.
type leaf struct {
	path string // "Finding.Struck": type and field
	v    reflect.Value
}

func leaves(f *flow.Facts) []leaf {
	var out []leaf
	walk("Facts", reflect.ValueOf(f).Elem(), &out)
	return out
}

func walk(path string, v reflect.Value, out *[]leaf) {
	switch v.Kind() {
	case reflect.Struct:
		for i := range v.NumField() {
			walk(v.Type().Name()+"."+v.Type().Field(i).Name, v.Field(i), out)
		}
	case reflect.Slice:
		for i := range v.Len() {
			walk(path, v.Index(i), out)
		}
	default:
		*out = append(*out, leaf{path, v})
	}
}

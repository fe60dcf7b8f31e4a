package api

import (
	"benchtag/internal/money"
	"benchtag/internal/shop"
)

// FasteningIn is what a client sends of a fastening.
type FasteningIn struct {
	Component      string     `json:"component"`
	Joint          string     `json:"joint"`
	SafetyClass    string     `json:"safety_class"`
	HoldPointID    *string    `json:"hold_point_id"`
	Target         QuantityIn `json:"target"`
	Stages         string     `json:"stages"`
	Angle          string     `json:"angle"`
	JointCondition string     `json:"joint_condition"`
	NewFastener    string     `json:"new_fastener"`
	Source         string     `json:"source"`
	CapturedAt     *string    `json:"captured_at"`
}

// onto puts what the client sent onto a record; the rest of it stays.
func (in FasteningIn) onto(c *conv, n *shop.Fastening) {
	n.Component = in.Component
	n.Joint = in.Joint
	n.SafetyClass = shop.SafetyClass(in.SafetyClass)
	n.HoldPointID = shop.HoldPointID(text(in.HoldPointID))
	n.Target = c.quantity("/target", in.Target)
	n.Stages = in.Stages
	n.Angle = in.Angle
	n.JointCondition = shop.JointCondition(in.JointCondition)
	n.NewFastener = shop.NewFastener(in.NewFastener)
	n.Source = in.Source
	n.CapturedAt = c.instantOpt("/captured_at", in.CapturedAt)
}

// FasteningView is a fastening as clients see it.
type FasteningView struct {
	ID               string    `json:"id"`
	Version          int64     `json:"version"`
	WorkOrderID      string    `json:"work_order_id"`
	JobID            string    `json:"job_id"`
	Component        string    `json:"component"`
	Joint            string    `json:"joint"`
	SafetyClass      string    `json:"safety_class"`
	HoldPointID      *string   `json:"hold_point_id"`
	Target           *Quantity `json:"target"`
	Stages           string    `json:"stages"`
	Angle            string    `json:"angle"`
	JointCondition   string    `json:"joint_condition"`
	NewFastener      string    `json:"new_fastener"`
	Source           string    `json:"source"`
	Tool             string    `json:"tool"`
	WrenchID         *string   `json:"wrench_id"`
	Applied          *Quantity `json:"applied"`
	DoneBy           *string   `json:"done_by"`
	DoneAt           *string   `json:"done_at"`
	CheckedBy        *string   `json:"checked_by"`
	CheckedAt        *string   `json:"checked_at"`
	CheckTarget      *Quantity `json:"check_target"`
	CheckSetting     *Quantity `json:"check_setting"`
	Watched          bool      `json:"watched"`
	Marked           bool      `json:"marked"`
	SelfReinspection bool      `json:"self_reinspection"`
	RedoBecause      string    `json:"redo_because"`
	StruckView
	OriginView
	CreatedAt string `json:"created_at"`
	UpdatedAt string `json:"updated_at"`
}

func fasteningView(cur money.Currency, n shop.Fastening) FasteningView {
	return FasteningView{
		ID: string(n.ID), Version: n.Version,
		WorkOrderID:      string(n.WorkOrderID),
		JobID:            string(n.JobID),
		Component:        n.Component,
		Joint:            n.Joint,
		SafetyClass:      string(n.SafetyClass),
		HoldPointID:      orNull(n.HoldPointID),
		Target:           quantityView(n.Target),
		Stages:           n.Stages,
		Angle:            n.Angle,
		JointCondition:   string(n.JointCondition),
		NewFastener:      string(n.NewFastener),
		Source:           n.Source,
		Tool:             n.Tool,
		WrenchID:         orNull(n.WrenchID),
		Applied:          quantityView(n.Applied),
		DoneBy:           orNull(n.DoneBy),
		DoneAt:           instantOptView(n.DoneAt),
		CheckedBy:        orNull(n.CheckedBy),
		CheckedAt:        instantOptView(n.CheckedAt),
		CheckTarget:      quantityView(n.CheckTarget),
		CheckSetting:     quantityView(n.CheckSetting),
		Watched:          n.Watched,
		Marked:           n.Marked,
		SelfReinspection: n.SelfReinspection,
		RedoBecause:      n.RedoBecause,
		StruckView:       struckView(n.Struck),
		OriginView:       originView(n.Origin),
		CreatedAt:        instantView(n.CreatedAt), UpdatedAt: instantView(n.UpdatedAt),
	}
}

// HoldPointIn is what a client sends of a hold point.
type HoldPointIn struct {
	Before     string  `json:"before"`
	CapturedAt *string `json:"captured_at"`
}

// onto puts what the client sent onto a record; the rest of it stays.
func (in HoldPointIn) onto(c *conv, n *shop.HoldPoint) {
	n.Before = in.Before
	n.CapturedAt = c.instantOpt("/captured_at", in.CapturedAt)
}

// HoldPointView is a hold point as clients see it.
type HoldPointView struct {
	ID          string  `json:"id"`
	Version     int64   `json:"version"`
	WorkOrderID string  `json:"work_order_id"`
	JobID       string  `json:"job_id"`
	Before      string  `json:"before"`
	PassedBy    *string `json:"passed_by"`
	PassedAt    *string `json:"passed_at"`
	StruckView
	OriginView
	CreatedAt string `json:"created_at"`
	UpdatedAt string `json:"updated_at"`
}

func holdPointView(cur money.Currency, n shop.HoldPoint) HoldPointView {
	return HoldPointView{
		ID: string(n.ID), Version: n.Version,
		WorkOrderID: string(n.WorkOrderID),
		JobID:       string(n.JobID),
		Before:      n.Before,
		PassedBy:    orNull(n.PassedBy),
		PassedAt:    instantOptView(n.PassedAt),
		StruckView:  struckView(n.Struck),
		OriginView:  originView(n.Origin),
		CreatedAt:   instantView(n.CreatedAt), UpdatedAt: instantView(n.UpdatedAt),
	}
}

// FirstStartIn is what a client sends of a first start.
type FirstStartIn struct {
	TurnedByHand        bool        `json:"turned_by_hand"`
	MarksReread         bool        `json:"marks_reread"`
	NoMarksBecause      string      `json:"no_marks_because"`
	OilInAndPrimed      bool        `json:"oil_in_and_primed"`
	NoLeaks             bool        `json:"no_leaks"`
	ToolsOut            bool        `json:"tools_out"`
	Pressure            *QuantityIn `json:"pressure"`
	PressureNotPossible string      `json:"pressure_not_possible"`
	StartedAt           *string     `json:"started_at"`
	CapturedAt          *string     `json:"captured_at"`
}

// onto puts what the client sent onto a record; the rest of it stays.
func (in FirstStartIn) onto(c *conv, n *shop.FirstStart) {
	n.TurnedByHand = in.TurnedByHand
	n.MarksReread = in.MarksReread
	n.NoMarksBecause = in.NoMarksBecause
	n.OilInAndPrimed = in.OilInAndPrimed
	n.NoLeaks = in.NoLeaks
	n.ToolsOut = in.ToolsOut
	n.Pressure = c.quantityOpt("/pressure", in.Pressure)
	n.PressureNotPossible = in.PressureNotPossible
	n.StartedAt = c.instantOpt("/started_at", in.StartedAt)
	n.CapturedAt = c.instantOpt("/captured_at", in.CapturedAt)
}

// FirstStartView is a first start as clients see it.
type FirstStartView struct {
	ID                  string    `json:"id"`
	Version             int64     `json:"version"`
	WorkOrderID         string    `json:"work_order_id"`
	JobID               string    `json:"job_id"`
	TurnedByHand        bool      `json:"turned_by_hand"`
	MarksReread         bool      `json:"marks_reread"`
	NoMarksBecause      string    `json:"no_marks_because"`
	OilInAndPrimed      bool      `json:"oil_in_and_primed"`
	NoLeaks             bool      `json:"no_leaks"`
	ToolsOut            bool      `json:"tools_out"`
	Pressure            *Quantity `json:"pressure"`
	PressureNotPossible string    `json:"pressure_not_possible"`
	StartedAt           *string   `json:"started_at"`
	OriginView
	CreatedAt string `json:"created_at"`
	UpdatedAt string `json:"updated_at"`
}

func firstStartView(cur money.Currency, n shop.FirstStart) FirstStartView {
	return FirstStartView{
		ID: string(n.ID), Version: n.Version,
		WorkOrderID:         string(n.WorkOrderID),
		JobID:               string(n.JobID),
		TurnedByHand:        n.TurnedByHand,
		MarksReread:         n.MarksReread,
		NoMarksBecause:      n.NoMarksBecause,
		OilInAndPrimed:      n.OilInAndPrimed,
		NoLeaks:             n.NoLeaks,
		ToolsOut:            n.ToolsOut,
		Pressure:            quantityView(n.Pressure),
		PressureNotPossible: n.PressureNotPossible,
		StartedAt:           instantOptView(n.StartedAt),
		OriginView:          originView(n.Origin),
		CreatedAt:           instantView(n.CreatedAt), UpdatedAt: instantView(n.UpdatedAt),
	}
}

// RoadTestIn is what a client sends of a road test.
type RoadTestIn struct {
	Kind           string      `json:"kind"`
	InsteadBecause string      `json:"instead_because"`
	Brakes         string      `json:"brakes"`
	Wheels         string      `json:"wheels"`
	Steering       string      `json:"steering"`
	Throttle       string      `json:"throttle"`
	Chain          string      `json:"chain"`
	Leaks          string      `json:"leaks"`
	Lights         string      `json:"lights"`
	CheckedAt      *string     `json:"checked_at"`
	RiderID        *string     `json:"rider_id"`
	OdometerOut    *QuantityIn `json:"odometer_out"`
	OdometerBack   *QuantityIn `json:"odometer_back"`
	Outcome        string      `json:"outcome"`
	FaultFindingID *string     `json:"fault_finding_id"`
	Note           string      `json:"note"`
	CapturedAt     *string     `json:"captured_at"`
}

// onto puts what the client sent onto a record; the rest of it stays.
func (in RoadTestIn) onto(c *conv, n *shop.RoadTest) {
	n.Kind = shop.RunKind(in.Kind)
	n.InsteadBecause = in.InsteadBecause
	n.Brakes = shop.PreRide(in.Brakes)
	n.Wheels = shop.PreRide(in.Wheels)
	n.Steering = shop.PreRide(in.Steering)
	n.Throttle = shop.PreRide(in.Throttle)
	n.Chain = shop.PreRide(in.Chain)
	n.Leaks = shop.PreRide(in.Leaks)
	n.Lights = shop.PreRide(in.Lights)
	n.CheckedAt = c.instantOpt("/checked_at", in.CheckedAt)
	n.RiderID = shop.StaffID(text(in.RiderID))
	n.OdometerOut = c.quantityOpt("/odometer_out", in.OdometerOut)
	n.OdometerBack = c.quantityOpt("/odometer_back", in.OdometerBack)
	n.Outcome = shop.RideOutcome(in.Outcome)
	n.FaultFindingID = shop.FindingID(text(in.FaultFindingID))
	n.Note = in.Note
	n.CapturedAt = c.instantOpt("/captured_at", in.CapturedAt)
}

// RoadTestView is a road test as clients see it.
type RoadTestView struct {
	ID             string    `json:"id"`
	Version        int64     `json:"version"`
	WorkOrderID    string    `json:"work_order_id"`
	JobID          string    `json:"job_id"`
	Kind           string    `json:"kind"`
	InsteadBecause string    `json:"instead_because"`
	Brakes         string    `json:"brakes"`
	Wheels         string    `json:"wheels"`
	Steering       string    `json:"steering"`
	Throttle       string    `json:"throttle"`
	Chain          string    `json:"chain"`
	Leaks          string    `json:"leaks"`
	Lights         string    `json:"lights"`
	CheckedAt      *string   `json:"checked_at"`
	RiderID        *string   `json:"rider_id"`
	OdometerOut    *Quantity `json:"odometer_out"`
	OdometerBack   *Quantity `json:"odometer_back"`
	Outcome        string    `json:"outcome"`
	FaultFindingID *string   `json:"fault_finding_id"`
	Note           string    `json:"note"`
	StruckView
	OriginView
	CreatedAt string `json:"created_at"`
	UpdatedAt string `json:"updated_at"`
}

func roadTestView(cur money.Currency, n shop.RoadTest) RoadTestView {
	return RoadTestView{
		ID: string(n.ID), Version: n.Version,
		WorkOrderID:    string(n.WorkOrderID),
		JobID:          string(n.JobID),
		Kind:           string(n.Kind),
		InsteadBecause: n.InsteadBecause,
		Brakes:         string(n.Brakes),
		Wheels:         string(n.Wheels),
		Steering:       string(n.Steering),
		Throttle:       string(n.Throttle),
		Chain:          string(n.Chain),
		Leaks:          string(n.Leaks),
		Lights:         string(n.Lights),
		CheckedAt:      instantOptView(n.CheckedAt),
		RiderID:        orNull(n.RiderID),
		OdometerOut:    quantityView(n.OdometerOut),
		OdometerBack:   quantityView(n.OdometerBack),
		Outcome:        string(n.Outcome),
		FaultFindingID: orNull(n.FaultFindingID),
		Note:           n.Note,
		StruckView:     struckView(n.Struck),
		OriginView:     originView(n.Origin),
		CreatedAt:      instantView(n.CreatedAt), UpdatedAt: instantView(n.UpdatedAt),
	}
}

// DebrisCheckIn is what a client sends of a debris check.
type DebrisCheckIn struct {
	Moment       string          `json:"moment"`
	Sampled      string          `json:"sampled"`
	Amount       string          `json:"amount"`
	CoarseNew    bool            `json:"coarse_new"`
	Falling      bool            `json:"falling"`
	NextOn       *string         `json:"next_on"`
	NextDistance string          `json:"next_distance"`
	Note         string          `json:"note"`
	Entries      []DebrisEntryIn `json:"entries"`
	CapturedAt   *string         `json:"captured_at"`
}

// onto puts what the client sent onto a record; the rest of it stays.
func (in DebrisCheckIn) onto(c *conv, n *shop.DebrisCheck) {
	n.Moment = shop.DebrisMoment(in.Moment)
	n.Sampled = shop.DebrisSample(in.Sampled)
	n.Amount = shop.DebrisAmount(in.Amount)
	n.CoarseNew = in.CoarseNew
	n.Falling = in.Falling
	n.NextOn = c.dateOpt("/next_on", in.NextOn)
	n.NextDistance = in.NextDistance
	n.Note = in.Note
	n.Entries = c.entries("/entries", in.Entries)
	n.CapturedAt = c.instantOpt("/captured_at", in.CapturedAt)
}

// DebrisCheckView is a debris check as clients see it.
type DebrisCheckView struct {
	ID           string        `json:"id"`
	Version      int64         `json:"version"`
	WorkOrderID  string        `json:"work_order_id"`
	JobID        string        `json:"job_id"`
	Moment       string        `json:"moment"`
	Sampled      string        `json:"sampled"`
	Amount       string        `json:"amount"`
	CoarseNew    bool          `json:"coarse_new"`
	Falling      bool          `json:"falling"`
	NextOn       *string       `json:"next_on"`
	NextDistance string        `json:"next_distance"`
	Note         string        `json:"note"`
	Entries      []DebrisEntry `json:"entries"`
	Verdict      string        `json:"verdict"`
	Asks         []string      `json:"asks"`
	StruckView
	OriginView
	CreatedAt string `json:"created_at"`
	UpdatedAt string `json:"updated_at"`
}

func debrisCheckView(cur money.Currency, n shop.DebrisCheck) DebrisCheckView {
	return DebrisCheckView{
		ID: string(n.ID), Version: n.Version,
		WorkOrderID:  string(n.WorkOrderID),
		JobID:        string(n.JobID),
		Moment:       string(n.Moment),
		Sampled:      string(n.Sampled),
		Amount:       string(n.Amount),
		CoarseNew:    n.CoarseNew,
		Falling:      n.Falling,
		NextOn:       dateView(n.NextOn),
		NextDistance: n.NextDistance,
		Note:         n.Note,
		Entries:      entriesView(n.Entries), Verdict: n.Verdict, Asks: list(n.Asks),
		StruckView: struckView(n.Struck),
		OriginView: originView(n.Origin),
		CreatedAt:  instantView(n.CreatedAt), UpdatedAt: instantView(n.UpdatedAt),
	}
}

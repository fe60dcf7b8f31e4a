package shop

// LineKind is a closed set of words.
type LineKind string

// The values of LineKind.
const (
	LineKindLabour     LineKind = "labour"
	LineKindPart       LineKind = "part"
	LineKindConsumable LineKind = "consumable"
	LineKindSublet     LineKind = "sublet"
	LineKindFee        LineKind = "fee"
)

// LineKindValues lists them all.
func LineKindValues() []LineKind {
	return []LineKind{"labour", "part", "consumable", "sublet", "fee"}
}

// LineWork is a closed set of words.
type LineWork string

// The values of LineWork.
const (
	LineWorkDiagnosis  LineWork = "diagnosis"
	LineWorkTeardown   LineWork = "teardown"
	LineWorkReassembly LineWork = "reassembly"
	LineWorkRepair     LineWork = "repair"
)

// LineWorkValues lists them all.
func LineWorkValues() []LineWork {
	return []LineWork{"diagnosis", "teardown", "reassembly", "repair"}
}

// LineState is a closed set of words.
type LineState string

// The values of LineState.
const (
	LineStateProposed LineState = "proposed"
	LineStateAgreed   LineState = "agreed"
	LineStateDone     LineState = "done"
	LineStateStruck   LineState = "struck"
)

// LineStateValues lists them all.
func LineStateValues() []LineState {
	return []LineState{"proposed", "agreed", "done", "struck"}
}

// Certainty is a closed set of words.
type Certainty string

// The values of Certainty.
const (
	CertaintyCertain  Certainty = "certain"
	CertaintyPossible Certainty = "possible"
)

// CertaintyValues lists them all.
func CertaintyValues() []Certainty {
	return []Certainty{"certain", "possible"}
}

// PartCondition is a closed set of words.
type PartCondition string

// The values of PartCondition.
const (
	PartConditionUnset         PartCondition = ""
	PartConditionNew           PartCondition = "new"
	PartConditionUsed          PartCondition = "used"
	PartConditionRebuilt       PartCondition = "rebuilt"
	PartConditionReconditioned PartCondition = "reconditioned"
	PartConditionExchange      PartCondition = "exchange"
)

// PartConditionValues lists them all.
func PartConditionValues() []PartCondition {
	return []PartCondition{"", "new", "used", "rebuilt", "reconditioned", "exchange"}
}

// ScopeKind is a closed set of words.
type ScopeKind string

// The values of ScopeKind.
const (
	ScopeKindDiagnosis ScopeKind = "diagnosis"
	ScopeKindTeardown  ScopeKind = "teardown"
	ScopeKindRepair    ScopeKind = "repair"
	ScopeKindMoreFound ScopeKind = "more_found"
	ScopeKindPutBack   ScopeKind = "put_back"
)

// ScopeKindValues lists them all.
func ScopeKindValues() []ScopeKind {
	return []ScopeKind{"diagnosis", "teardown", "repair", "more_found", "put_back"}
}

// RideAnswer is a closed set of words.
type RideAnswer string

// The values of RideAnswer.
const (
	RideAnswerYes       RideAnswer = "yes"
	RideAnswerNo        RideAnswer = "no"
	RideAnswerAfterWork RideAnswer = "after_work"
	RideAnswerNotKnown  RideAnswer = "not_known"
)

// RideAnswerValues lists them all.
func RideAnswerValues() []RideAnswer {
	return []RideAnswer{"yes", "no", "after_work", "not_known"}
}

// OfferState is a closed set of words.
type OfferState string

// The values of OfferState.
const (
	OfferStateOpen      OfferState = "open"
	OfferStateDecided   OfferState = "decided"
	OfferStateWithdrawn OfferState = "withdrawn"
	OfferStateChanged   OfferState = "changed"
	OfferStateLapsed    OfferState = "lapsed"
)

// OfferStateValues lists them all.
func OfferStateValues() []OfferState {
	return []OfferState{"open", "decided", "withdrawn", "changed", "lapsed"}
}

// ConsentKind is a closed set of words.
type ConsentKind string

// The values of ConsentKind.
const (
	ConsentKindDiagnosis ConsentKind = "diagnosis"
	ConsentKindTeardown  ConsentKind = "teardown"
	ConsentKindRepair    ConsentKind = "repair"
	ConsentKindMoreFound ConsentKind = "more_found"
	ConsentKindDropOff   ConsentKind = "drop_off"
	ConsentKindPutBack   ConsentKind = "put_back"
)

// ConsentKindValues lists them all.
func ConsentKindValues() []ConsentKind {
	return []ConsentKind{"diagnosis", "teardown", "repair", "more_found", "drop_off", "put_back"}
}

// Decision is a closed set of words.
type Decision string

// The values of Decision.
const (
	DecisionAgreed   Decision = "agreed"
	DecisionDeclined Decision = "declined"
)

// DecisionValues lists them all.
func DecisionValues() []Decision {
	return []Decision{"agreed", "declined"}
}

// ConsentMethod is a closed set of words.
type ConsentMethod string

// The values of ConsentMethod.
const (
	ConsentMethodLink     ConsentMethod = "link"
	ConsentMethodSpoken   ConsentMethod = "spoken"
	ConsentMethodInPerson ConsentMethod = "in_person"
	ConsentMethodMessage  ConsentMethod = "message"
)

// ConsentMethodValues lists them all.
func ConsentMethodValues() []ConsentMethod {
	return []ConsentMethod{"link", "spoken", "in_person", "message"}
}

// SafetyClass is a closed set of words.
type SafetyClass string

// The values of SafetyClass.
const (
	SafetyClassCritical SafetyClass = "critical"
	SafetyClassOrdinary SafetyClass = "ordinary"
)

// SafetyClassValues lists them all.
func SafetyClassValues() []SafetyClass {
	return []SafetyClass{"critical", "ordinary"}
}

// JointCondition is a closed set of words.
type JointCondition string

// The values of JointCondition.
const (
	JointConditionDry        JointCondition = "dry"
	JointConditionOiled      JointCondition = "oiled"
	JointConditionLocker     JointCondition = "locker"
	JointConditionAsSupplied JointCondition = "as_supplied"
)

// JointConditionValues lists them all.
func JointConditionValues() []JointCondition {
	return []JointCondition{"dry", "oiled", "locker", "as_supplied"}
}

// NewFastener is a closed set of words.
type NewFastener string

// The values of NewFastener.
const (
	NewFastenerYes       NewFastener = "yes"
	NewFastenerNo        NewFastener = "no"
	NewFastenerNotNeeded NewFastener = "not_needed"
)

// NewFastenerValues lists them all.
func NewFastenerValues() []NewFastener {
	return []NewFastener{"yes", "no", "not_needed"}
}

// RunKind is a closed set of words.
type RunKind string

// The values of RunKind.
const (
	RunKindRide        RunKind = "ride"
	RunKindStandRun    RunKind = "stand_run"
	RunKindRollingRoad RunKind = "rolling_road"
)

// RunKindValues lists them all.
func RunKindValues() []RunKind {
	return []RunKind{"ride", "stand_run", "rolling_road"}
}

// PreRide is a closed set of words.
type PreRide string

// The values of PreRide.
const (
	PreRideUnset     PreRide = ""
	PreRideOk        PreRide = "ok"
	PreRideNotOk     PreRide = "not_ok"
	PreRideNotFitted PreRide = "not_fitted"
)

// PreRideValues lists them all.
func PreRideValues() []PreRide {
	return []PreRide{"", "ok", "not_ok", "not_fitted"}
}

// RideOutcome is a closed set of words.
type RideOutcome string

// The values of RideOutcome.
const (
	RideOutcomeUnset RideOutcome = ""
	RideOutcomeOk    RideOutcome = "ok"
	RideOutcomeFault RideOutcome = "fault"
)

// RideOutcomeValues lists them all.
func RideOutcomeValues() []RideOutcome {
	return []RideOutcome{"", "ok", "fault"}
}

// DebrisMoment is a closed set of words.
type DebrisMoment string

// The values of DebrisMoment.
const (
	DebrisMomentStandRun      DebrisMoment = "stand_run"
	DebrisMomentRide          DebrisMoment = "ride"
	DebrisMomentFirstDistance DebrisMoment = "first_distance"
)

// DebrisMomentValues lists them all.
func DebrisMomentValues() []DebrisMoment {
	return []DebrisMoment{"stand_run", "ride", "first_distance"}
}

// DebrisSample is a closed set of words.
type DebrisSample string

// The values of DebrisSample.
const (
	DebrisSamplePlug   DebrisSample = "plug"
	DebrisSampleFilter DebrisSample = "filter"
	DebrisSampleOil    DebrisSample = "oil"
	DebrisSampleScreen DebrisSample = "screen"
)

// DebrisSampleValues lists them all.
func DebrisSampleValues() []DebrisSample {
	return []DebrisSample{"plug", "filter", "oil", "screen"}
}

// DebrisAmount is a closed set of words.
type DebrisAmount string

// The values of DebrisAmount.
const (
	DebrisAmountNone   DebrisAmount = "none"
	DebrisAmountFuzz   DebrisAmount = "fuzz"
	DebrisAmountFlakes DebrisAmount = "flakes"
	DebrisAmountChunks DebrisAmount = "chunks"
)

// DebrisAmountValues lists them all.
func DebrisAmountValues() []DebrisAmount {
	return []DebrisAmount{"none", "fuzz", "flakes", "chunks"}
}

// Transport is a closed set of words.
type Transport string

// The values of Transport.
const (
	TransportRidden  Transport = "ridden"
	TransportTrailer Transport = "trailer"
	TransportVan     Transport = "van"
	TransportCarried Transport = "carried"
)

// TransportValues lists them all.
func TransportValues() []Transport {
	return []Transport{"ridden", "trailer", "van", "carried"}
}

// OldPartsDone is a closed set of words.
type OldPartsDone string

// The values of OldPartsDone.
const (
	OldPartsDoneReturned     OldPartsDone = "returned"
	OldPartsDoneKept         OldPartsDone = "kept"
	OldPartsDoneExchanged    OldPartsDone = "exchanged"
	OldPartsDoneDisposed     OldPartsDone = "disposed"
	OldPartsDoneNoneReplaced OldPartsDone = "none_replaced"
)

// OldPartsDoneValues lists them all.
func OldPartsDoneValues() []OldPartsDone {
	return []OldPartsDone{"returned", "kept", "exchanged", "disposed", "none_replaced"}
}

// AdviceKind is a closed set of words.
type AdviceKind string

// The values of AdviceKind.
const (
	AdviceKindAdvice    AdviceKind = "advice"
	AdviceKindRecheck   AdviceKind = "recheck"
	AdviceKindStillOpen AdviceKind = "still_open"
)

// AdviceKindValues lists them all.
func AdviceKindValues() []AdviceKind {
	return []AdviceKind{"advice", "recheck", "still_open"}
}

// HoldReason is a closed set of words.
type HoldReason string

// The values of HoldReason.
const (
	HoldReasonParts    HoldReason = "parts"
	HoldReasonCustomer HoldReason = "customer"
	HoldReasonOutside  HoldReason = "outside"
	HoldReasonOther    HoldReason = "other"
)

// HoldReasonValues lists them all.
func HoldReasonValues() []HoldReason {
	return []HoldReason{"parts", "customer", "outside", "other"}
}

// MachineState is a closed set of words.
type MachineState string

// The values of MachineState.
const (
	MachineStateComplete    MachineState = "complete"
	MachineStateInBoxes     MachineState = "in_boxes"
	MachineStateMovableOnly MachineState = "movable_only"
)

// MachineStateValues lists them all.
func MachineStateValues() []MachineState {
	return []MachineState{"complete", "in_boxes", "movable_only"}
}

// NotRunState is a closed set of words.
type NotRunState string

// The values of NotRunState.
const (
	NotRunStateUnset       NotRunState = ""
	NotRunStateComplete    NotRunState = "complete"
	NotRunStateInBoxes     NotRunState = "in_boxes"
	NotRunStateMovableOnly NotRunState = "movable_only"
)

// NotRunStateValues lists them all.
func NotRunStateValues() []NotRunState {
	return []NotRunState{"", "complete", "in_boxes", "movable_only"}
}

package shop

// Every enum is a typed string with a complete list, in the order people expect.

// Role is a closed set of words.
type Role string

// The values of Role.
const (
	RoleTechnician Role = "technician"
	RoleAdvisor    Role = "advisor"
	RoleOwner      Role = "owner"
)

// RoleValues lists them all.
func RoleValues() []Role {
	return []Role{"technician", "advisor", "owner"}
}

// TaxMode is a closed set of words.
type TaxMode string

// The values of TaxMode.
const (
	TaxModeExclusive TaxMode = "exclusive"
	TaxModeInclusive TaxMode = "inclusive"
)

// TaxModeValues lists them all.
func TaxModeValues() []TaxMode {
	return []TaxMode{"exclusive", "inclusive"}
}

// SessionKind is a closed set of words.
type SessionKind string

// The values of SessionKind.
const (
	SessionKindApi     SessionKind = "api"
	SessionKindBrowser SessionKind = "browser"
)

// SessionKindValues lists them all.
func SessionKindValues() []SessionKind {
	return []SessionKind{"api", "browser"}
}

// CustomerKind is a closed set of words.
type CustomerKind string

// The values of CustomerKind.
const (
	CustomerKindPerson   CustomerKind = "person"
	CustomerKindBusiness CustomerKind = "business"
)

// CustomerKindValues lists them all.
func CustomerKindValues() []CustomerKind {
	return []CustomerKind{"person", "business"}
}

// ContactBy is a closed set of words.
type ContactBy string

// The values of ContactBy.
const (
	ContactByPhone ContactBy = "phone"
	ContactByText  ContactBy = "text"
	ContactByEmail ContactBy = "email"
	ContactByPost  ContactBy = "post"
)

// ContactByValues lists them all.
func ContactByValues() []ContactBy {
	return []ContactBy{"phone", "text", "email", "post"}
}

// VINVerdict is a closed set of words.
type VINVerdict string

// The values of VINVerdict.
const (
	VINVerdictUnknown       VINVerdict = "unknown"
	VINVerdictOk            VINVerdict = "ok"
	VINVerdictMismatch      VINVerdict = "mismatch"
	VINVerdictNotApplicable VINVerdict = "not_applicable"
)

// VINVerdictValues lists them all.
func VINVerdictValues() []VINVerdict {
	return []VINVerdict{"unknown", "ok", "mismatch", "not_applicable"}
}

// Channel is a closed set of words.
type Channel string

// The values of Channel.
const (
	ChannelWalkIn  Channel = "walk_in"
	ChannelPhone   Channel = "phone"
	ChannelEmail   Channel = "email"
	ChannelMessage Channel = "message"
	ChannelTowedIn Channel = "towed_in"
)

// ChannelValues lists them all.
func ChannelValues() []Channel {
	return []Channel{"walk_in", "phone", "email", "message", "towed_in"}
}

// YesNo is a closed set of words.
type YesNo string

// The values of YesNo.
const (
	YesNoYes      YesNo = "yes"
	YesNoNo       YesNo = "no"
	YesNoNotKnown YesNo = "not_known"
)

// YesNoValues lists them all.
func YesNoValues() []YesNo {
	return []YesNo{"yes", "no", "not_known"}
}

// Intent is a closed set of words.
type Intent string

// The values of Intent.
const (
	IntentKeep          Intent = "keep"
	IntentSell          Intent = "sell"
	IntentOneMoreSeason Intent = "one_more_season"
	IntentNotSaid       Intent = "not_said"
)

// IntentValues lists them all.
func IntentValues() []Intent {
	return []Intent{"keep", "sell", "one_more_season", "not_said"}
}

// OldParts is a closed set of words.
type OldParts string

// The values of OldParts.
const (
	OldPartsReturn   OldParts = "return"
	OldPartsKeep     OldParts = "keep"
	OldPartsExchange OldParts = "exchange"
	OldPartsDispose  OldParts = "dispose"
	OldPartsNotSaid  OldParts = "not_said"
)

// OldPartsValues lists them all.
func OldPartsValues() []OldParts {
	return []OldParts{"return", "keep", "exchange", "dispose", "not_said"}
}

// PaymentKind is a closed set of words.
type PaymentKind string

// The values of PaymentKind.
const (
	PaymentKindPayment PaymentKind = "payment"
	PaymentKindDeposit PaymentKind = "deposit"
	PaymentKindRefund  PaymentKind = "refund"
)

// PaymentKindValues lists them all.
func PaymentKindValues() []PaymentKind {
	return []PaymentKind{"payment", "deposit", "refund"}
}

// PaymentMethod is a closed set of words.
type PaymentMethod string

// The values of PaymentMethod.
const (
	PaymentMethodCash     PaymentMethod = "cash"
	PaymentMethodCard     PaymentMethod = "card"
	PaymentMethodTransfer PaymentMethod = "transfer"
	PaymentMethodOther    PaymentMethod = "other"
)

// PaymentMethodValues lists them all.
func PaymentMethodValues() []PaymentMethod {
	return []PaymentMethod{"cash", "card", "transfer", "other"}
}

// JobKind is a closed set of words.
type JobKind string

// The values of JobKind.
const (
	JobKindComplaint JobKind = "complaint"
	JobKindRequest   JobKind = "request"
)

// JobKindValues lists them all.
func JobKindValues() []JobKind {
	return []JobKind{"complaint", "request"}
}

// Stage is a closed set of words.
type Stage string

// The values of Stage.
const (
	StageIntake        Stage = "intake"
	StageDiagnosis     Stage = "diagnosis"
	StageTeardown      Stage = "teardown"
	StageAuthorization Stage = "authorization"
	StageRepair        Stage = "repair"
	StageRoadTest      Stage = "road_test"
	StageRelease       Stage = "release"
	StageClosed        Stage = "closed"
	StageWithdrawn     Stage = "withdrawn"
)

// StageValues lists them all.
func StageValues() []Stage {
	return []Stage{"intake", "diagnosis", "teardown", "authorization", "repair", "road_test", "release", "closed", "withdrawn"}
}

// Symptom is a closed set of words.
type Symptom string

// The values of Symptom.
const (
	SymptomNoise       Symptom = "noise"
	SymptomNoStart     Symptom = "no_start"
	SymptomLeak        Symptom = "leak"
	SymptomVibration   Symptom = "vibration"
	SymptomSmoke       Symptom = "smoke"
	SymptomWarningLamp Symptom = "warning_lamp"
	SymptomBrakes      Symptom = "brakes"
	SymptomHandling    Symptom = "handling"
	SymptomElectrical  Symptom = "electrical"
	SymptomRunning     Symptom = "running"
	SymptomOther       Symptom = "other"
)

// SymptomValues lists them all.
func SymptomValues() []Symptom {
	return []Symptom{"noise", "no_start", "leak", "vibration", "smoke", "warning_lamp", "brakes", "handling", "electrical", "running", "other"}
}

// Answer is a closed set of words.
type Answer string

// The values of Answer.
const (
	AnswerUnset            Answer = ""
	AnswerFinding          Answer = "finding"
	AnswerRequest          Answer = "request"
	AnswerNormalForMachine Answer = "normal_for_machine"
	AnswerNotReproduced    Answer = "not_reproduced"
	AnswerNotLookedInto    Answer = "not_looked_into"
	AnswerNotExplained     Answer = "not_explained"
)

// AnswerValues lists them all.
func AnswerValues() []Answer {
	return []Answer{"", "finding", "request", "normal_for_machine", "not_reproduced", "not_looked_into", "not_explained"}
}

// Again is a closed set of words.
type Again string

// The values of Again.
const (
	AgainUnset      Again = ""
	AgainGone       Again = "gone"
	AgainStillThere Again = "still_there"
	AgainChanged    Again = "changed"
	AgainNotRidden  Again = "not_ridden"
)

// AgainValues lists them all.
func AgainValues() []Again {
	return []Again{"", "gone", "still_there", "changed", "not_ridden"}
}

// Outcome is a closed set of words.
type Outcome string

// The values of Outcome.
const (
	OutcomeOk          Outcome = "ok"
	OutcomeNotOk       Outcome = "not_ok"
	OutcomeNotPossible Outcome = "not_possible"
)

// OutcomeValues lists them all.
func OutcomeValues() []Outcome {
	return []Outcome{"ok", "not_ok", "not_possible"}
}

// Pieces is a closed set of words.
type Pieces string

// The values of Pieces.
const (
	PiecesNone    Pieces = "none"
	PiecesMissing Pieces = "missing"
	PiecesFound   Pieces = "found"
)

// PiecesValues lists them all.
func PiecesValues() []Pieces {
	return []Pieces{"none", "missing", "found"}
}

// Advised is a closed set of words.
type Advised string

// The values of Advised.
const (
	AdvisedUnset         Advised = ""
	AdvisedReuse         Advised = "reuse"
	AdvisedCleanAndReuse Advised = "clean_and_reuse"
	AdvisedAdjust        Advised = "adjust"
	AdvisedRework        Advised = "rework"
	AdvisedSendOut       Advised = "send_out"
	AdvisedReplace       Advised = "replace"
	AdvisedLookFurther   Advised = "look_further"
	AdvisedWatch         Advised = "watch"
)

// AdvisedValues lists them all.
func AdvisedValues() []Advised {
	return []Advised{"", "reuse", "clean_and_reuse", "adjust", "rework", "send_out", "replace", "look_further", "watch"}
}

// DangerOutcome is a closed set of words.
type DangerOutcome string

// The values of DangerOutcome.
const (
	DangerOutcomeUnset           DangerOutcome = ""
	DangerOutcomeRepaired        DangerOutcome = "repaired"
	DangerOutcomeLeavesOnTrailer DangerOutcome = "leaves_on_trailer"
	DangerOutcomeOwnerInsists    DangerOutcome = "owner_insists"
)

// DangerOutcomeValues lists them all.
func DangerOutcomeValues() []DangerOutcome {
	return []DangerOutcome{"", "repaired", "leaves_on_trailer", "owner_insists"}
}

// DamageMode is a closed set of words.
type DamageMode string

// The values of DamageMode.
const (
	DamageModeUnset              DamageMode = ""
	DamageModeCracked            DamageMode = "cracked"
	DamageModeBent               DamageMode = "bent"
	DamageModeBroken             DamageMode = "broken"
	DamageModeStrippedThread     DamageMode = "stripped_thread"
	DamageModeHeatBlued          DamageMode = "heat_blued"
	DamageModeScored             DamageMode = "scored"
	DamageModeWiped              DamageMode = "wiped"
	DamageModeSeized             DamageMode = "seized"
	DamageModeWorn               DamageMode = "worn"
	DamageModeStretched          DamageMode = "stretched"
	DamageModeHooked             DamageMode = "hooked"
	DamageModeHollowed           DamageMode = "hollowed"
	DamageModeBurnt              DamageMode = "burnt"
	DamageModeWarped             DamageMode = "warped"
	DamageModeCorroded           DamageMode = "corroded"
	DamageModeChafed             DamageMode = "chafed"
	DamageModePerished           DamageMode = "perished"
	DamageModeLeaking            DamageMode = "leaking"
	DamageModeContaminated       DamageMode = "contaminated"
	DamageModeLoose              DamageMode = "loose"
	DamageModeMissing            DamageMode = "missing"
	DamageModeWrongPart          DamageMode = "wrong_part"
	DamageModeBadlyFittedBefore  DamageMode = "badly_fitted_before"
	DamageModeElectricalOpen     DamageMode = "electrical_open"
	DamageModeElectricalShort    DamageMode = "electrical_short"
	DamageModeSurfaceFatigue     DamageMode = "surface_fatigue"
	DamageModeScuffing           DamageMode = "scuffing"
	DamageModePlasticDeformation DamageMode = "plastic_deformation"
	DamageModeToothBreakage      DamageMode = "tooth_breakage"
	DamageModeFretting           DamageMode = "fretting"
	DamageModeOverheated         DamageMode = "overheated"
	DamageModeIndented           DamageMode = "indented"
)

// DamageModeValues lists them all.
func DamageModeValues() []DamageMode {
	return []DamageMode{"", "cracked", "bent", "broken", "stripped_thread", "heat_blued", "scored", "wiped", "seized", "worn", "stretched", "hooked", "hollowed", "burnt", "warped", "corroded", "chafed", "perished", "leaking", "contaminated", "loose", "missing", "wrong_part", "badly_fitted_before", "electrical_open", "electrical_short", "surface_fatigue", "scuffing", "plastic_deformation", "tooth_breakage", "fretting", "overheated", "indented"}
}

// TagKind is a closed set of words.
type TagKind string

// The values of TagKind.
const (
	TagKindParts     TagKind = "parts"
	TagKindFasteners TagKind = "fasteners"
)

// TagKindValues lists them all.
func TagKindValues() []TagKind {
	return []TagKind{"parts", "fasteners"}
}

// TagOutcome is a closed set of words.
type TagOutcome string

// The values of TagOutcome.
const (
	TagOutcomeUnset        TagOutcome = ""
	TagOutcomeRefitted     TagOutcome = "refitted"
	TagOutcomeReplaced     TagOutcome = "replaced"
	TagOutcomeReturned     TagOutcome = "returned"
	TagOutcomeKept         TagOutcome = "kept"
	TagOutcomeScrapped     TagOutcome = "scrapped"
	TagOutcomeOffOnPurpose TagOutcome = "off_on_purpose"
	TagOutcomeWithMachine  TagOutcome = "with_machine"
)

// TagOutcomeValues lists them all.
func TagOutcomeValues() []TagOutcome {
	return []TagOutcome{"", "refitted", "replaced", "returned", "kept", "scrapped", "off_on_purpose", "with_machine"}
}

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

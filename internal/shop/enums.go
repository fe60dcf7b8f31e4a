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

// EraseReason is a closed set of words: free text would be one more place
// for names.
type EraseReason string

// The values of EraseReason.
const (
	EraseReasonNone           EraseReason = ""
	EraseReasonAsked          EraseReason = "asked"
	EraseReasonNoLongerNeeded EraseReason = "no_longer_needed"
	EraseReasonOther          EraseReason = "other"
)

// EraseReasonValues lists them all.
func EraseReasonValues() []EraseReason {
	return []EraseReason{"", "asked", "no_longer_needed", "other"}
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

// TagPurpose is a closed set of words.
type TagPurpose string

// The values of TagPurpose.
const (
	TagPurposeRoll   TagPurpose = "roll"
	TagPurposeSheet  TagPurpose = "sheet"
	TagPurposeTablet TagPurpose = "tablet"
)

// TagPurposeValues lists them all.
func TagPurposeValues() []TagPurpose {
	return []TagPurpose{"roll", "sheet", "tablet"}
}

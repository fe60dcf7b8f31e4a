package consent

// Kind is the shape of the allowance. P is the percentage of the estimate,
// A the fixed amount, C the cap.
type Kind string

// The kinds.
const (
	KindZero          Kind = "zero"                // no allowance
	KindPct           Kind = "pct"                 // P
	KindAbs           Kind = "abs"                 // A
	KindLesser        Kind = "lesser"              // min(P, A)
	KindGreater       Kind = "greater"             // max(P, A)
	KindGreaterCapped Kind = "greater_capped"      // min(max(P, A), C)
	KindBandsPct      Kind = "bands_pct"           // P by size of the estimate
	KindVehicleAgePct Kind = "vehicle_age_pct"     // P by age of the vehicle
	KindCustomerLimit Kind = "customer_limit_only" // only what the customer named
	KindStandard      Kind = "standard"            // a standard of judgment, no number
)

// Kinds lists every kind.
func Kinds() []Kind {
	return []Kind{
		KindZero, KindPct, KindAbs, KindLesser, KindGreater, KindGreaterCapped,
		KindBandsPct, KindVehicleAgePct, KindCustomerLimit, KindStandard,
	}
}

// Cmp is how a figure is held against a bound.
type Cmp string

// The comparisons.
const (
	Gt Cmp = "gt" // greater than
	Ge Cmp = "ge" // at least
	Lt Cmp = "lt" // less than
	Le Cmp = "le" // at most
)

// Cmps lists every comparison.
func Cmps() []Cmp { return []Cmp{Gt, Ge, Lt, Le} }

// Base says whether tax is in the figures compared.
type Base string

// The bases.
const (
	ExclTax         Base = "excl_tax"
	InclTax         Base = "incl_tax"
	BaseUnspecified Base = "unspecified" // both are tested; the stricter wins
)

// Bases lists every base.
func Bases() []Base { return []Base{ExclTax, InclTax, BaseUnspecified} }

// Level says what the tolerance is measured on.
type Level string

// The levels.
const (
	LevelOrder Level = "order" // the whole work order
	LevelJob   Level = "job"   // each job, and the order as well
)

// Levels lists every level.
func Levels() []Level { return []Level{LevelOrder, LevelJob} }

// RevisionBase says which authorised sum the percentage is taken of.
type RevisionBase string

// The revision bases.
const (
	LatestAuthorized RevisionBase = "latest_authorized"
	OriginalEstimate RevisionBase = "original"
)

// RevisionBases lists every revision base.
func RevisionBases() []RevisionBase { return []RevisionBase{LatestAuthorized, OriginalEstimate} }

// Cover says whether the law read covers motorcycles.
type Cover string

// The covers.
const (
	CoverYes     Cover = "yes"
	CoverNo      Cover = "no"
	CoverUnknown Cover = "unknown"
	CoverLikely  Cover = "likely"
)

// Covers lists every cover.
func Covers() []Cover { return []Cover{CoverYes, CoverNo, CoverUnknown, CoverLikely} }

// Tri is yes, no or not known.
type Tri string

// The three.
const (
	Yes     Tri = "yes"
	No      Tri = "no"
	Unknown Tri = "unknown"
)

// Tris lists all three.
func Tris() []Tri { return []Tri{Yes, No, Unknown} }

// Trigger says who must act for a written estimate to be due.
type Trigger string

// The triggers.
const (
	TriggerAlways          Trigger = "always"
	TriggerUnlessWaived    Trigger = "unless_waived"
	TriggerOfferChoice     Trigger = "offer_choice"
	TriggerOnRequest       Trigger = "on_request"
	TriggerDeclinedWithMax Trigger = "unless_declined_with_maximum"
	TriggerNone            Trigger = "none"
)

// Triggers lists every trigger.
func Triggers() []Trigger {
	return []Trigger{
		TriggerAlways, TriggerUnlessWaived, TriggerOfferChoice,
		TriggerOnRequest, TriggerDeclinedWithMax, TriggerNone,
	}
}

// EstimateForm is the form of the estimate itself.
type EstimateForm string

// The forms of an estimate.
const (
	EstimateWritten         EstimateForm = "written"
	EstimateCustomerChoice  EstimateForm = "customer_choice"   // written, spoken or none, as the customer ticks
	EstimateOralUnlessAsked EstimateForm = "oral_unless_asked" // spoken; written on request
)

// EstimateForms lists every form of an estimate.
func EstimateForms() []EstimateForm {
	return []EstimateForm{EstimateWritten, EstimateCustomerChoice, EstimateOralUnlessAsked}
}

// Form is the form an authorization or consent must take.
type Form string

// The forms of consent.
const (
	FormAny                 Form = "any" // the text names none
	FormWritten             Form = "written"
	FormWrittenUnlessAbsent Form = "written_unless_absent"
	FormOralOrWritten       Form = "oral_or_written"
	FormOralOrElectronic    Form = "written_oral_or_electronic"
	// FormWrittenOrRecorded is the strict default's: written or electronic
	// first; spoken only with the full record.
	FormWrittenOrRecorded Form = "written_or_electronic_or_recorded"
)

// Forms lists every form of consent.
func Forms() []Form {
	return []Form{
		FormAny, FormWritten, FormWrittenUnlessAbsent, FormOralOrWritten,
		FormOralOrElectronic, FormWrittenOrRecorded,
	}
}

// Exemption is a case the estimate rule leaves out.
type Exemption string

// NoFaceToFace is a job taken in without meeting the customer.
const NoFaceToFace Exemption = "no_face_to_face"

// Exemptions lists every exemption.
func Exemptions() []Exemption { return []Exemption{NoFaceToFace} }

// Basis says how the comparison of the overage was grounded.
type Basis string

// The bases of reading.
const (
	BasisText      Basis = "text"      // read in the text
	BasisSecondary Basis = "secondary" // read about
	BasisAmbiguous Basis = "ambiguous" // readable two ways, taken strictly
	BasisExcerpt   Basis = "excerpt"   // an excerpt nobody confirmed
	BasisOwn       Basis = "own"       // our default or the shop's choice
)

// BasesOfReading lists every basis.
func BasesOfReading() []Basis {
	return []Basis{BasisText, BasisSecondary, BasisAmbiguous, BasisExcerpt, BasisOwn}
}

// Quality is the standing of a source.
type Quality string

// The qualities.
const (
	QualityPrimary    Quality = "primary"
	QualityGuidance   Quality = "gov_guidance"
	QualitySecondary  Quality = "secondary"
	QualityUnverified Quality = "unverified"
	QualityOwn        Quality = "own" // our default or the shop's choice
)

// Qualities lists every quality.
func Qualities() []Quality {
	return []Quality{QualityPrimary, QualityGuidance, QualitySecondary, QualityUnverified, QualityOwn}
}

// Duty is what a standard without a number asks for.
type Duty string

// The duties.
const (
	DutyNotify          Duty = "notify_without_delay"
	DutyReasonablePrice Duty = "agreed_price_else_reasonable_price"
	DutyAuthorization   Duty = "authorization"
)

// Duties lists every duty.
func Duties() []Duty { return []Duty{DutyNotify, DutyReasonablePrice, DutyAuthorization} }

// Also is a change that needs consent whatever it costs.
type Also string

// The changes.
const (
	AlsoNewWork       Also = "new_work"
	AlsoDateSlip      Also = "date_slip"
	AlsoMethodOrPart  Also = "method_or_part_change"
	AlsoPartCondition Also = "part_condition_change"
)

// Alsos lists every such change.
func Alsos() []Also { return []Also{AlsoNewWork, AlsoDateSlip, AlsoMethodOrPart, AlsoPartCondition} }

// LimitKind says how a rule takes a maximum the customer names at drop-off.
type LimitKind string

// The kinds of limit.
const (
	LimitSilent         LimitKind = "silent"           // the text does not speak of it
	LimitNamed          LimitKind = "named"            // the text knows it
	LimitNamedInWriting LimitKind = "named_in_writing" // the text knows it on a signed paper
	LimitWorkDescribed  LimitKind = "work_described"   // consent must describe the work and its price
)

// LimitKinds lists every kind of limit.
func LimitKinds() []LimitKind {
	return []LimitKind{LimitSilent, LimitNamed, LimitNamedInWriting, LimitWorkDescribed}
}

// WaiverKind is the form a waiver of the estimate must take.
type WaiverKind string

// The kinds of waiver.
const (
	WaiverUnspecified WaiverKind = "unspecified"
	WaiverNotifyAbove WaiverKind = "written_waiver_or_notify_above_amount"
	WaiverFormOptions WaiverKind = "signed_form_options"
	WaiverFixedMax    WaiverKind = "written_with_fixed_maximum"
	WaiverHandwritten WaiverKind = "handwritten_by_consumer"
)

// WaiverKinds lists every kind of waiver.
func WaiverKinds() []WaiverKind {
	return []WaiverKind{WaiverUnspecified, WaiverNotifyAbove, WaiverFormOptions, WaiverFixedMax, WaiverHandwritten}
}

// WaiverOption is one box of a form that offers a choice.
type WaiverOption string

// The options.
const (
	OptionWritten    WaiverOption = "written_estimate"
	OptionOral       WaiverOption = "oral_estimate"
	OptionCallIfOver WaiverOption = "call_if_over_amount"
	OptionNone       WaiverOption = "no_estimate"
)

// WaiverOptions lists every option.
func WaiverOptions() []WaiverOption {
	return []WaiverOption{OptionWritten, OptionOral, OptionCallIfOver, OptionNone}
}

package layout

import (
	"strconv"
	"strings"

	"benchtag/internal/fault"
)

// Code names what is wrong in a document; stable, for programs.
type Code string

// The codes of machine maps.
const (
	FormatUnknown      Code = "layout.format_unknown" // of ParseMap and ParseSheet, not of Check
	KeyMalformed       Code = "layout.key_malformed"
	KeyTwice           Code = "layout.key_twice"
	NameMissing        Code = "layout.name_missing"
	NameTooLong        Code = "layout.name_too_long"
	RevisionMissing    Code = "layout.revision_missing"
	NoticeMissing      Code = "layout.notice_missing"
	ComponentsMissing  Code = "layout.components_missing"
	WordUnknown        Code = "layout.word_unknown" // a word that is not of its list
	SafetyMissing      Code = "layout.safety_missing"
	AssemblyDangling   Code = "layout.assembly_dangling"
	CompartDangling    Code = "layout.compartment_dangling"
	ComponentDangling  Code = "layout.component_dangling"
	StepDangling       Code = "layout.step_dangling"
	NodeDangling       Code = "layout.node_dangling"
	PositionUnlikely   Code = "layout.position_unlikely"
	MinutesMissing     Code = "layout.minutes_missing"
	MinutesOutOfRange  Code = "layout.minutes_out_of_range"
	QuantityOutOfRange Code = "layout.quantity_out_of_range"
	WayEmpty           Code = "layout.way_empty"
	NeedEmpty          Code = "layout.need_empty"
	StepNeverPossible  Code = "layout.step_never_possible"
	BackInCircle       Code = "layout.back_in_circle"
	RatingMissing      Code = "layout.rating_missing"
	WidthOutOfRange    Code = "layout.width_out_of_range"
	BypassUnused       Code = "layout.bypass_unused"
	BypassOfNoBarrier  Code = "layout.bypass_of_no_barrier"
	PassageToItself    Code = "layout.passage_to_itself"
	CircuitEmpty       Code = "layout.circuit_empty"
	GroupEmpty         Code = "layout.group_empty"
	MemberTwice        Code = "layout.member_twice"
	HoldAtItself       Code = "layout.hold_at_itself"
	DeriveUnknown      Code = "layout.derive_unknown"
	UnitMissing        Code = "layout.unit_missing"
	UnitUnknown        Code = "layout.unit_unknown"
	ParameterMalformed Code = "layout.parameter_malformed"
	LookSeesNothing    Code = "layout.look_sees_nothing"
	PercentOutOfRange  Code = "layout.percent_out_of_range"
)

// The codes of limit sheets.
const (
	MapOther          Code = "layout.map_other"
	ForContradicts    Code = "layout.for_contradicts"
	YearsOutOfOrder   Code = "layout.years_out_of_order"
	SourceMissing     Code = "layout.source_missing"
	SourceDangling    Code = "layout.source_dangling"
	SourceContradicts Code = "layout.source_contradicts"
	PointDangling     Code = "layout.point_dangling"
	PointTwice        Code = "layout.point_twice"
	LimitEmpty        Code = "layout.limit_empty"
	ValueMalformed    Code = "layout.value_malformed"
	DimensionOther    Code = "layout.dimension_other"
	RangeInverted     Code = "layout.range_inverted"
	ServiceTighter    Code = "layout.service_tighter"
	RuleUnknown       Code = "layout.rule_unknown"
	FasteningDangling Code = "layout.fastening_dangling"
	FasteningTwice    Code = "layout.fastening_twice"
	StagesMissing     Code = "layout.stages_missing"
	StageUnclear      Code = "layout.stage_unclear"
	TorqueOutOfRange  Code = "layout.torque_out_of_range"
	AngleOutOfRange   Code = "layout.angle_out_of_range"
)

// Codes lists every code.
func Codes() []Code {
	return []Code{
		FormatUnknown, KeyMalformed, KeyTwice, NameMissing, NameTooLong, RevisionMissing, NoticeMissing, ComponentsMissing, WordUnknown,
		SafetyMissing, AssemblyDangling, CompartDangling, ComponentDangling, StepDangling, NodeDangling, PositionUnlikely,
		MinutesMissing, MinutesOutOfRange, QuantityOutOfRange, WayEmpty, NeedEmpty, StepNeverPossible, BackInCircle,
		RatingMissing, WidthOutOfRange, BypassUnused, BypassOfNoBarrier, PassageToItself, CircuitEmpty, GroupEmpty,
		MemberTwice, HoldAtItself, DeriveUnknown, UnitMissing, UnitUnknown, ParameterMalformed, LookSeesNothing, PercentOutOfRange,
		MapOther, ForContradicts, YearsOutOfOrder, SourceMissing, SourceDangling, SourceContradicts, PointDangling,
		PointTwice, LimitEmpty, ValueMalformed, DimensionOther, RangeInverted, ServiceTighter, RuleUnknown,
		FasteningDangling, FasteningTwice, StagesMissing, StageUnclear, TorqueOutOfRange, AngleOutOfRange,
	}
}

// Fault is one thing that is wrong in a document.
type Fault struct {
	Code Code `json:"code"`
	// Pointer is where it stands, a JSON Pointer (RFC 6901).
	Pointer string `json:"pointer"`
	// Key names the thing in whose description it stands; "" for the
	// document itself.
	Key     Key    `json:"key"`
	Message string `json:"message"`
}

// Refusal makes one error of all faults of a document, or nil of none.
func Refusal(faults []Fault) error {
	if len(faults) == 0 {
		return nil
	}
	first := faults[0]
	e := fault.New(fault.Meaning, string(first.Code), "At "+first.Pointer+": "+first.Message)
	if len(faults) > 1 {
		e.Message += " There are " + strconv.Itoa(len(faults)) + " faults in all."
	}
	for _, f := range faults {
		e.Fields = append(e.Fields, fault.Field{Pointer: f.Pointer, Message: f.Message})
	}
	return e
}

// place is a JSON Pointer under way.
type place string

func (p place) member(name string) place {
	return p + "/" + place(strings.ReplaceAll(strings.ReplaceAll(name, "~", "~0"), "/", "~1"))
}

func (p place) item(i int) place { return p + "/" + place(strconv.Itoa(i)) }

// at is the place of one item of a list of the document.
func at(list string, i int) place { return place("").member(list).item(i) }

package measure

import "errors"

// Code names what is wrong with an entry; stable, for programs.
type Code string

// The codes.
const (
	EntryEmpty          Code = "measure.entry_empty"          // nothing was typed
	EntryTooLong        Code = "measure.entry_too_long"       // more than 64 bytes
	EntryContradicts    Code = "measure.entry_contradicts"    // value and unit say another thing than the text entered
	NumberMissing       Code = "measure.number_missing"       // a unit alone
	NumberMalformed     Code = "measure.number_malformed"     // not a number
	NumberTooLong       Code = "measure.number_too_long"      // more digits than are kept
	SeparatorsAmbiguous Code = "measure.separators_ambiguous" // decimal mark or thousands, nobody can tell
	FractionEndless     Code = "measure.fraction_endless"     // 1/3 has no finite decimal
	UnitMissing         Code = "measure.unit_missing"         // a number alone
	UnitUnknown         Code = "measure.unit_unknown"         // no such unit here
	UnitIncompatible    Code = "measure.unit_incompatible"    // a length is no torque
	FigureOutOfRange    Code = "measure.figure_out_of_range"  // no gear, bolt, fit or bearing is like that
	NameUnknown         Code = "measure.name_unknown"         // no such thread, chain, class of tolerance
	TableEnds           Code = "measure.table_ends"           // the published table does not go as far
	ValueOutOfRange     Code = "measure.value_out_of_range"   // the result does not fit
	DeriveUnknown       Code = "measure.derive_unknown"       // no such formula
	ReadingMissing      Code = "measure.reading_missing"      // the formula needs one more
	ReadingUnclear      Code = "measure.reading_unclear"      // which of them is it
	ParameterMissing    Code = "measure.parameter_missing"    // the formula needs a figure besides
	ParameterMalformed  Code = "measure.parameter_malformed"  // it is none
	TemperatureMissing  Code = "measure.temperature_missing"  // the formula needs it
	ParameterUnknown    Code = "measure.parameter_unknown"    // a figure that the formula does not know
	ReadingTwice        Code = "measure.reading_twice"        // read, and given as a figure as well
	ReadingsTooMany     Code = "measure.readings_too_many"    // or none at all
	ReadingsUneven      Code = "measure.readings_uneven"      // so many along and so many across
	IntervalInverted    Code = "measure.interval_inverted"    // the blade that fits is thicker than the one that does not
	GaugeWrong          Code = "measure.gauge_wrong"          // no gauge is like that
)

// Codes lists every code.
func Codes() []Code {
	return []Code{EntryEmpty, EntryTooLong, EntryContradicts, NumberMissing, NumberMalformed, NumberTooLong,
		SeparatorsAmbiguous, FractionEndless, UnitMissing, UnitUnknown, UnitIncompatible,
		FigureOutOfRange, NameUnknown, TableEnds, ValueOutOfRange,
		DeriveUnknown, ReadingMissing, ReadingUnclear, ParameterMissing, ParameterMalformed, TemperatureMissing,
		ParameterUnknown, ReadingTwice, ReadingsTooMany, ReadingsUneven, IntervalInverted, GaugeWrong}
}

// Error is what is wrong with an entry, and what to do about it.
type Error struct {
	Code    Code
	Message string // a sentence for whoever typed the entry
	// At points to its place (RFC 6901) within what was handed over; "" for
	// all of it.
	At string
}

// Error gives code and message, for the log.
func (e *Error) Error() string { return string(e.Code) + ": " + e.Message }

func problem(code Code, message string) error { return &Error{Code: code, Message: message} }

func problemAt(at string, code Code, message string) error {
	return &Error{Code: code, Message: message, At: at}
}

// placed puts a place before that of an error of this package.
func placed(at string, err error) error {
	var e *Error
	if errors.As(err, &e) {
		return &Error{Code: e.Code, Message: e.Message, At: at + e.At}
	}
	return err
}

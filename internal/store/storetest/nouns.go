package storetest

import (
	"reflect"

	"benchtag/internal/app"
	"benchtag/internal/shop"
)

// Nouns gives a fresh, empty row of every stored noun, in the order of
// package shop. A test compares the list with that package.
func Nouns() []app.Noun {
	return []app.Noun{
		&shop.Job{}, &shop.Complaint{}, &shop.Check{}, &shop.AsFound{}, &shop.Finding{},
		&shop.Measurement{}, &shop.Photo{}, &shop.Tag{}, &shop.TagBlock{}, &shop.Line{}, &shop.PartOrder{},
		&shop.BenchTime{}, &shop.Promise{}, &shop.Scope{}, &shop.Offer{}, &shop.OfferLink{},
		&shop.Consent{}, &shop.Customer{}, &shop.Machine{}, &shop.OdometerReading{}, &shop.HandOver{},
		&shop.Advice{}, &shop.Hold{}, &shop.HandOverNote{}, &shop.Withdrawal{}, &shop.Fastening{},
		&shop.HoldPoint{}, &shop.FirstStart{}, &shop.RoadTest{}, &shop.DebrisCheck{}, &shop.Shop{},
		&shop.Staff{}, &shop.SignInCounter{}, &shop.Session{}, &shop.RefreshToken{}, &shop.Tablet{},
		&shop.SignOn{}, &shop.SecurityEvent{}, &shop.Bay{}, &shop.TaxCategory{}, &shop.LabourRate{},
		&shop.Gauge{}, &shop.Layout{}, &shop.LimitSheet{}, &shop.WorkOrder{}, &shop.IntakeFacts{},
		&shop.Bill{}, &shop.Payment{}, &shop.Message{}, &shop.Webhook{},
		&shop.ConsentEnding{}, &shop.CustomerQuestion{}, &shop.LegalHold{},
	}
}

// Enums gives the values of every closed set of words that a column may hold.
func Enums() map[reflect.Type][]string {
	return map[reflect.Type][]string{
		reflect.TypeFor[shop.Role]():           words(shop.RoleValues()),
		reflect.TypeFor[shop.TaxMode]():        words(shop.TaxModeValues()),
		reflect.TypeFor[shop.SessionKind]():    words(shop.SessionKindValues()),
		reflect.TypeFor[shop.CustomerKind]():   words(shop.CustomerKindValues()),
		reflect.TypeFor[shop.EraseReason]():    words(shop.EraseReasonValues()),
		reflect.TypeFor[shop.ContactBy]():      words(shop.ContactByValues()),
		reflect.TypeFor[shop.VINVerdict]():     words(shop.VINVerdictValues()),
		reflect.TypeFor[shop.Channel]():        words(shop.ChannelValues()),
		reflect.TypeFor[shop.YesNo]():          words(shop.YesNoValues()),
		reflect.TypeFor[shop.Intent]():         words(shop.IntentValues()),
		reflect.TypeFor[shop.OldParts]():       words(shop.OldPartsValues()),
		reflect.TypeFor[shop.PaymentKind]():    words(shop.PaymentKindValues()),
		reflect.TypeFor[shop.PaymentMethod]():  words(shop.PaymentMethodValues()),
		reflect.TypeFor[shop.JobKind]():        words(shop.JobKindValues()),
		reflect.TypeFor[shop.Stage]():          words(shop.StageValues()),
		reflect.TypeFor[shop.Symptom]():        words(shop.SymptomValues()),
		reflect.TypeFor[shop.Answer]():         words(shop.AnswerValues()),
		reflect.TypeFor[shop.Again]():          words(shop.AgainValues()),
		reflect.TypeFor[shop.Outcome]():        words(shop.OutcomeValues()),
		reflect.TypeFor[shop.Pieces]():         words(shop.PiecesValues()),
		reflect.TypeFor[shop.Advised]():        words(shop.AdvisedValues()),
		reflect.TypeFor[shop.DangerOutcome]():  words(shop.DangerOutcomeValues()),
		reflect.TypeFor[shop.DamageMode]():     words(shop.DamageModeValues()),
		reflect.TypeFor[shop.TagKind]():        words(shop.TagKindValues()),
		reflect.TypeFor[shop.TagOutcome]():     words(shop.TagOutcomeValues()),
		reflect.TypeFor[shop.TagPurpose]():     words(shop.TagPurposeValues()),
		reflect.TypeFor[shop.LineKind]():       words(shop.LineKindValues()),
		reflect.TypeFor[shop.LineWork]():       words(shop.LineWorkValues()),
		reflect.TypeFor[shop.LineState]():      words(shop.LineStateValues()),
		reflect.TypeFor[shop.Certainty]():      words(shop.CertaintyValues()),
		reflect.TypeFor[shop.PartCondition]():  words(shop.PartConditionValues()),
		reflect.TypeFor[shop.ScopeKind]():      words(shop.ScopeKindValues()),
		reflect.TypeFor[shop.RideAnswer]():     words(shop.RideAnswerValues()),
		reflect.TypeFor[shop.OfferState]():     words(shop.OfferStateValues()),
		reflect.TypeFor[shop.ConsentKind]():    words(shop.ConsentKindValues()),
		reflect.TypeFor[shop.Decision]():       words(shop.DecisionValues()),
		reflect.TypeFor[shop.ConsentMethod]():  words(shop.ConsentMethodValues()),
		reflect.TypeFor[shop.ShownAs]():        words(shop.ShownAsValues()),
		reflect.TypeFor[shop.EndingKind]():     words(shop.EndingKindValues()),
		reflect.TypeFor[shop.QuestionKind]():   words(shop.QuestionKindValues()),
		reflect.TypeFor[shop.SafetyClass]():    words(shop.SafetyClassValues()),
		reflect.TypeFor[shop.JointCondition](): words(shop.JointConditionValues()),
		reflect.TypeFor[shop.NewFastener]():    words(shop.NewFastenerValues()),
		reflect.TypeFor[shop.RunKind]():        words(shop.RunKindValues()),
		reflect.TypeFor[shop.PreRide]():        words(shop.PreRideValues()),
		reflect.TypeFor[shop.RideOutcome]():    words(shop.RideOutcomeValues()),
		reflect.TypeFor[shop.DebrisMoment]():   words(shop.DebrisMomentValues()),
		reflect.TypeFor[shop.DebrisSample]():   words(shop.DebrisSampleValues()),
		reflect.TypeFor[shop.DebrisAmount]():   words(shop.DebrisAmountValues()),
		reflect.TypeFor[shop.Transport]():      words(shop.TransportValues()),
		reflect.TypeFor[shop.OldPartsDone]():   words(shop.OldPartsDoneValues()),
		reflect.TypeFor[shop.AdviceKind]():     words(shop.AdviceKindValues()),
		reflect.TypeFor[shop.HoldReason]():     words(shop.HoldReasonValues()),
		reflect.TypeFor[shop.MachineState]():   words(shop.MachineStateValues()),
		reflect.TypeFor[shop.NotRunState]():    words(shop.NotRunStateValues()),
		reflect.TypeFor[shop.MessageKind]():    words(shop.MessageKindValues()),
		reflect.TypeFor[shop.MessageWay]():     words(shop.MessageWayValues()),
		reflect.TypeFor[shop.MessageState]():   words(shop.MessageStateValues()),
		reflect.TypeFor[shop.WebhookUse]():     words(shop.WebhookUseValues()),
	}
}

func words[T ~string](values []T) []string {
	out := make([]string, len(values))
	for i, v := range values {
		out[i] = string(v)
	}
	return out
}

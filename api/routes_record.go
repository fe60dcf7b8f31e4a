package api

import (
	"slices"

	"benchtag/internal/app"
	"benchtag/internal/shop"
)

// recordRoutes are the records of a job: what is seen, done, asked and said
// on it. Every kind has the same four routes.
func (s *Server) recordRoutes() []route {
	return slices.Concat(
		routesOf(record[shop.Complaint, ComplaintIn, ComplaintView]{path: "complaints", one: "Complaint", all: "Complaints",
			put: (*app.App).PutComplaint, strike: (*app.App).StrikeComplaint, onto: ComplaintIn.onto, view: complaintView}),
		routesOf(record[shop.Check, CheckIn, CheckView]{path: "checks", one: "Check", all: "Checks",
			put: (*app.App).PutCheck, strike: (*app.App).StrikeCheck, onto: CheckIn.onto, view: checkView}),
		routesOf(record[shop.AsFound, AsFoundIn, AsFoundView]{path: "as-found", one: "AsFound", all: "AsFoundReadings",
			put: (*app.App).PutAsFound, strike: (*app.App).StrikeAsFound, onto: AsFoundIn.onto, view: asFoundView}),
		routesOf(record[shop.Finding, FindingIn, FindingView]{path: "findings", one: "Finding", all: "Findings",
			put: (*app.App).PutFinding, strike: (*app.App).StrikeFinding, onto: FindingIn.onto, view: findingView}),
		routesOf(record[shop.Measurement, MeasurementIn, MeasurementView]{path: "measurements", one: "Measurement", all: "Measurements",
			put: (*app.App).PutMeasurement, strike: (*app.App).StrikeMeasurement, onto: MeasurementIn.onto, view: measurementView}),
		routesOf(record[shop.Tag, TagIn, TagView]{path: "tags", one: "Tag", all: "Tags",
			put: (*app.App).PutTag, strike: (*app.App).StrikeTag, onto: TagIn.onto, view: tagView}),
		routesOf(record[shop.Line, LineIn, LineView]{path: "lines", one: "Line", all: "Lines",
			put: (*app.App).PutLine, strike: (*app.App).StrikeLine, onto: LineIn.onto, view: lineView}),
		routesOf(record[shop.PartOrder, PartOrderIn, PartOrderView]{path: "part-orders", one: "PartOrder", all: "PartOrders",
			put: (*app.App).PutPartOrder, strike: (*app.App).StrikePartOrder, onto: PartOrderIn.onto, view: partOrderView}),
		routesOf(record[shop.BenchTime, BenchTimeIn, BenchTimeView]{path: "bench-times", one: "BenchTime", all: "BenchTimes",
			put: (*app.App).PutBenchTime, strike: (*app.App).StrikeBenchTime, onto: BenchTimeIn.onto, view: benchTimeView}),
		routesOf(record[shop.Promise, PromiseIn, PromiseView]{path: "promises", one: "Promise", all: "Promises",
			put: (*app.App).PutPromise, strike: (*app.App).StrikePromise, onto: PromiseIn.onto, view: promiseView}),
		routesOf(record[shop.Scope, ScopeIn, ScopeView]{path: "scopes", one: "Scope", all: "Scopes",
			put: (*app.App).PutScope, strike: (*app.App).StrikeScope, onto: ScopeIn.onto, view: scopeView}),
		routesOf(record[shop.Fastening, FasteningIn, FasteningView]{path: "fastenings", one: "Fastening", all: "Fastenings",
			put: (*app.App).PutFastening, strike: (*app.App).StrikeFastening, onto: FasteningIn.onto, view: fasteningView}),
		routesOf(record[shop.HoldPoint, HoldPointIn, HoldPointView]{path: "hold-points", one: "HoldPoint", all: "HoldPoints",
			put: (*app.App).PutHoldPoint, strike: (*app.App).StrikeHoldPoint, onto: HoldPointIn.onto, view: holdPointView}),
		routesOf(record[shop.RoadTest, RoadTestIn, RoadTestView]{path: "road-tests", one: "RoadTest", all: "RoadTests",
			put: (*app.App).PutRoadTest, strike: (*app.App).StrikeRoadTest, onto: RoadTestIn.onto, view: roadTestView}),
		routesOf(record[shop.DebrisCheck, DebrisCheckIn, DebrisCheckView]{path: "debris-checks", one: "DebrisCheck", all: "DebrisChecks",
			put: (*app.App).PutDebrisCheck, strike: (*app.App).StrikeDebrisCheck, onto: DebrisCheckIn.onto, view: debrisCheckView}),
		routesOf(record[shop.Advice, AdviceIn, AdviceView]{path: "advice", one: "Advice", all: "AdviceItems",
			put: (*app.App).PutAdvice, strike: (*app.App).StrikeAdvice, onto: AdviceIn.onto, view: adviceView}),
		routesOf(record[shop.HandOverNote, HandOverNoteIn, HandOverNoteView]{path: "hand-over-notes", one: "HandOverNote", all: "HandOverNotes",
			put: (*app.App).PutHandOverNote, strike: (*app.App).StrikeHandOverNote, onto: HandOverNoteIn.onto, view: handOverNoteView}),
		s.singleRoutes(),
	)
}

// singleRoutes are the records of which a job has one.
func (s *Server) singleRoutes() []route {
	return slices.Concat(
		singleOf(anyStaff, record[shop.FirstStart, FirstStartIn, FirstStartView]{path: "first-start", one: "FirstStart",
			put: (*app.App).PutFirstStart, onto: FirstStartIn.onto, view: firstStartView}),
		singleOf(anyStaff, record[shop.HandOver, HandOverIn, HandOverView]{path: "hand-over", one: "HandOver",
			put: (*app.App).PutHandOver, onto: HandOverIn.onto, view: handOverView}),
		singleOf(counter, record[shop.Withdrawal, WithdrawalIn, WithdrawalView]{path: "withdrawal", one: "Withdrawal",
			put: (*app.App).PutWithdrawal, onto: WithdrawalIn.onto, view: withdrawalView}),
	)
}

package app

// What the tests of the two sets of words look at.
var (
	StageOf         = stageOf
	AnswerOf        = answerOf
	AgainOf         = againOf
	SettlementOf    = settlementOf
	HoldKindOf      = holdKindOf
	RunKindOf       = runKindOf
	OutcomeOf       = outcomeOf
	MachineStateOf  = machineStateOf
	NotRunStateOf   = notRunStateOf
	TransportOf     = transportOf
	LineStateOf     = lineStateOf
	TagResult       = tagResult
	OldPartsAgreed  = oldPartsAsAgreed
	PersonsOf       = persons
	SheetFor        = sheetFor
	MaxJobsOfFacts  = maxJobs
	FactsOfManyJobs = (*App).facts
)

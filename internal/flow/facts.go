package flow

// Facts is everything the gates look at, for one job, as it stands now. The
// zero value knows nothing and allows next to nothing. Evidence is positive:
// a true or non-empty field is something on record. Fields that only make a
// gate matter (Opened, Asked, Needed and the like) say so.
type Facts struct {
	Intake     IntakeFacts
	Complaints []Complaint
	Diagnosis  DiagnosisFacts
	Teardown   TeardownFacts
	Findings   []Finding
	Reached    []Reached
	FirstCause FirstCause
	Tags       []Tag
	Lines      []Line
	Offers     OfferFacts
	Asked      bool // a customer's question waits for an answer
	Consent    ConsentFacts
	DropOff    DropOffLimit
	Deposit    Deposit
	Hold       Hold
	HoldPoints []HoldPoint
	Fastenings []Fastening
	// OnePersonShop reports that the shop has a single technician, so that
	// a later re-inspection by the same person may stand for the second one.
	OnePersonShop bool
	FirstStart    FirstStartFacts
	PreRide       []PreRide
	RoadTest      RoadTestFacts
	Debris        DebrisFacts
	NotRun        NotRunFacts
	Bill          BillFacts
	OldParts      OldParts
	HandOver      HandOver
	Withdrawal    Withdrawal
	// BenchTimes are the clocks still running on this job.
	BenchTimes []Row
}

// Row names one row: its id for the machine, its name for the sentence.
type Row struct {
	ID   string
	Name string // as a person would call it; may be empty
}

// IntakeFacts says what was taken down at the counter.
type IntakeFacts struct {
	Customer            bool   // a customer is on the work order
	Machine             bool   // a machine is on the work order
	Odometer            bool   // a reading is on record
	OdometerNotReadable string // or why there is none
	Given               bool   // keys, luggage, fuel, damage already there, leave to ride
}

// Complaint is what the customer said, and what became of it.
type Complaint struct {
	Row
	Answer Answer
	// AnswerStruck reports that the finding it was answered by was struck
	// since, which leaves it unanswered.
	AnswerStruck bool
	Again        Again  // the result when it was tried again after the work
	NotTried     string // why it was not tried again; needed when Again is AgainNotTried
}

// DiagnosisFacts says whether the diagnosis may cost the customer something.
type DiagnosisFacts struct {
	Agreed bool // the customer said yes to its price
	Free   bool // the shop asks nothing for it
}

// TeardownFacts says what may be, and was, taken apart.
type TeardownFacts struct {
	Consent      bool     // the customer said yes to taking it apart
	MissingTerms []string // what that consent had to state by the rule and does not
	AsFound      bool     // readings before the first bolt are taken
	AsFoundWaive string   // or why not
	// Wanted makes opening up the natural way on from diagnosis.
	Wanted bool
	// Opened makes tags matter: something has been taken apart on this job.
	Opened         bool
	NothingCameOff bool // stated: it was opened, and nothing came off that needs a tag
}

// Finding is one thing found.
type Finding struct {
	Row
	Struck bool // with a reason; a struck finding raises no gate
	Graded bool // a grade was given at all
	Grade  int  // 0 to 4, meaningful when Graded
	// Photo, Reading and Reason are the evidence for a grade of 3 or 4: one
	// of them is enough.
	Photo   bool
	Reading bool
	Reason  string
	// Measured makes the next three matter: a measurement decides the grade.
	Measured     bool
	GaugeInDate  bool // the gauge was in calibration when it was read
	LimitSourced bool // the limit has a source
	Indicative   bool // or the measurement is marked as indicative only
	// Broken makes LaidOut matter: the part is in pieces.
	Broken  bool
	LaidOut bool // the pieces are laid out and photographed or counted
	// PieceMissing makes OpenLook matter: the pieces do not make up a whole.
	PieceMissing bool
	OpenLook     bool // the missing piece is kept as something still to look for
	// Dangerous: safe to ride is answered with no.
	Dangerous bool
	Settled   Settlement
	Warning   Warning
}

// bad reports a grade beyond the limit or failed.
func (f Finding) bad() bool { return !f.Struck && f.Graded && f.Grade >= 3 }

// settled reports whether a dangerous finding has an answer.
func (f Finding) settled() bool {
	switch f.Settled {
	case SettledRepaired, SettledTrailer:
		return true
	case SettledOwnerInsists:
		return f.Warning.complete()
	default:
		return false
	}
}

// Warning is what an owner was told who rides away against advice.
type Warning struct {
	Words   bool // the exact words are on record
	Time    bool // and when they were said
	Witness bool // and who heard it
}

func (w Warning) complete() bool { return w.Words && w.Time && w.Witness }

// Reached is one component or group that debris can have reached.
type Reached struct {
	Row
	LookedAt  bool
	Disclosed string // or why it was not looked at, as told to the customer
}

// FirstCause says which finding started it all. It matters once there is a
// finding of grade 3 or 4.
type FirstCause struct {
	Marked       bool
	Undetermined string // or the note that says why nobody can tell
}

// Tag is a numbered bag or label.
type Tag struct {
	Row
	Struck       bool
	Accounted    bool // back on the machine, replaced, handed over, thrown away as agreed
	OffOnPurpose bool // stays off for the moment, on purpose
}

func (t Tag) open() bool { return !t.Struck && !t.Accounted && !t.OffOnPurpose }

// Line is one line of work or goods.
type Line struct {
	Row
	State     LineState
	AfterRide bool // to be done after the ride
	Worked    bool // somebody has worked on it
	Consented bool // the customer's yes covers it
	NeedsPart bool // it cannot go on until a part arrives
	Outside   bool // it is with another shop
}

// due reports agreed work still to be done.
func (l Line) due() bool { return l.State == LineAgreed }

// OfferFacts says how the question to the customer stands. It gates nothing;
// it tells whose move it is.
type OfferFacts struct {
	Open    bool // an offer is out and undecided
	Flagged bool // something was found since it went out: look at it again
}

// ConsentFacts says what the customer agreed to for the repair.
type ConsentFacts struct {
	Given bool
	Scope bool // it covers one whole scope
	Bound bool // it is bound to the very bytes that were shown, unchanged since
}

// DropOffLimit is the "yes, up to" given when the machine came in.
type DropOffLimit struct {
	Counts bool // the rule that applies lets it count
	Covers bool // the total is inside it
}

// Deposit says whether money is needed up front.
type Deposit struct {
	Asked bool // makes Paid matter
	Paid  bool
}

// Hold is the overlay that says the job rests.
type Hold struct {
	Active bool
	Kind   HoldKind
}

// HoldPoint is a point in the repair that may not be passed before its
// critical fastenings are done and checked ("before this cover goes on").
type HoldPoint struct {
	Row
	Passed bool
}

// Fastening is one tightened joint of the job.
type Fastening struct {
	Row
	Critical  bool
	HoldPoint string // id of the hold point it must be checked before, or ""
	Struck    bool   // with a reason: not undone after all, left loose in the box
	Done      bool
	Checked   bool
	// DoneBy and CheckedBy name the person, not the account: two accounts of
	// one human carry the same value.
	DoneBy           string
	CheckedBy        string
	SelfReinspection bool // checked later by the same person, flagged as such
}

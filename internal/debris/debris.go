// Package debris judges what was caught: on a drain plug, in a filter cut open,
// on a pick-up screen, in the oil. From form, size, count and material it says
// whether that is ordinary wear, something to watch, a reason to look further,
// or a reason to stop and open; what to do next; and which parts can have shed
// it.
//
// It does not decide where debris has got to (package spread) nor whether a
// part is still good (package grade).
//
// The rule is common practice, no source, where nothing else is said. Published
// criteria for aircraft lent it its shape: form first, then size, then number,
// then whether it comes again. Their figures are examples and no limits for a
// motorcycle; where the maker's manual has some, Criteria takes them.
package debris

// Place is where debris was looked for.
type Place string

// The places.
const (
	MagneticPlug  Place = "magnetic_plug"
	PlainPlug     Place = "plain_plug" // a drain plug without a magnet
	FilterElement Place = "filter_element"
	PickupScreen  Place = "pickup_screen"
	DrainedOil    Place = "drained_oil"
	Swab          Place = "swab" // of a gallery, pipe or case wall
)

// Places lists them all.
func Places() []Place {
	return []Place{MagneticPlug, PlainPlug, FilterElement, PickupScreen, DrainedOil, Swab}
}

// Compartment is the kind of room the oil comes from.
type Compartment string

// The kinds of compartment.
const (
	GearCase         Compartment = "gear_case"         // gearbox or final drive
	EngineSump       Compartment = "engine_sump"       // with or without gears in the same oil
	Primary          Compartment = "primary"           // primary drive and clutch
	MixtureCrankcase Compartment = "mixture_crankcase" // of a two-stroke: nothing filters it
)

// Compartments lists them all.
func Compartments() []Compartment {
	return []Compartment{GearCase, EngineSump, Primary, MixtureCrankcase}
}

// Form is what debris looks like.
type Form string

// The forms. Paste is another word for fuzz, chip for flake, splinter for
// sliver; all flat or long pieces are judged alike, by their length.
const (
	Fuzz     Form = "fuzz" // a fine dark beard or paste, no single piece to be felt
	Paste    Form = "paste"
	Hair     Form = "hair"     // fine short whiskers
	Granular Form = "granular" // like sand between the fingers
	Flake    Form = "flake"
	Chip     Form = "chip"
	Sliver   Form = "sliver"
	Splinter Form = "splinter"
	Curl     Form = "curl" // wire-like loops, swarf
	Sphere   Form = "sphere"
	Chunk    Form = "chunk" // thick, with broken faces
	Piece    Form = "piece" // part of a part that one can name
)

// Forms lists them all.
func Forms() []Form {
	return []Form{Fuzz, Paste, Hair, Granular, Flake, Chip, Sliver, Splinter, Curl, Sphere, Chunk, Piece}
}

// Material is what debris is made of.
type Material string

// The materials: those of the machine maps, and what else turns up in oil.
const (
	Unknown      Material = "unknown"
	Steel        Material = "steel"
	CastIron     Material = "cast_iron"
	Aluminium    Material = "aluminium"
	Bronze       Material = "bronze"        // and brass
	BearingMetal Material = "bearing_metal" // the soft lining of shell bearings
	Plating      Material = "plating"       // of a cylinder bore, hard and bright
	Plastic      Material = "plastic"
	Rubber       Material = "rubber"
	Fibre        Material = "fibre" // friction lining, gasket, paper
	Sealant      Material = "sealant"
	Carbon       Material = "carbon" // burnt oil and fuel
	Dirt         Material = "dirt"   // sand and dust from outside
)

// Materials lists them all.
func Materials() []Material {
	return []Material{Unknown, Steel, CastIron, Aluminium, Bronze, BearingMetal, Plating, Plastic, Rubber, Fibre, Sealant, Carbon, Dirt}
}

// Attraction says whether a magnet draws it.
type Attraction string

// The answers of a magnet.
const (
	Attracted    Attraction = "yes"
	NotAttracted Attraction = "no"
	NotTried     Attraction = "not_tried"
)

// Attractions lists them all.
func Attractions() []Attraction { return []Attraction{Attracted, NotAttracted, NotTried} }

// Shine says whether faces are bright, as if just broken, or dull.
type Shine string

// The shines.
const (
	Bright Shine = "bright"
	Dull   Shine = "dull"
)

// Shines lists them all.
func Shines() []Shine { return []Shine{Bright, Dull} }

// Share is how much there is of what nobody counts.
type Share string

// The shares.
const (
	Light Share = "light"
	Heavy Share = "heavy" // the plug is covered, the pleats are lined
)

// Shares lists them all.
func Shares() []Share { return []Share{Light, Heavy} }

// Oil is how the oil itself looked or smelled.
type Oil string

// What oil can be.
const (
	OilClean   Oil = "clean"
	OilDark    Oil = "dark"
	OilGrey    Oil = "grey"    // evenly, with fine metal
	OilGlitter Oil = "glitter" // sparkles in the light
	OilMilky   Oil = "milky"   // water or coolant in it
	OilFuel    Oil = "fuel"    // smells of petrol
	OilBurnt   Oil = "burnt"   // smells burnt
)

// Oils lists them all.
func Oils() []Oil {
	return []Oil{OilClean, OilDark, OilGrey, OilGlitter, OilMilky, OilFuel, OilBurnt}
}

// Moment is a point in the series of looks after a repair.
type Moment string

// The moments, in their order.
const (
	StandRun      Moment = "stand_run"
	Ride          Moment = "ride"
	FirstDistance Moment = "first_distance"
)

// Moments lists them all.
func Moments() []Moment { return []Moment{StandRun, Ride, FirstDistance} }

// Lab is what a laboratory says of the oil as a whole.
type Lab string

// What a laboratory says.
const (
	LabNormal Lab = "normal"
	LabRaised Lab = "raised"
	LabHigh   Lab = "high"
)

// Labs lists them all.
func Labs() []Lab { return []Lab{LabNormal, LabRaised, LabHigh} }

// Verdict is what a sample means.
type Verdict string

// The verdicts, the mildest first.
const (
	NormalWear  Verdict = "normal_wear"
	Watch       Verdict = "watch"         // go on, look again soon
	LookFurther Verdict = "look_further"  // find out where it comes from before it goes on
	StopAndOpen Verdict = "stop_and_open" // do not run it
)

// Verdicts lists them all, the mildest first.
func Verdicts() []Verdict { return []Verdict{NormalWear, Watch, LookFurther, StopAndOpen} }

// Amount is the worst of a sample in one word.
type Amount string

// The amounts, the least first.
const (
	AmountNone   Amount = "none"
	AmountFuzz   Amount = "fuzz"   // fuzz, hair, and what only a microscope shows
	AmountFlakes Amount = "flakes" // grains, flakes, slivers, curls
	AmountChunks Amount = "chunks"
)

// Amounts lists them all, the least first.
func Amounts() []Amount { return []Amount{AmountNone, AmountFuzz, AmountFlakes, AmountChunks} }

package layout

// Sides lists every Side.
func Sides() []Side { return []Side{SideLeft, SideRight, SideFront, SideRear, SideCentre} }

// Valves lists every Valve.
func Valves() []Valve { return []Valve{Inlet, Exhaust} }

// Safeties lists every Safety.
func Safeties() []Safety { return []Safety{Critical, Major, Ordinary} }

// Media lists every Medium.
func Media() []Medium { return []Medium{Oil, Mixture, Fuel, Coolant, Air, Dry} }

// Materials lists every Material.
func Materials() []Material {
	return []Material{Steel, CastIron, Aluminium, Bronze, Plastic, Rubber, Fibre}
}

// BarrierKinds lists every BarrierKind.
func BarrierKinds() []BarrierKind { return []BarrierKind{Screen, Filter, Magnet} }

// PassageKinds lists every PassageKind.
func PassageKinds() []PassageKind {
	return []PassageKind{Suction, Pressure, Drain, Splash, Opening, Breather, Gas}
}

// Conditions lists every Condition.
func Conditions() []Condition { return []Condition{DryThread, OiledThread, LockerThread} }

// SourceKinds lists every SourceKind.
func SourceKinds() []SourceKind {
	return []SourceKind{FromMaker, FromStandard, FromShop, FromExample}
}

package layout

// Counts says how much a map and a sheet hold.
type Counts struct {
	Assemblies   int64 `json:"assemblies"`
	Compartments int64 `json:"compartments"`
	Components   int64 `json:"components"`
	Groups       int64 `json:"groups"`
	Circuits     int64 `json:"circuits"`
	Passages     int64 `json:"passages"`
	Steps        int64 `json:"steps"`
	Fastenings   int64 `json:"fastenings"`
	Points       int64 `json:"points"`
	Looks        int64 `json:"looks"`
	Limits       int64 `json:"limits"`
	Torques      int64 `json:"torques"`
}

// Count counts what is in a map and a sheet; either may be empty.
func Count(m Map, s Sheet) Counts {
	n := Counts{
		Assemblies: size(m.Assemblies), Compartments: size(m.Compartments), Components: size(m.Components),
		Groups: size(m.Groups), Circuits: size(m.Circuits), Steps: size(m.Steps), Fastenings: size(m.Fastenings),
		Points: size(m.Points), Looks: size(m.Looks), Limits: size(s.Limits), Torques: size(s.Torques),
	}
	for _, c := range m.Circuits {
		n.Passages += size(c.Passages)
	}
	return n
}

func size[T any](items []T) int64 { return int64(len(items)) }

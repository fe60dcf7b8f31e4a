package measure

import (
	"slices"
	"strconv"
	"strings"
)

// outOfRound is the largest difference of two diameters at right angles. Half
// of it estimates the roundness of ISO 1101, which counts radii; two points
// cannot see a part with an odd number of lobes.
func outOfRound(r *reckoning) error {
	rows, err := r.rows()
	if err != nil {
		return err
	}
	err = r.widest(rows, "Level ")
	r.warn("Two points at a time do not see a part with three or five lobes.")
	return err
}

// taper is the largest less the smallest diameter along a direction, the
// greater of both directions.
func taper(r *reckoning) error {
	if r.has("level/direction") {
		rows, err := r.grid(true)
		if err != nil {
			return err
		}
		return r.widest(rows, "Direction ")
	}
	var rows []row
	for _, role := range []string{"along", "across"} {
		if r.has(role) {
			rows = append(rows, row{role, r.places[role]})
		}
	}
	return r.widest(rows, "Direction ")
}

// row is a level with its directions, or a direction with its levels.
type row struct {
	name   string
	places []*input
}

// rows gives the levels: along and across in the order they were read, or by
// names of level and direction.
func (r *reckoning) rows() ([]row, error) {
	if r.has("level/direction") {
		return r.grid(false)
	}
	along, err := r.all("along", 1)
	if err != nil {
		return nil, err
	}
	across, err := r.all("across", 1)
	if err != nil {
		return nil, err
	}
	if len(along) != len(across) {
		return nil, problemAt("/readings", ReadingsUneven, "Read along and across at every level: "+
			strconv.Itoa(len(along))+" along and "+strconv.Itoa(len(across))+" across do not pair.")
	}
	var out []row
	for i := range along {
		out = append(out, row{strconv.Itoa(i + 1), []*input{along[i], across[i]}})
	}
	return out, nil
}

// grid sorts readings named by level and direction ("top/x") into rows of one
// level, or of one direction.
func (r *reckoning) grid(byDirection bool) ([]row, error) {
	if r.has("along") || r.has("across") {
		return nil, problemAt("/readings", ReadingUnclear, "Name all readings by level and direction, as in top/x and top/y, or none.")
	}
	seen := map[string]bool{}
	var out []row
	for _, in := range r.places["level/direction"] {
		cut := strings.LastIndexAny(in.of, "/_")
		name := in.of[:cut]
		if byDirection {
			name = in.of[cut+1:]
		}
		if name == "" || seen[in.of] {
			return nil, problemAt("/readings", ReadingUnclear, "Name each reading by level and direction, as in top/x, top/y, middle/x; each once.")
		}
		seen[in.of] = true
		i := slices.IndexFunc(out, func(one row) bool { return one.name == name })
		if i < 0 {
			i, out = len(out), append(out, row{name: name})
		}
		out[i].places = append(out[i].places, in)
	}
	return out, nil
}

// widest lets the largest difference within a row be the result, and half of
// it a figure: ISO 1101 counts radii.
func (r *reckoning) widest(rows []row, what string) error {
	var worst [2]*input
	most := int64(-1)
	r.sayRepeats()
	for _, one := range rows {
		if len(one.places) < 2 {
			continue
		}
		high, low := pick(one.places, takeLargest).terms[0].in, pick(one.places, takeSmallest).terms[0].in
		name := strings.ToLower(strings.TrimSpace(what)) + "_" + one.name
		r.say(what, one.name, ": ", high.write(), " − ", low.write(), " = ", high.grid.write(high.n-low.n), ".")
		r.alsoSteps(name, high.n-low.n, 1, high.grid)
		if high.n-low.n > most {
			most, worst = high.n-low.n, [2]*input{high, low}
		}
	}
	if worst[0] == nil {
		return problemAt("/readings", ReadingMissing, "Read two places or more that can be compared: along and across at a level, or one direction at two levels.")
	}
	high, low := worst[0], worst[1]
	r.come(most, 1, high.grid)
	r.owe(high, 1)
	r.owe(low, -1)
	r.alsoSteps("roundness", most, 2, high.grid)
	r.say("The largest counts, a difference of diameters: ", high.grid.write(most),
		". ISO 1101 counts radii; half of it, ", r.result.Figures[len(r.result.Figures)-1].Quantity.String(), ", estimates that.")
	return nil
}

package spread

import (
	"fmt"
	"slices"

	"benchtag/internal/fault"
	"benchtag/internal/layout"
)

// Bounds of an input. Common practice, no source: far more than a bench writes.
const (
	maxSheds   = 200
	maxWidthUM = 1_000_000
)

// known is an input checked and laid out by node.
type known struct {
	m        *layout.Compiled
	items    []item
	found    map[layout.Key]Found // of nodes looked at; the worst where there are several
	barriers map[layout.Key]Barrier
	leaking  map[layout.Key]bool
	steps    map[layout.Key]bool
	looks    map[layout.Key]Found
	shedders map[layout.Key]bool
	samplers map[layout.Key]bool     // seen as samplers
	how      map[layout.Key][]string // what was seen at a node, in words
}

// item is debris of one sort and where it starts.
type item struct {
	material layout.Material
	size     Size
	width    int64 // micrometres; 0: not known
	from     layout.Key
	seen     bool // it lay there, rather than came off there
}

// Trace says how every component of a machine stands, given what shed debris
// and what was seen. Faults (Meaning): spread.node_unknown, .material_unknown,
// .size_unknown, .found_unknown, .width_wrong, .barrier_unknown, .word_unknown,
// .step_unknown, .look_unknown, .too_much, each with its place.
func Trace(m *layout.Compiled, in Input) (Result, error) {
	k, err := read(m, in)
	if err != nil {
		return Result{}, err
	}
	w := newWalker(k)
	w.run()
	return w.result(), nil
}

// Stand is Trace without the totals and the next looks: how every component
// stands, in the order of the map.
func Stand(m *layout.Compiled, in Input) ([]Component, error) {
	k, err := read(m, in)
	if err != nil {
		return nil, err
	}
	w := newWalker(k)
	w.run()
	return w.components(), nil
}

func read(m *layout.Compiled, in Input) (*known, error) {
	k := &known{m: m, found: map[layout.Key]Found{}, barriers: map[layout.Key]Barrier{}, leaking: map[layout.Key]bool{},
		steps: map[layout.Key]bool{}, looks: map[layout.Key]Found{}, shedders: map[layout.Key]bool{},
		samplers: map[layout.Key]bool{}, how: map[layout.Key][]string{}}
	if len(in.Shed)+len(in.Seen)+len(in.LooksDone) > maxSheds {
		return nil, fault.New(fault.Meaning, "spread.too_much", fmt.Sprintf("Name at most %d things shed and seen; put alike ones together.", maxSheds))
	}
	for _, step := range []func(Input) error{k.readSheds, k.readLooks, k.readSeen, k.readBarriers, k.readKeys} {
		if err := step(in); err != nil {
			return nil, err
		}
	}
	return k, nil
}

func (k *known) readSheds(in Input) error {
	for i, s := range in.Shed {
		at := fmt.Sprintf("/shed/%d", i)
		members := k.m.Members(s.From)
		switch {
		case len(members) == 0:
			return unknownNode(at+"/from", s.From)
		case !slices.Contains(layout.Materials(), s.Material):
			return wordUnknown("spread.material_unknown", at+"/material", layout.Materials())
		case !slices.Contains(Sizes(), s.Size):
			return wordUnknown("spread.size_unknown", at+"/size", Sizes())
		case s.WidthUM < 0 || s.WidthUM > maxWidthUM:
			return widthWrong(at + "/width_um")
		}
		for _, from := range members {
			k.shedders[from] = true
			k.items = append(k.items, item{material: s.Material, size: s.Size, width: s.WidthUM, from: from})
		}
	}
	return nil
}

// readLooks takes the looks of the map that were taken: what they found lies
// at the places they see.
func (k *known) readLooks(in Input) error {
	for i, l := range in.LooksDone {
		at := fmt.Sprintf("/looks_done/%d", i)
		look, ok := k.m.Look(l.Look)
		switch {
		case !ok:
			return fault.Invalid("spread.look_unknown", at+"/look", fmt.Sprintf("The map has no look %.64q.", l.Look))
		case !slices.Contains(Founds(), l.Found):
			return wordUnknown("spread.found_unknown", at+"/found", Founds())
		}
		k.looks[l.Look] = worse(k.looks[l.Look], l.Found)
		for _, node := range look.At {
			k.see(node, Seen{Found: l.Found, How: look.Name}, in)
		}
	}
	return nil
}

func (k *known) readSeen(in Input) error {
	for i, s := range in.Seen {
		at := fmt.Sprintf("/seen/%d", i)
		nodes := k.m.Members(s.At)
		if len(nodes) == 0 && k.m.IsNode(s.At) {
			nodes = []layout.Key{s.At}
		}
		switch {
		case len(nodes) == 0:
			return unknownNode(at+"/at", s.At)
		case !slices.Contains(Founds(), s.Found):
			return wordUnknown("spread.found_unknown", at+"/found", Founds())
		case s.WidthUM < 0 || s.WidthUM > maxWidthUM:
			return widthWrong(at + "/width_um")
		}
		for _, m := range s.Material {
			if !slices.Contains(layout.Materials(), m) {
				return wordUnknown("spread.material_unknown", at+"/materials", layout.Materials())
			}
		}
		for _, node := range nodes {
			k.see(node, s, in)
		}
	}
	return nil
}

// see notes what lay at a node. What lay there can have gone on from there. A
// magnet is a sampler: it shows what is in its compartment and, clean, clears
// nothing, itself aside.
func (k *known) see(node layout.Key, s Seen, in Input) {
	k.samplers[node] = k.samplers[node] || s.Sampler
	if s.How != "" && s.Found != FoundClean && !slices.Contains(k.how[node], s.How) {
		k.how[node] = append(k.how[node], s.How)
	}
	k.found[node] = worse(k.found[node], s.Found)
	if s.Found == FoundClean {
		return
	}
	materials := s.Material
	if len(materials) == 0 {
		materials = shedMaterials(in)
	}
	for _, m := range materials {
		k.items = append(k.items, item{material: m, size: Size(s.Found), width: s.WidthUM, from: node, seen: true})
	}
}

// shedMaterials are what came off anywhere; where nobody knows, steel stands
// for it.
func shedMaterials(in Input) []layout.Material {
	var out []layout.Material
	for _, s := range in.Shed {
		if !slices.Contains(out, s.Material) {
			out = append(out, s.Material)
		}
	}
	if len(out) == 0 {
		return []layout.Material{layout.Steel}
	}
	return out
}

func (k *known) readBarriers(in Input) error {
	for i, b := range in.Barriers {
		at := fmt.Sprintf("/barriers/%d", i)
		c, ok := k.m.Component(b.At)
		switch {
		case !ok || c.Barrier == nil:
			return fault.Invalid("spread.barrier_unknown", at+"/at", fmt.Sprintf("The map has no screen, filter or magnet %.64q.", b.At))
		case b.InThroughout != "" && !slices.Contains(YesNos(), b.InThroughout):
			return wordUnknown("spread.word_unknown", at+"/in_throughout", YesNos())
		case b.Bypass != "" && !slices.Contains(Bypasses(), b.Bypass):
			return wordUnknown("spread.word_unknown", at+"/bypass", Bypasses())
		}
		k.barriers[b.At] = joined(k.barriers[b.At], b)
	}
	return nil
}

// joined keeps of two statements about a barrier the one that lets more pass.
func joined(was, is Barrier) Barrier {
	if was.At == "" {
		return is
	}
	is.MetalOnCleanSide = is.MetalOnCleanSide || was.MetalOnCleanSide
	is.CrushedPleats = is.CrushedPleats || was.CrushedPleats
	if was.InThroughout != Yes {
		is.InThroughout = was.InThroughout
	}
	if was.Bypass != BypassSound {
		is.Bypass = was.Bypass
	}
	return is
}

func (k *known) readKeys(in Input) error {
	for i, key := range in.Leaking {
		if _, ok := k.m.Component(key); !ok {
			return unknownNode(fmt.Sprintf("/leaking/%d", i), key)
		}
		k.leaking[key] = true
	}
	for i, key := range in.StepsDone {
		if _, ok := k.m.Step(key); !ok {
			return fault.Invalid("spread.step_unknown", fmt.Sprintf("/steps_done/%d", i), fmt.Sprintf("The map has no step %.64q.", key))
		}
		k.steps[key] = true
	}
	return nil
}

func worse(a, b Found) Found {
	order := []Found{"", FoundClean, FoundFines, FoundCoarse}
	return order[max(slices.Index(order, a), slices.Index(order, b))]
}

func unknownNode(pointer string, key layout.Key) error {
	return fault.Invalid("spread.node_unknown", pointer, fmt.Sprintf("The map has no component, group or compartment %.64q.", key))
}

func widthWrong(pointer string) error {
	return fault.Invalid("spread.width_wrong", pointer, "Give the width in whole micrometres, from 0 (not known) to 1,000,000.")
}

func wordUnknown[T ~string](code, pointer string, words []T) error {
	list := ""
	for i, w := range words {
		if i > 0 {
			list += ", "
		}
		list += string(w)
	}
	return fault.Invalid(code, pointer, "Say one of: "+list+".")
}

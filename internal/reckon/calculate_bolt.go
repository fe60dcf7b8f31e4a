package reckon

import (
	"benchtag/internal/fault"
	"benchtag/internal/measure"
)

// boltCalculations are those of bolts.
func boltCalculations() []calculation {
	return []calculation{
		{"bolt_stress_area", "the area of a thread that carries the load", []string{"thread", "diameter", "pitch"}, stressArea},
		{"friction_torque", "torque from preload, with the frictions of thread and head told apart",
			[]string{"thread", "diameter", "pitch", "preload", "mu_thread", "mu_head", "head_diameter"}, frictionTorque},
		{"preload_torque", "torque from preload, or preload from torque", []string{"thread", "diameter", "pitch", "class", "factor", "preload", "torque", "percent_of_proof"}, preloadTorque},
		{"proof_load", "what a bolt bears without lasting stretch", []string{"thread", "class"}, proofLoad},
	}
}

// boltWarning goes with every figure of a bolt.
const boltWarning = "Torques come from the maker's service manual. A sum like this is for understanding one, never instead of it."

// thread reads a thread by its name, or by diameter and pitch.
func (p *params) thread() measure.Thread {
	if !p.has("thread") && p.has("diameter") {
		return measure.Thread{Name: "thread", Diameter: p.need("diameter", measure.Millimetre), Pitch: p.or("pitch", measure.Millimetre, 0)}
	}
	name := p.word("thread", "M10x1.25")
	if p.err != nil {
		return measure.Thread{}
	}
	t, err := measure.ParseThread(name)
	p.keep(at("/with/thread", err))
	return t
}

func areaLine(t measure.Thread) string {
	if t.Inch {
		return line("%s: D = %v mm, pitch %v mm; As = π/4 (D − 0.9743 P)² = %v mm² (ASME B1.1, from memory).", t.Name, t.Diameter, t.Pitch, t.StressArea())
	}
	return line("%s: d = %v mm, P = %v mm; As = π/4 (d − 0.9382 P)² = %v mm² (ISO 898-1).", t.Name, t.Diameter, t.Pitch, t.StressArea())
}

func stressArea(p *params) (calculated, error) {
	t := p.thread()
	if p.err == nil && (t.Pitch <= 0 || t.Diameter <= t.Pitch) {
		p.fail("measure.figure_out_of_range", "pitch", "Give a pitch above nought and below the diameter.")
	}
	return calculated{
		figures: []figure{{"stress_area", t.StressArea(), "mm2"}, {"diameter", t.Diameter, "mm"}, {"pitch", t.Pitch, "mm"}},
		working: []string{areaLine(t)},
	}, nil
}

func proofLoad(p *params) (calculated, error) {
	t, class := p.thread(), measure.PropertyClass(p.word("class", "8.8"))
	if p.err != nil {
		return calculated{}, p.err
	}
	loads, err := t.Loads(class)
	if err != nil {
		return calculated{}, err
	}
	stress, err := class.ProofStress(t)
	out := calculated{
		figures:  []figure{{"proof_load", float64(loads.Proof), "N"}, {"proof_stress", stress, "MPa"}, {"stress_area", t.StressArea(), "mm2"}},
		working:  []string{areaLine(t), line("Class %s: proof stress %v MPa; stress × area = %v N.", class, stress, stress*t.StressArea())},
		warnings: []string{boltWarning},
	}
	if !loads.Tabled {
		out.working = append(out.working, "The table here has no proof load for this thread and class, so the product is given, cut to whole newtons.")
		return out, err
	}
	out.figures = append(out.figures, figure{"tensile_load", float64(loads.Tensile), "N"})
	out.working = append(out.working, line("ISO 898-1 tables the proof load as %d N and the least load at break as %d N.", loads.Proof, loads.Tensile))
	return out, err
}

func preloadTorque(p *params) (calculated, error) {
	t, factor := p.thread(), p.or("factor", "", 0.2)
	if p.err != nil {
		return calculated{}, p.err
	}
	j := measure.Tightening{Thread: t, Factor: factor}
	preload, how, err := p.preload(j)
	if err != nil {
		return calculated{}, err
	}
	torque, err := j.Torque(preload)
	out := calculated{
		figures:  []figure{{"torque", torque, "N.m"}, {"preload", preload, "N"}, {"factor", factor, "1"}},
		working:  append(how, line("T = K F d = %v × %v N × %v mm/1000 = %v N·m (from memory).", factor, preload, t.Diameter, torque)),
		warnings: []string{"The nut factor is the weak spot: about 0.20 to 0.25 dry, 0.15 to 0.20 oiled, 0.12 to 0.16 with anti-seize; the preload may be a third off either way.", boltWarning},
	}
	if p.has("torque") {
		out.figures[0], out.figures[1] = out.figures[1], out.figures[0]
	}
	if t.Pitch > 0 && t.Pitch < t.Diameter/2 {
		stress := preload / t.StressArea()
		out.figures = append(out.figures, figure{"stress", stress, "MPa"}, figure{"stress_area", t.StressArea(), "mm2"})
		out.working = append(out.working, areaLine(t), line("Stress F/As = %v MPa.", stress))
	}
	return out, err
}

func frictionTorque(p *params) (calculated, error) {
	f := measure.Friction{Thread: p.thread(), InThread: p.need("mu_thread", ""), UnderHead: p.need("mu_head", ""), Bearing: p.need("head_diameter", measure.Millimetre)}
	preload := p.need("preload", measure.Newton)
	if p.err != nil {
		return calculated{}, p.err
	}
	s, err := f.Torque(preload)
	return calculated{
		figures: []figure{{"torque", s.Total(), "N.m"}, {"stretch", s.Stretch, "N.m"}, {"thread", s.Thread, "N.m"}, {"head", s.Head, "N.m"}},
		working: []string{
			line("Into stretch: F × 0.159 P = %v N × 0.159 × %v mm/1000 = %v N·m.", preload, f.Thread.Pitch, s.Stretch),
			line("Into the thread: F × 0.577 μ_G d2, d2 = d − 0.6495 P = %v mm: %v N × 0.577 × %v × d2/1000 = %v N·m.", f.Thread.Diameter-0.6495*f.Thread.Pitch, preload, f.InThread, s.Thread),
			line("Under the head: F × μ_K D/2 = %v N × %v × %v mm/2000 = %v N·m.", preload, f.UnderHead, f.Bearing, s.Head),
			line("Torque = %v + %v + %v = %v N·m (VDI 2230, from memory).", s.Stretch, s.Thread, s.Head, s.Total()),
		},
		warnings: []string{"Friction is known to a third at best; about a tenth of the torque stretches the bolt.", boltWarning},
	}, err
}

// preload gives the preload in newtons from a torque, from itself, or from a
// share of the proof load.
func (p *params) preload(j measure.Tightening) (float64, []string, error) {
	switch {
	case p.has("torque"):
		torque := p.need("torque", measure.NewtonMetre)
		if p.err != nil {
			return 0, nil, p.err
		}
		f, err := j.Preload(torque)
		return f, []string{line("F = T/(K d) = %v N·m × 1000/(%v × %v mm) = %v N.", torque, j.Factor, j.Thread.Diameter, f)}, err
	case p.has("preload"):
		f := p.need("preload", measure.Newton)
		return f, []string{line("Preload F = %v N as given.", f)}, p.err
	case p.has("class"):
		share := p.or("percent_of_proof", measure.Percent, 75)
		if p.err != nil {
			return 0, nil, p.err
		}
		stress, err := measure.PropertyClass(p.word("class", "8.8")).ProofStress(j.Thread)
		f := share / 100 * stress * j.Thread.StressArea()
		return f, []string{areaLine(j.Thread), line("F = %v %% of proof stress %v MPa × %v mm² = %v N.", share, stress, j.Thread.StressArea(), f)}, err
	}
	return 0, nil, fault.Invalid("measure.parameter_missing", "/with/preload", "Give a torque, a preload, or a property class with percent_of_proof.")
}

package app

import (
	"context"
	"encoding/json"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"benchtag/internal/access"
	"benchtag/internal/auth"
	"benchtag/internal/layout"
	"benchtag/internal/reckon"
	"benchtag/internal/shop"
)

// PlanAccess says what must come off to reach components of a job's machine,
// without what is opened up already. It stores nothing.
func (a *App) PlanAccess(ctx context.Context, who auth.Principal, id shop.JobID, targets []access.Target) (answer reckon.Answer, err error) {
	err = a.Store.Read(ctx, who.ShopID, func(tx Tx) error {
		job, err := load[shop.Job](tx, string(id))
		if err != nil {
			return err
		}
		ask, err := mapAndSheet(tx, job)
		if err != nil {
			return err
		}
		ask["targets"], ask["done"] = targets, list0(job.StepsDone)
		answer, err = ask.run("access")
		return err
	})
	return answer, err
}

// asking is the input of an engine in the making.
type asking map[string]any

// run lets the engine answer, as a shell or a client would ask it.
func (ask asking) run(engine string) (reckon.Answer, error) {
	body, err := json.Marshal(ask)
	if err != nil {
		return reckon.Answer{}, fmt.Errorf("app: ask %s: %w", engine, err)
	}
	return reckon.Run(engine, body)
}

// mapAndSheet begins a question about a job with its machine map and, where
// it has one, its limit sheet.
func mapAndSheet(tx Tx, job shop.Job) (asking, error) {
	m, err := needMapRow(tx, job)
	if err != nil {
		return nil, err
	}
	ask := asking{"map": json.RawMessage(m.Document)}
	if job.LimitSheetID == "" {
		return ask, nil
	}
	s, err := load[shop.LimitSheet](tx, string(job.LimitSheetID))
	if err != nil {
		return nil, err
	}
	ask["sheet"] = json.RawMessage(s.Document)
	return ask, nil
}

func list0(in []string) []string {
	if in == nil {
		return []string{}
	}
	return in
}

// keys gives step keys as the map has them.
func keys(in []string) []layout.Key {
	out := make([]layout.Key, len(in))
	for i, k := range in {
		out[i] = layout.Key(k)
	}
	return out
}

// Closing is what was made for going back together.
type Closing struct {
	HoldPoints []shop.HoldPoint
	Fastenings []shop.Fastening
	Working    []string
}

// PlanClosing makes the hold points and joints of going back together, in the
// machine map's order. A joint whose torque has no source that may decide in
// this shop is not made: it is named, to be looked up in the maker's manual.
func (a *App) PlanClosing(ctx context.Context, who auth.Principal, id shop.JobID, targets []access.Target) (made Closing, err error) {
	err = a.onJob(ctx, who, id, "closing.planned", func(c *JobChange) error {
		made = Closing{}
		if ended(c.Job) {
			return closed()
		}
		plan, err := a.planFor(c, targets)
		if err != nil {
			return err
		}
		s, err := load[shop.Shop](c, string(c.Shop()))
		if err != nil {
			return err
		}
		b := closer{c: c, demo: s.Demo, holds: map[layout.Key]shop.HoldPointID{}, made: &made}
		return b.close(plan)
	})
	return made, err
}

// planFor plans with what is opened up already.
func (a *App) planFor(c *JobChange, targets []access.Target) (access.Result, error) {
	m, err := a.needMap(c, *c.Job)
	if err != nil {
		return access.Result{}, err
	}
	sheet, err := sheetOf(c, *c.Job)
	if err != nil {
		return access.Result{}, err
	}
	return access.Plan(m, access.Request{Targets: targets, Done: keys(c.Job.StepsDone), Sheet: sheet})
}

// closer makes the records of going back together.
type closer struct {
	c     *JobChange
	demo  bool
	holds map[layout.Key]shop.HoldPointID // by fastening
	made  *Closing
}

func (b *closer) close(plan access.Result) error {
	for _, step := range plan.Closing {
		if err := b.hold("putting back what this opened: "+step.Name, step.Holds); err != nil {
			return err
		}
	}
	if err := b.hold("handing the machine over", plan.HoldsLeft); err != nil {
		return err
	}
	for _, joint := range plan.AtParts {
		if err := b.joint(joint); err != nil {
			return err
		}
	}
	for i, step := range plan.Closing {
		b.note(strconv.Itoa(i+1) + ". Put back what this opened: " + step.Name + ".")
		for _, joint := range step.Joints {
			if err := b.joint(joint); err != nil {
				return err
			}
		}
	}
	for _, w := range plan.Warnings {
		b.note(w)
	}
	return nil
}

func (b *closer) note(words string) { b.made.Working = append(b.made.Working, words) }

// hold makes one hold point for all that must be checked before a step.
func (b *closer) hold(before string, holds []access.Hold) error {
	if len(holds) == 0 {
		return nil
	}
	row, err := makeRecord(b.c, holdPointRules(), func(h *shop.HoldPoint) { h.Before = before })
	if err != nil {
		return err
	}
	for _, h := range holds {
		b.holds[h.Fastening] = row.ID
	}
	b.made.HoldPoints = append(b.made.HoldPoints, row)
	return nil
}

func (b *closer) joint(j access.Joint) error {
	target := lastTorque(j.Stages)
	if target == nil || j.Source == nil || (j.Source.Kind == layout.FromExample && !b.demo) {
		b.note(j.Name + ": no torque here that may decide; look it up in the maker's manual and record the joint by hand.")
		return nil
	}
	row, err := makeRecord(b.c, fasteningRules(), func(f *shop.Fastening) {
		f.Component, f.Joint, f.HoldPointID = j.Name, "as the machine map has it", b.holds[j.Fastening]
		f.SafetyClass = shop.SafetyClassOrdinary
		if j.Safety == layout.Critical || f.HoldPointID != "" || criticalJoint(f.Component, "") {
			f.SafetyClass = shop.SafetyClassCritical
		}
		f.Target = shop.Quantity{Value: target.Value, Unit: string(target.Unit)}
		f.Stages, f.JointCondition, f.NewFastener = stageWords(j), shop.JointCondition(j.Condition), shop.NewFastenerNo
		if j.NewBolt {
			f.NewFastener = shop.NewFastenerYes
		}
		f.Angle = lastAngle(j.Stages)
		f.Source = strings.TrimSpace(j.Source.Title + " " + j.Source.Page)
	})
	if err != nil {
		return err
	}
	b.made.Fastenings = append(b.made.Fastenings, row)
	return nil
}

// lastTorque is the torque the joint ends with.
func lastTorque(stages []layout.Stage) *layout.Amount {
	for _, s := range slices.Backward(stages) {
		if s.Torque != nil {
			return s.Torque
		}
	}
	return nil
}

// lastAngle is the turn after the last torque, in words.
func lastAngle(stages []layout.Stage) string {
	if n := len(stages); n > 0 && stages[n-1].AngleDeg > 0 {
		return strconv.FormatInt(stages[n-1].AngleDeg, 10) + " deg"
	}
	return ""
}

// stageWords writes the pulls of a joint in order, with its pattern.
func stageWords(j access.Joint) string {
	var out []string
	for i, s := range j.Stages {
		words := ""
		switch {
		case s.Loosen:
			words = "loosen"
		case s.Torque != nil:
			words = s.Torque.Value + " " + s.Torque.Unit.Symbol()
		}
		if s.AngleDeg > 0 {
			words = strings.TrimSpace(words + " and " + strconv.FormatInt(s.AngleDeg, 10) + " degrees")
		}
		out = append(out, strconv.Itoa(i+1)+": "+strings.TrimPrefix(words, "and "))
	}
	if j.Pattern != "" {
		out = append(out, j.Pattern)
	}
	return strings.Join(out, "; ")
}

// makeRecord makes a record of the job under a fresh id.
func makeRecord[T any, P Record[T]](c *JobChange, r rules[T], fill func(*T)) (T, error) {
	row, _, err := create[T, P](c, Put{JobID: c.Job.ID, ID: c.app.Source.ID(), Create: true}, r, fill)
	return row, err
}

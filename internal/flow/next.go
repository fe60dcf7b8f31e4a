package flow

import "benchtag/internal/fault"

// Option is one move a stage knows, with what still stands in its way.
type Option struct {
	Move  Move
	To    Stage
	Unmet []fault.Gate // empty when the move is free
}

// Next says where a move leads. When gates are unmet the job stays where it
// is, and all of them are returned, always in the same order for the same
// facts. A move the stage does not know is an error of kind Conflict with the
// code flow.move_unknown; so is a stage that does not exist.
func Next(from Stage, move Move, f Facts) (Stage, []fault.Gate, error) {
	cell, ok := table[from][move]
	if !ok {
		return from, nil, fault.New(fault.Conflict, "flow.move_unknown", unknownMove(from, move))
	}
	unmet := cell.unmet(&f)
	if len(unmet) > 0 {
		return from, unmet, nil
	}
	return cell.to, nil, nil
}

// unknownMove says what the stage does allow.
func unknownMove(from Stage, move Move) string {
	if from.Final() {
		return "The job is " + plain(string(from)) + ": nothing moves it any more. Open a new job."
	}
	text := "A job cannot do that from here (" + plain(string(move)) + "). From " + plain(string(from)) + " it can: "
	for i, m := range MovesFrom(from) {
		if i > 0 {
			text += ", "
		}
		text += plain(string(m))
	}
	return text + "."
}

// MovesFrom lists the moves a stage knows, in the order of Moves.
func MovesFrom(from Stage) []Move {
	var out []Move
	for _, m := range Moves() {
		if _, ok := table[from][m]; ok {
			out = append(out, m)
		}
	}
	return out
}

// Possible lists every move the stage knows with what is missing for it, in
// the order of Moves. It answers from the same table as Next.
func Possible(from Stage, f Facts) []Option {
	var out []Option
	for _, m := range MovesFrom(from) {
		cell := table[from][m]
		out = append(out, Option{Move: m, To: cell.to, Unmet: cell.unmet(&f)})
	}
	return out
}

// RulesFor lists the codes of all gates a move can raise in a stage, in the
// order they are reported in; none when the stage does not know the move.
func RulesFor(from Stage, move Move) []string {
	var out []string
	for _, g := range table[from][move].gates {
		out = append(out, g.code)
	}
	return out
}

// Leads gives the stage a move leads to, and whether the stage knows it.
func Leads(from Stage, move Move) (Stage, bool) {
	cell, ok := table[from][move]
	return cell.to, ok
}

func (s step) unmet(f *Facts) []fault.Gate {
	var out []fault.Gate
	for _, g := range s.gates {
		out = append(out, g.unmet(f)...)
	}
	return out
}

// FirstStart gives what is missing before an opened engine may be started,
// in the shop, during the repair. Nothing is asked of an engine that was not
// opened and lost no oil, fuel or coolant.
func FirstStart(f Facts) []fault.Gate { return step{gates: firstStart}.unmet(&f) }

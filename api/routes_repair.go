package api

import (
	"net/http"

	"benchtag/internal/app"
	"benchtag/internal/shop"
)

// repairRoutes are the steps of the work on a job.
func (s *Server) repairRoutes() []route {
	return []route{
		effect("/v1/jobs/{job_id}/lines/{id}/agree", "agreeLine", counter, agreeLine),
		effect("/v1/jobs/{job_id}/lines/{id}/done", "finishLine", anyStaff, finishLine),
		effect("/v1/jobs/{job_id}/fastenings/{id}/done", "doFastening", anyStaff, doFastening),
		effect("/v1/jobs/{job_id}/fastenings/{id}/check", "checkFastening", anyStaff, checkFastening),
		effect("/v1/jobs/{job_id}/fastenings/{id}/redo", "redoFastening", anyStaff, redoFastening),
		effect("/v1/jobs/{job_id}/hold-points/{id}/pass", "passHoldPoint", anyStaff, passHoldPoint),
		effect("/v1/jobs/{job_id}/hand-over-notes/{id}/read", "readHandOverNote", anyStaff, readHandOverNote),
	}
}

// AgreeLineIn names the consent that covers a line.
type AgreeLineIn struct {
	ConsentID string `json:"consent_id"`
}

func agreeLine(c *call) error {
	in, err := read[AgreeLineIn](c)
	if err != nil {
		return err
	}
	row, err := c.app().AgreeLine(c.ctx, c.who, c.place(), shop.ConsentID(in.ConsentID))
	return c.line(row, err)
}

func finishLine(c *call) error {
	row, err := c.app().FinishLine(c.ctx, c.who, c.place())
	return c.line(row, err)
}

func (c *call) line(row shop.Line, err error) error {
	if err != nil {
		return err
	}
	return c.json(http.StatusOK, row.Version, lineView(c.currency(), row))
}

// FasteningDoneIn is what was done to a joint.
type FasteningDoneIn struct {
	Applied  QuantityIn `json:"applied"`
	Tool     string     `json:"tool"`
	WrenchID *string    `json:"wrench_id"`
}

func doFastening(c *call) error {
	in, err := read[FasteningDoneIn](c)
	if err != nil {
		return err
	}
	conv := c.conv()
	pull := app.Pull{Applied: conv.quantity("/applied", in.Applied), Tool: in.Tool, WrenchID: shop.GaugeID(text(in.WrenchID))}
	if err := conv.err(); err != nil {
		return err
	}
	row, err := c.app().DoFastening(c.ctx, c.who, c.place(), pull)
	return c.fastening(row, err)
}

// FasteningCheckIn is what the second person looked up, read, saw and marked.
type FasteningCheckIn struct {
	CheckTarget      QuantityIn `json:"check_target"`
	CheckSetting     QuantityIn `json:"check_setting"`
	Watched          bool       `json:"watched"`
	Marked           bool       `json:"marked"`
	SelfReinspection bool       `json:"self_reinspection"`
}

func checkFastening(c *call) error {
	in, err := read[FasteningCheckIn](c)
	if err != nil {
		return err
	}
	conv := c.conv()
	seen := app.Look{
		Target:  conv.quantity("/check_target", in.CheckTarget),
		Setting: conv.quantity("/check_setting", in.CheckSetting),
		Watched: in.Watched, Marked: in.Marked, SelfReinspection: in.SelfReinspection,
	}
	if err := conv.err(); err != nil {
		return err
	}
	row, err := c.app().CheckFastening(c.ctx, c.who, c.place(), seen)
	return c.fastening(row, err)
}

func redoFastening(c *call) error {
	in, err := read[ReasonIn](c)
	if err != nil {
		return err
	}
	row, err := c.app().RedoFastening(c.ctx, c.who, c.place(), in.Reason)
	return c.fastening(row, err)
}

func (c *call) fastening(row shop.Fastening, err error) error {
	if err != nil {
		return err
	}
	return c.json(http.StatusOK, row.Version, fasteningView(c.currency(), row))
}

func passHoldPoint(c *call) error {
	row, err := c.app().PassHoldPoint(c.ctx, c.who, c.place())
	if err != nil {
		return err
	}
	return c.json(http.StatusOK, row.Version, holdPointView(c.currency(), row))
}

func readHandOverNote(c *call) error {
	row, err := c.app().ReadHandOverNote(c.ctx, c.who, c.place())
	if err != nil {
		return err
	}
	return c.json(http.StatusOK, row.Version, handOverNoteView(c.currency(), row))
}

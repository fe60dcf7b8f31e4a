package app

import (
	"context"

	"benchtag/internal/auth"
	"benchtag/internal/fault"
	"benchtag/internal/shop"
)

func complaintRules() rules[shop.Complaint] {
	return rules[shop.Complaint]{noun: "complaint", check: checkComplaint}
}

// PutComplaint records or changes what the customer says.
func (a *App) PutComplaint(ctx context.Context, who auth.Principal, put Put, fill func(*shop.Complaint)) (shop.Complaint, bool, error) {
	return putRecord[shop.Complaint](ctx, a, who, put, complaintRules(), fill)
}

// StrikeComplaint strikes a complaint with a reason.
func (a *App) StrikeComplaint(ctx context.Context, who auth.Principal, at Place, reason string) (shop.Complaint, error) {
	return strikeRecord[shop.Complaint](ctx, a, who, at, reason, complaintRules(), nil)
}

func checkComplaint(c *JobChange, was, is *shop.Complaint) error {
	if is.Answer == shop.AnswerFinding && is.AnswerFindingID == "" {
		return fault.Invalid("app.complaint_answer_incomplete", "/answer_finding_id", "Name the finding that answers it.")
	}
	before := shop.FindingID("")
	if was != nil {
		before = was.AnswerFindingID
	}
	return refer[shop.Finding](c, reference{id: string(is.AnswerFindingID), was: string(before), pointer: "/answer_finding_id", noun: "finding"})
}

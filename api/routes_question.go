package api

import (
	"net/http"

	"benchtag/internal/shop"
)

func (s *Server) questionRoutes() []route {
	return []route{
		get("/v1/jobs/{id}/customer-questions", "listCustomerQuestions", counter, listCustomerQuestions),
		effect("/v1/customer-questions/{id}/answer", "answerCustomerQuestion", counter, answerCustomerQuestion),
	}
}

// CustomerQuestionView is what a customer asks, as staff see it.
type CustomerQuestionView struct {
	ID          string  `json:"id"`
	Version     int64   `json:"version"`
	WorkOrderID string  `json:"work_order_id"`
	JobID       string  `json:"job_id"`
	OfferID     string  `json:"offer_id"`
	Kind        string  `json:"kind"`
	Words       string  `json:"words"`
	CallWhen    string  `json:"call_when"`
	AskedAt     string  `json:"asked_at"`
	AnsweredBy  *string `json:"answered_by"`
	AnsweredAt  *string `json:"answered_at"`
	Answer      string  `json:"answer"`
}

func questionView(n shop.CustomerQuestion) CustomerQuestionView {
	return CustomerQuestionView{ID: string(n.ID), Version: n.Version, WorkOrderID: string(n.WorkOrderID), JobID: string(n.JobID), OfferID: string(n.OfferID),
		Kind: string(n.Kind), Words: n.Words, CallWhen: n.CallWhen, AskedAt: instantView(n.AskedAt), AnsweredBy: orNull(n.AnsweredBy),
		AnsweredAt: instantOptView(n.AnsweredAt), Answer: n.Answer}
}

func listCustomerQuestions(c *call) error {
	page, err := c.page()
	if err != nil {
		return err
	}
	rows, err := c.app().Questions(c.ctx, c.who, shop.JobID(c.Param("id")), page)
	if err != nil {
		return err
	}
	c.saw("customer_questions", keysOf(rows, shop.CustomerQuestion.Key)...)
	return c.json(http.StatusOK, 0, listOf(rows, page, shop.CustomerQuestion.Key, questionView))
}

// AnswerIn is what the shop answers.
type AnswerIn struct {
	Answer string `json:"answer"`
}

func answerCustomerQuestion(c *call) error {
	in, err := read[AnswerIn](c)
	if err != nil {
		return err
	}
	q, err := c.app().AnswerQuestion(c.ctx, c.who, shop.CustomerQuestionID(c.Param("id")), in.Answer)
	if err != nil {
		return err
	}
	return c.json(http.StatusOK, q.Version, questionView(q))
}

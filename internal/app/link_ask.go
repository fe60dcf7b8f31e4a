package app

import (
	"context"
	"time"

	"benchtag/internal/auth"
	"benchtag/internal/fault"
	"benchtag/internal/shop"
)

// LinkQuestion is what a customer asks from the page of a link.
type LinkQuestion struct {
	Token    string
	Kind     shop.QuestionKind
	Words    string // needed for a question
	CallWhen string // when they can be called
	IP       string
}

// LinkAsked is a question as the page shows it again, with its answer.
type LinkAsked struct {
	Kind     shop.QuestionKind
	Words    string
	CallWhen string
	AskedAt  string // RFC 3339, UTC
	Answer   string // "" until the shop answered
}

// mostAsked is how many questions on one offer may wait for an answer.
const mostAsked = 10

// LinkAsk records what a customer asks about an offer, or that they want to be
// called. It is no answer to the offer, and changes nothing of it; the next
// move is the counter's until somebody answered.
func (a *App) LinkAsk(ctx context.Context, in LinkQuestion) error {
	scope, hash, err := a.Tokens.ParseOpaque(TokenLink, in.Token)
	if err != nil {
		return linkUnknown()
	}
	return a.Store.Write(ctx, scope, func(ctx context.Context, tx Tx) error {
		v, err := visit(tx, hash)
		if err != nil {
			return err
		}
		who := auth.Principal{Kind: auth.KindLink, ShopID: scope, LinkID: v.link.ID}
		return a.onJob(ctx, who, v.offer.JobID, "customer_question.asked", func(c *JobChange) error {
			return c.ask(hash, in)
		})
	})
}

// ask checks and records a question, the head being locked.
func (c *JobChange) ask(hash string, in LinkQuestion) error {
	v, err := visit(c.Tx, hash)
	if err != nil {
		return err
	}
	if err := v.dead(c.Now()); err != nil {
		return err
	}
	if ended(c.Job) {
		return fault.New(fault.Gone, "app.job_over", "The shop has closed this job; ask the shop.")
	}
	if in.Kind != shop.QuestionKindCallMe && blank(in.Words) {
		return fault.Invalid("app.question_empty", "/words", "Write your question, or choose to be called.")
	}
	waiting, err := list[shop.CustomerQuestion](c.Tx, By{"job_id": c.Job.ID, "offer_id": v.offer.ID, "answered_at": nil})
	if err != nil {
		return err
	}
	if len(waiting) >= mostAsked {
		return fault.New(fault.Conflict, "app.questions_waiting", "The shop has your questions. If it is urgent, call.")
	}
	return c.insertFirst(&shop.CustomerQuestion{ID: shop.CustomerQuestionID(c.app.Source.ID()), OfJob: v.offer.OfJob, OfferID: v.offer.ID, LinkID: v.link.ID,
		Kind: in.Kind, Words: Cut(in.Words, 2000), CallWhen: Cut(in.CallWhen, 200), AskedAt: c.Now(), IP: in.IP})
}

// asked lists what was asked about an offer, for its page.
func (v visited) asked(tx Tx) ([]LinkAsked, error) {
	rows, err := list[shop.CustomerQuestion](tx, By{"job_id": v.offer.JobID, "offer_id": v.offer.ID})
	out := make([]LinkAsked, len(rows))
	for i, q := range rows {
		out[i] = LinkAsked{Kind: q.Kind, Words: q.Words, CallWhen: q.CallWhen, AskedAt: q.AskedAt.UTC().Format(time.RFC3339), Answer: q.Answer}
	}
	return out, err
}

// AnswerQuestion records what the shop answered; the customer sees it on the
// page of the link.
func (a *App) AnswerQuestion(ctx context.Context, who auth.Principal, id shop.CustomerQuestionID, answer string) (q shop.CustomerQuestion, err error) {
	err = a.Store.Write(ctx, who.ShopID, func(ctx context.Context, tx Tx) error {
		found, err := load[shop.CustomerQuestion](tx, string(id))
		if err != nil {
			return err
		}
		return a.onJob(ctx, who, found.JobID, "customer_question.answered", func(c *JobChange) error {
			if q, err = load[shop.CustomerQuestion](c.Tx, string(id)); err != nil {
				return err
			}
			if q.AnsweredAt != nil {
				return fault.New(fault.Conflict, "app.question_answered", "This question was answered already.")
			}
			if blank(answer) {
				return fault.Invalid("app.answer_empty", "/answer", "Write what was answered; the customer reads it.")
			}
			now := c.Now()
			q.AnsweredBy, q.AnsweredAt, q.Answer = who.StaffID, &now, answer
			return c.advanceFirst(&q)
		})
	})
	return q, err
}

// Questions reads a page of what customers asked about a job.
func (a *App) Questions(ctx context.Context, who auth.Principal, job shop.JobID, page Page) ([]shop.CustomerQuestion, error) {
	return underJob[shop.CustomerQuestion](ctx, a, who, job, page)
}

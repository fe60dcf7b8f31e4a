package app

import (
	"context"
	"strconv"

	"benchtag/internal/auth"
	"benchtag/internal/fault"
	"benchtag/internal/shop"
)

func scopeRules() rules[shop.Scope] { return rules[shop.Scope]{noun: "scope", check: checkScope} }

// PutScope records or changes a way forward. An open offer that shows it is
// changed by that, and its links are dead.
func (a *App) PutScope(ctx context.Context, who auth.Principal, put Put, fill func(*shop.Scope)) (shop.Scope, bool, error) {
	return putRecord[shop.Scope](ctx, a, who, put, scopeRules(), fill)
}

// StrikeScope strikes a way forward with a reason.
func (a *App) StrikeScope(ctx context.Context, who auth.Principal, at Place, reason string) (shop.Scope, error) {
	return strikeRecord(ctx, a, who, at, reason, scopeRules(), touchScope)
}

func checkScope(c *JobChange, was, is *shop.Scope) error {
	if err := checkScopeLines(c, is.LineIDs); err != nil {
		return err
	}
	if was == nil {
		return nil
	}
	return touchScope(c, is)
}

// touchScope refuses to touch what the customer agreed to, and breaks what
// the customer is being asked.
func touchScope(c *JobChange, is *shop.Scope) error {
	agreed, err := list[shop.Consent](c, By{"job_id": c.Job.ID, "scope_id": is.ID, "decision": shop.DecisionAgreed, "revoked_at": nil})
	if err != nil {
		return err
	}
	if len(agreed) > 0 {
		return fault.New(fault.Conflict, "app.scope_agreed", "The customer agreed to this way forward; it stays as it was shown. Write a new one and ask again.")
	}
	return c.breakOffers(func(s shop.Scope) bool { return s.ID == is.ID })
}

// checkScopeLines makes sure that a way forward holds lines of the job that
// count, each once.
func checkScopeLines(c *JobChange, ids []string) error {
	f := fault.New(fault.Meaning, "app.scope_lines_wrong", "A way forward holds lines of this job that are not struck, each once.")
	seen := map[string]bool{}
	for i, id := range ids {
		pointer := "/line_ids/" + strconv.Itoa(i)
		if seen[id] {
			f.Fields = append(f.Fields, fault.Field{Pointer: pointer, Message: "This line stands twice; name it once."})
			continue
		}
		seen[id] = true
		err := refer[shop.Line](c, reference{id: id, pointer: pointer, noun: "line"})
		if err == nil {
			continue
		}
		if !fault.Is(err, fault.Meaning) {
			return err
		}
		f.Fields = append(f.Fields, fault.Field{Pointer: pointer, Message: sentence(err)})
	}
	if len(f.Fields) == 0 {
		return nil
	}
	return f
}

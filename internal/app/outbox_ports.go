package app

import (
	"context"
	"time"
)

// Mail is one letter, ready to go.
type Mail struct {
	ID       string // of the message; its Message-ID is made of it and stays the same
	FromName string // whose name it carries: the shop's
	ReplyTo  string // where answers go, or ""
	To       string // address
	ToName   string
	Date     time.Time
	Subject  string
	Text     string
	HTML     string
	Attached []Attachment
}

// Attachment is a file that goes with a letter.
type Attachment struct {
	Name, Type string
	Bytes      []byte
}

// Mailer hands letters to a mail server.
type Mailer interface {
	// Send hands over one letter. It calls ready once, when the server is
	// reached and before anything of the letter is handed over, and hands
	// over nothing if that fails.
	Send(ctx context.Context, letter Mail, ready func(context.Context) error) Delivery
}

// HookCall is one call of a webhook, ready to go.
type HookCall struct {
	ID      string // webhook-id; the same at every try
	URL     string
	Body    []byte
	Secrets [][]byte // what it is signed with: the current one, and the old for a while
}

// Hooks calls webhooks.
type Hooks interface {
	// Check refuses an address that may not be called, before it is stored.
	Check(address string) error
	// Call makes one call.
	Call(ctx context.Context, call HookCall) Delivery
}

// Result is what became of a try.
type Result string

// The results of a try.
const (
	Accepted  Result = "accepted"   // the other end has it
	Later     Result = "later"      // the other end has it not; a later try may do
	Refused   Result = "refused"    // the other end will never take it
	Gone      Result = "gone"       // nobody is there any more: do not call again
	Uncertain Result = "uncertain"  // it was handed over and no answer came
	NotSetUp  Result = "not_set_up" // there is nothing to send it by, or to
	Pointless Result = "pointless"  // it has outlived its use
)

// Results lists every result of a try.
func Results() []Result {
	return []Result{Accepted, Later, Refused, Gone, Uncertain, NotSetUp, Pointless}
}

// Delivery is what became of a try, with words for a person that hold no
// address and nothing of the message.
type Delivery struct {
	Result Result
	Words  string
}

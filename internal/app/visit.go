package app

// LinkVisit is one request of a customer's link, its limits already counted.
type LinkVisit struct {
	Token     string // the secret of the path, as sent
	Step      string // "" shows, "check" shows the answer again, "decide" takes it, "receipt" gives its receipt
	IP        string // where it came from
	UserAgent string // what the browser says of itself
}

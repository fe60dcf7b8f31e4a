package api

import "slices"

// handler serves one route: it parses, calls one use case, renders.
type handler func(*call) error

// route is one line of the policy table: what exists, who may, what it does.
type route struct {
	Method    string
	Path      string // as in the contract
	Operation string // operationId of the contract
	Allow     allow
	// Effect routes need an Idempotency-Key; their first answer is stored.
	Effect bool
	// Bytes routes take or give a picture instead of JSON, streamed and with
	// limits of their own.
	Bytes bool
	// Prepare does what must not run inside the effect's transaction: it
	// looks at passwords, which is slow, and counts wrong ones, which must
	// stay counted though the effect is refused. A replay skips it.
	Prepare handler
	Do      handler
}

// bytes is a route of a picture.
func (r route) bytes() route {
	r.Bytes = true
	return r
}

// prepared is a route with work before its effect.
func (r route) prepared(prepare handler) route {
	r.Prepare = prepare
	return r
}

// routes is the one policy table. The areas are files of their own; the test
// of the matrix and the contract walk this list.
func (s *Server) routes() []route {
	return slices.Concat(
		s.signInRoutes(),
		s.tabletRoutes(),
		s.shopRoutes(),
		s.staffRoutes(),
		s.customerRoutes(),
		s.workOrderRoutes(),
		s.retentionRoutes(),
		s.floorRoutes(),
		s.jobRoutes(),
		s.recordRoutes(),
		s.photoRoutes(),
		s.tagRoutes(),
		s.repairRoutes(),
		s.moneyRoutes(),
		s.offerRoutes(),
		s.consentRoutes(),
		s.messageRoutes(),
		s.questionRoutes(),
		s.reckonRoutes(),
		s.mapRoutes(),
		s.engineRoutes(),
	)
}

// RouteInfo is one line of the policy table as others may see it.
type RouteInfo struct {
	Method, Path string // as in the contract
	Operation    string // operationId of the contract
	Allow        string // who may call: "anyone", "any staff", "advisor or owner", "owner", "enrolled tablet"
	Effect       bool   // needs an Idempotency-Key
	Bytes        bool   // takes or gives a picture instead of JSON
}

// Routes lists the policy table: what exists, and who may.
func (s *Server) Routes() []RouteInfo {
	table := s.routes()
	out := make([]RouteInfo, len(table))
	for i, r := range table {
		out[i] = RouteInfo{Method: r.Method, Path: r.Path, Operation: r.Operation, Allow: string(r.Allow), Effect: r.Effect, Bytes: r.Bytes}
	}
	return out
}

// get is a route that reads.
func get(path, operation string, allow allow, do handler) route {
	return route{Method: "GET", Path: path, Operation: operation, Allow: allow, Do: do}
}

// effect is a POST that needs an Idempotency-Key.
func effect(path, operation string, allow allow, do handler) route {
	return route{Method: "POST", Path: path, Operation: operation, Allow: allow, Effect: true, Do: do}
}

// post is a POST without a stored answer: sign-in, refresh, heartbeat.
func post(path, operation string, allow allow, do handler) route {
	return route{Method: "POST", Path: path, Operation: operation, Allow: allow, Do: do}
}

// put is a PUT, which carries its version.
func put(path, operation string, allow allow, do handler) route {
	return route{Method: "PUT", Path: path, Operation: operation, Allow: allow, Do: do}
}

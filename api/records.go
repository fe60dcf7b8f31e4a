package api

import (
	"context"
	"net/http"

	"benchtag/internal/app"
	"benchtag/internal/auth"
	"benchtag/internal/money"
	"benchtag/internal/shop"
)

// listView is a page as clients see it.
type listView[V any] struct {
	Items      []V     `json:"items"`
	NextCursor *string `json:"next_cursor"`
}

// listOf renders a page; a full one has a cursor for the next.
func listOf[T, V any](rows []T, page app.Page, key func(T) string, view func(T) V) listView[V] {
	out := listView[V]{Items: make([]V, len(rows))}
	for i, r := range rows {
		out.Items[i] = view(r)
	}
	if len(rows) > 0 && len(rows) == page.Limit {
		cursor := writeCursor(key(rows[len(rows)-1]))
		out.NextCursor = &cursor
	}
	return out
}

// record is how one kind of record of a job is served: the four routes are
// the same for all of them.
type record[T, In, V any] struct {
	path     string // below the job: "findings"
	one, all string // operation names: "Finding", "Findings"
	put      func(*app.App, context.Context, auth.Principal, app.Put, func(*T)) (T, bool, error)
	strike   func(*app.App, context.Context, auth.Principal, app.Place, string) (T, error)
	onto     func(In, *conv, *T)
	view     func(money.Currency, T) V
}

// routesOf gives the four routes of a kind of record.
func routesOf[T, In, V any, P app.Record[T]](r record[T, In, V]) []route {
	base := "/v1/jobs/{job_id}/" + r.path
	return []route{
		get(base, "list"+r.all, anyStaff, func(c *call) error { return listRecords[T, V, P](c, r.view) }),
		get(base+"/{id}", "get"+r.one, anyStaff, func(c *call) error { return getRecord[T, V, P](c, r.view) }),
		put(base+"/{id}", "put"+r.one, anyStaff, func(c *call) error { return putRecord[T, In, V, P](c, r) }),
		effect(base+"/{id}/strike", "strike"+r.one, anyStaff, func(c *call) error { return strikeRecord[T, In, V, P](c, r) }),
	}
}

// singleOf gives the two routes of a kind of record of which a job has one.
func singleOf[T, In, V any, P app.Record[T]](write allow, r record[T, In, V]) []route {
	path := "/v1/jobs/{id}/" + r.path
	return []route{
		get(path, "get"+r.one, anyStaff, func(c *call) error { return getRecord[T, V, P](c, r.view) }),
		put(path, "put"+r.one, write, func(c *call) error { return putRecord[T, In, V, P](c, r) }),
	}
}

func versionOf[T any, P app.Record[T]](row T) int64 { return P(&row).Head().Version }

func listRecords[T, V any, P app.Record[T]](c *call, view func(money.Currency, T) V) error {
	page, err := c.page()
	if err != nil {
		return err
	}
	rows, err := app.RecordsOf[T, P](c.ctx, c.app(), c.who, shop.JobID(c.Param("job_id")), page)
	if err != nil {
		return err
	}
	key := func(row T) string { return P(&row).Key() }
	c.saw(P(new(T)).TableName(), keysOf(rows, key)...)
	return c.json(http.StatusOK, 0, listOf(rows, page, key, func(row T) V { return view(c.currency(), row) }))
}

// place reads which record of which job an address names.
func (c *call) place() app.Place {
	job := c.Param("job_id")
	if job == "" {
		job = c.Param("id")
	}
	return app.Place{JobID: shop.JobID(job), ID: c.Param("id")}
}

func getRecord[T, V any, P app.Record[T]](c *call, view func(money.Currency, T) V) error {
	row, err := app.RecordOf[T, P](c.ctx, c.app(), c.who, c.place())
	if err != nil {
		return err
	}
	c.saw(P(&row).TableName(), P(&row).Key())
	return c.json(http.StatusOK, versionOf[T, P](row), view(c.currency(), row))
}

func putRecord[T, In, V any, P app.Record[T]](c *call, r record[T, In, V]) error {
	in, err := read[In](c)
	if err != nil {
		return err
	}
	put, err := c.put()
	if err != nil {
		return err
	}
	conv := c.conv()
	var trial T
	r.onto(in, conv, &trial)
	if err := conv.err(); err != nil {
		return err
	}
	row, made, err := r.put(c.app(), c.ctx, c.who, put, func(row *T) { r.onto(in, conv, row) })
	if err != nil {
		return err
	}
	return c.json(madeStatus(made), versionOf[T, P](row), r.view(c.currency(), row))
}

func madeStatus(made bool) int {
	if made {
		return http.StatusCreated
	}
	return http.StatusOK
}

// ReasonIn is a reason in words.
type ReasonIn struct {
	Reason string `json:"reason"`
}

func strikeRecord[T, In, V any, P app.Record[T]](c *call, r record[T, In, V]) error {
	in, err := read[ReasonIn](c)
	if err != nil {
		return err
	}
	row, err := r.strike(c.app(), c.ctx, c.who, c.place(), in.Reason)
	if err != nil {
		return err
	}
	return c.json(http.StatusOK, versionOf[T, P](row), r.view(c.currency(), row))
}

package api

import (
	"bytes"
	"errors"
	"io"
	"log/slog"
	"net/http"
	"net/url"
	"os"
	"strconv"
	"strings"
	"time"

	"benchtag/internal/app"
	"benchtag/internal/fault"
	"benchtag/internal/shop"
)

// Limits of sending a picture. The whole of it comes in windows: each has to
// be there in time, so that a stalled client is let go, and a slow one, at 16
// KiB a second, is not.
const (
	uploadTimeout = 25 * time.Minute // 20 MiB at 16 KiB a second, and what is done with it
	uploadWindow  = 160 << 10
	windowTimeout = 10 * time.Second
	answerTimeout = 60 * time.Second
)

// The rates of sending pictures: of one person and of a shop.
var (
	photosPerPerson = rate{60, time.Minute}
	photosPerShop   = rate{300, time.Minute}
)

func putPhotoContent(c *call) error {
	if err := c.takePhoto(); err != nil {
		return err
	}
	want, err := contentDigest(c.Request().Header)
	if err != nil {
		return err
	}
	if enc := strings.Join(c.Request().Header.Values("Content-Encoding"), ", "); enc != "" && enc != "identity" {
		return fault.New(fault.Media, "api.encoding_refused", "Send the picture without compression.")
	}
	size := c.Request().ContentLength
	if size > app.MaxPhoto {
		return photoTooLarge()
	}
	done, err := c.server.uploads.take(string(c.who.ShopID)+"/"+string(c.who.StaffID), size)
	if err != nil {
		return err
	}
	defer done()
	kind, _, _ := strings.Cut(c.Request().Header.Get("Content-Type"), ";")
	in := app.PhotoContent{MediaType: strings.ToLower(strings.TrimSpace(kind)), Size: size, Read: func() ([]byte, error) { return c.readPhoto(want) }}
	row, made, err := c.app().StorePhoto(c.ctx, c.who, c.place(), in)
	if err != nil {
		return err
	}
	return c.json(madeStatus(made), versionOf[shop.Photo](row), photoView(c.currency(), row))
}

// takePhoto counts one picture of a person and of the shop.
func (c *call) takePhoto() error {
	who := "photo " + string(c.who.ShopID)
	if err := c.server.limits.take(who+" "+string(c.who.StaffID), photosPerPerson); err != nil {
		return err
	}
	return c.server.limits.take(who, photosPerShop)
}

func photoTooLarge() error {
	return fault.New(fault.TooLarge, "api.photo_too_large", "The picture is larger than 20 MiB; send it smaller.")
}

// contentDigest reads the SHA-256 that the client made of what it sends
// (RFC 9530), so that what was damaged on the way is not stored.
func contentDigest(h http.Header) (string, error) {
	sum, ok := digestIn(h.Values("Content-Digest"))
	if !ok {
		return "", fault.New(fault.Shape, "api.content_digest_missing", "Send Content-Digest: sha-256=:…: with the SHA-256 of the picture in base64.")
	}
	return sum, nil
}

// readPhoto reads the picture, window by window.
func (c *call) readPhoto(want string) ([]byte, error) {
	control := http.NewResponseController(c.Response().Writer)
	var content bytes.Buffer
	if n := c.Request().ContentLength; n > 0 {
		content.Grow(int(min(n, 1<<20)))
	}
	body := io.LimitReader(c.Request().Body, app.MaxPhoto+1)
	for {
		// A writer without deadlines, as in tests, needs none.
		_ = control.SetReadDeadline(time.Now().Add(windowTimeout))
		n, err := io.CopyN(&content, body, uploadWindow)
		if errors.Is(err, io.EOF) && n < uploadWindow {
			break
		}
		if err != nil {
			return nil, uploadBroken(err)
		}
	}
	_ = control.SetReadDeadline(time.Time{})
	_ = control.SetWriteDeadline(time.Now().Add(answerTimeout))
	if content.Len() > app.MaxPhoto {
		return nil, photoTooLarge()
	}
	if got := app.SumOf(content.Bytes()); got != want {
		return nil, fault.New(fault.Shape, "api.content_digest_wrong", "What arrived is not what Content-Digest says: it was damaged or cut short on the way. Send it again.")
	}
	return content.Bytes(), nil
}

func uploadBroken(err error) error {
	if errors.Is(err, os.ErrDeadlineExceeded) {
		f := fault.New(fault.Unavailable, "api.upload_too_slow", "The picture came too slowly; send it again where the network is better.").Because(err)
		f.RetryAfter = 5
		return f
	}
	return fault.New(fault.Shape, "api.body_broken", "The body ended early; send it again.").Because(err)
}

func getPhotoContent(c *call) error { return c.photo(app.PhotoFull) }

func getPhotoThumbnail(c *call) error {
	size := app.PhotoSmall
	if c.QueryParam("size") == string(app.PhotoLarge) {
		size = app.PhotoLarge
	}
	return c.photo(size)
}

// photo answers with a copy of a photo. Whatever it holds, a browser takes it
// for a picture and nothing else, and never runs it.
func (c *call) photo(size app.PhotoSize) error {
	file, err := c.app().Photo(c.ctx, c.who, c.place(), size, knownTags(c.Request().Header))
	if err != nil {
		c.server.noteDamage(c, err)
		return err
	}
	h := c.Response().Header()
	h.Set("ETag", `"`+file.SHA256+`"`)
	h.Set("Cache-Control", "private, no-cache")
	h.Set("Content-Security-Policy", "default-src 'none'; sandbox; frame-ancestors 'none'")
	if file.Content == nil {
		return c.NoContent(http.StatusNotModified)
	}
	h.Set("Content-Disposition", disposition(size, file.DisplayName()))
	h.Set("Content-Length", strconv.Itoa(len(file.Content)))
	return c.Blob(http.StatusOK, file.MediaType, file.Content)
}

// noteDamage tells whoever runs the server of a damaged picture, by its id.
func (s *Server) noteDamage(c *call, err error) {
	var f *fault.Error
	if errors.As(err, &f) && f.Code == app.CodePhotoDamaged {
		s.Log.ErrorContext(c.ctx, "a stored photo is damaged", slog.String("request_id", requestIDOf(c.Context)), slog.String("photo", c.Param("id")), slog.Any("cause", f.Cause))
	}
}

// knownTags reads what the asker has already, out of If-None-Match (RFC 9110,
// 13.1.2).
func knownTags(h http.Header) []string {
	var tags []string
	for _, value := range h.Values("If-None-Match") {
		for tag := range strings.SplitSeq(value, ",") {
			tags = append(tags, strings.Trim(strings.TrimPrefix(strings.TrimSpace(tag), "W/"), `"`))
		}
	}
	return tags
}

// disposition offers a name for saving (RFC 6266): plain letters for old
// browsers, and the whole of it in UTF-8 (RFC 8187).
func disposition(size app.PhotoSize, name string) string {
	how := "inline"
	if size == app.PhotoFull {
		how = "attachment"
	}
	plain := strings.Map(func(r rune) rune {
		if r < ' ' || r > '~' || r == '"' || r == '\\' {
			return '_'
		}
		return r
	}, name)
	return how + `; filename="` + plain + `"; filename*=UTF-8''` + strings.ReplaceAll(url.QueryEscape(name), "+", "%20")
}

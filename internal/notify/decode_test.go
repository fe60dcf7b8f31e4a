package notify_test

import (
	"encoding/base64"
	"io"
	"mime/quotedprintable"
	"strings"
	"testing"
)

// decoded undoes the encoding of a part for its way.
func decoded(t *testing.T, encoding string, body io.Reader) []byte {
	t.Helper()
	switch strings.ToLower(encoding) {
	case "quoted-printable":
		body = quotedprintable.NewReader(body)
	case "base64":
		body = base64.NewDecoder(base64.StdEncoding, body)
	}
	data, err := io.ReadAll(body)
	if err != nil {
		t.Fatal(err)
	}
	return data
}

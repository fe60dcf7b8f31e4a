// Package phone writes phone numbers in the international form E.164, by the
// numbering plans of libphonenumber. It does not say whom a number reaches,
// nor whether it is in use.
package phone

import (
	"strings"

	"github.com/nyaruka/phonenumbers"
)

// maxText bounds what is read: the longest number (ITU-T E.164, 15 digits)
// with generous room for blanks, brackets and an extension.
const maxText = 64

// Book reads numbers by the numbering plans; it has no state.
type Book struct{}

// E164 gives a number as "+15550102030", or "" where the text is no valid
// number. region (ISO 3166, two letters) says whose national numbers are
// meant; where it is empty only a number that starts with + can be read.
// An extension is dropped, since E.164 has none.
func (Book) E164(text, region string) string {
	text = strings.TrimSpace(text)
	if len(text) > maxText || region == "" && !strings.HasPrefix(text, "+") {
		return ""
	}
	number, err := phonenumbers.Parse(text, region)
	if err != nil || !phonenumbers.IsValidNumber(number) { // Parse alone accepts "123"
		return ""
	}
	return phonenumbers.Format(number, phonenumbers.E164)
}

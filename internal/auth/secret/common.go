package secret

import (
	"bufio"
	"fmt"
	"io"
	"strings"

	"github.com/trustelem/zxcvbn/frequency"
)

const (
	// maxListed bounds a list, in words: a million is about 60 MB.
	maxListed = 1_000_000
	// maxLine bounds one word of a list, in bytes.
	maxLine = 1024
)

// Common is the list of passwords that guessers try first: the 30,000 most
// frequent that the zxcvbn module carries, and those of a list of one's own.
type Common struct {
	words map[string]struct{}
}

// NewCommon makes the list. Each of the readers holds more words, one a line,
// such as an offline list of breached passwords; lines beyond a million words
// in all, or longer than 1,024 bytes, are an error.
func NewCommon(more ...io.Reader) (*Common, error) {
	list := frequency.FrequencyLists["passwords"]
	c := &Common{words: make(map[string]struct{}, len(list))}
	for _, word := range list {
		c.words[strings.ToLower(word)] = struct{}{}
	}
	for _, r := range more {
		if err := c.add(r); err != nil {
			return nil, fmt.Errorf("list of passwords: %w", err)
		}
	}
	return c, nil
}

func (c *Common) add(r io.Reader) error {
	lines := bufio.NewScanner(r)
	lines.Buffer(make([]byte, 0, maxLine), maxLine)
	for lines.Scan() {
		word := strings.ToLower(strings.TrimRight(lines.Text(), "\r"))
		if word == "" {
			continue
		}
		if len(c.words) >= maxListed {
			return fmt.Errorf("more than %d words", maxListed)
		}
		c.words[word] = struct{}{}
	}
	return lines.Err()
}

// Has reports whether a lower-case word is on the list. It is what
// auth.PasswordRules asks for as Common.
func (c *Common) Has(word string) bool {
	_, listed := c.words[word]
	return listed
}

// Len is how many words are on the list.
func (c *Common) Len() int { return len(c.words) }

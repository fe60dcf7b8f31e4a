package journal

import (
	"bytes"
	"encoding/base64"
	"strconv"
	"strings"
)

// LogProof says where a leaf lies under a signed checkpoint.
type LogProof struct {
	Index      int    // of the leaf, from 0
	Path       []Hash // RFC 6962 section 2.1.1, lowest sibling first
	Checkpoint []byte // the signed note, as it was signed
}

// proofTitle is the first line of a proof.
const proofTitle = "c2sp.org/tlog-proof@v1"

// maxPath is the longest path there can be: no tree has more than 2^63 leaves.
const maxPath = 63

// Text writes the proof in the form of https://c2sp.org/tlog-proof (read in
// November 2026), without extra data: title, index, the path's hashes in
// base64, an empty line, the signed checkpoint.
func (p LogProof) Text() []byte {
	var out bytes.Buffer
	out.WriteString(proofTitle + "\nindex " + strconv.Itoa(p.Index) + "\n")
	for _, h := range p.Path {
		out.WriteString(base64.StdEncoding.EncodeToString(h[:]) + "\n")
	}
	out.WriteByte('\n')
	out.Write(p.Checkpoint)
	return out.Bytes()
}

// ParseLogProof reads a proof; for every b that it accepts, Text gives back
// exactly b. Proofs with extra data are refused, since nothing vouches for it.
func ParseLogProof(b []byte) (LogProof, error) {
	front, checkpoint, parted := bytes.Cut(b, []byte("\n\n"))
	lines := strings.Split(string(front), "\n")
	if !parted || len(lines) < 2 || len(lines) > 2+maxPath || lines[0] != proofTitle {
		return LogProof{}, malformed("the proof is not in the form of a tlog-proof")
	}
	number, named := strings.CutPrefix(lines[1], "index ")
	index, err := strconv.Atoi(number)
	if !named || err != nil || index < 0 {
		return LogProof{}, malformed("the proof names no place in the journal")
	}
	p := LogProof{Index: index, Checkpoint: checkpoint}
	for _, line := range lines[2:] {
		h, err := hashFromBase64(line)
		if err != nil {
			return LogProof{}, err
		}
		p.Path = append(p.Path, h)
	}
	if !bytes.Equal(p.Text(), b) {
		return LogProof{}, malformed("the proof is not in its one spelling")
	}
	return p, nil
}

func hashFromBase64(text string) (Hash, error) {
	b, err := base64.StdEncoding.Strict().DecodeString(text)
	if err != nil || len(b) != len(Hash{}) {
		return Hash{}, malformed("a hash of the proof is not 32 bytes in base64")
	}
	return Hash(b), nil
}

package app

import "bytes"

// CSVLine writes one row as the export does, each text made harmless.
func CSVLine(texts []string) string {
	safe := make([]string, len(texts))
	for i, text := range texts {
		safe[i] = harmless(text)
	}
	var out bytes.Buffer
	csvLine(&out, safe)
	return out.String()
}

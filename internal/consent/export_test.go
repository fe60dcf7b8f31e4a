package consent

// ParseDataset lets tests break the file of rules.
func ParseDataset(b []byte) (int, error) {
	d, err := parseDataset(b)
	return len(d.Rules), err
}

// Embedded is the file of rules as it is built in.
func Embedded() []byte { return embedded }

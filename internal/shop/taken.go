package shop

// Taken is what was taken at a measured point, as it was entered: the stored
// readings of a Measurement.
type Taken struct {
	Derive      string            `json:"derive"`
	With        map[string]string `json:"with"`
	Readings    []PointReading    `json:"readings"`
	Temperature *PointTemperature `json:"temperature"`
	FromPhoto   bool              `json:"from_photo"`
}

// PointReading is what was read of one thing, as often as it was read.
type PointReading struct {
	Of      string     `json:"of"`
	Values  []Quantity `json:"values"`
	GaugeID GaugeID    `json:"gauge_id"`
}

// PointTemperature is the temperature of part and gauge.
type PointTemperature struct {
	Part          Quantity `json:"part"`
	Gauge         Quantity `json:"gauge"`
	PartMaterial  string   `json:"part_material"`
	GaugeMaterial string   `json:"gauge_material"`
}

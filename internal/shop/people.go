package shop

import (
	"time"
)

// Customer: Who pays and decides.
type Customer struct {
	Row
	ID CustomerID `gorm:"primaryKey"`
	// Name: Name of the person or firm.
	Name string
	// Kind: A person or a firm.
	Kind CustomerKind
	// Phone: Phone number as given.
	Phone string
	// PhoneE164: The same in E.164, for searching.
	PhoneE164 string
	// Email: E-mail address.
	Email string
	// Address: Postal address.
	Address string
	// Language: BCP 47 tag of the language to write in.
	Language string
	// ContactBy: How they want to be reached.
	ContactBy ContactBy
	// Note: For the shop's eyes only.
	Note string
}

// TableName names the table of Customer.
func (Customer) TableName() string { return "customers" }

// Key gives the row id as text.
func (n Customer) Key() string { return string(n.ID) }

// Machine: A motorcycle.
type Machine struct {
	Row
	ID MachineID `gorm:"primaryKey"`
	// CustomerID: Whose it is now.
	CustomerID CustomerID
	// VIN: Vehicle identification number (ISO 3779), or empty.
	VIN string
	// VINVerdict: What the check digit says, where the market has one.
	VINVerdict VINState
	// FrameNumber: Frame number of a machine without a VIN.
	FrameNumber string
	// Plate: Registration plate as read.
	Plate string
	// Make: Maker's name.
	Make string
	// Model: Model name.
	Model string
	// Year: Model year.
	Year *int64
	// Market: Where it was sold new: north_america, or anything else.
	Market string
	// Colour: To find it in the yard.
	Colour string
	// LayoutID: Machine map to use.
	LayoutID LayoutID `gorm:"serializer:ref"`
	// Note: For the shop's eyes only.
	Note string
}

// TableName names the table of Machine.
func (Machine) TableName() string { return "machines" }

// Key gives the row id as text.
func (n Machine) Key() string { return string(n.ID) }

// OdometerReading: What the odometer said, and when.
type OdometerReading struct {
	Row
	ID OdometerReadingID `gorm:"primaryKey"`
	// WorkOrderID is the visit it belongs to.
	WorkOrderID WorkOrderID
	// MachineID: The machine.
	MachineID MachineID
	// Moment: in, out or back.
	Moment string
	// Reading: What it said.
	Reading Quantity `gorm:"embedded;embeddedPrefix:reading_"`
	// NotReadableBecause: Why there is none.
	NotReadableBecause string
	// ReadAt: When it was read.
	ReadAt time.Time
}

// TableName names the table of OdometerReading.
func (OdometerReading) TableName() string { return "odometer_readings" }

// Key gives the row id as text.
func (n OdometerReading) Key() string { return string(n.ID) }

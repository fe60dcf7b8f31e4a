package shop

import (
	"time"
)

// Customer: Who pays and decides.
type Customer struct {
	Row
	ID CustomerID `gorm:"primaryKey" json:"id"`
	// Name: Name of the person or firm.
	Name string `json:"name"`
	// Kind: A person or a firm.
	Kind CustomerKind `json:"kind"`
	// Phone: Phone number as given.
	Phone string `json:"phone"`
	// PhoneE164: The same in E.164; bare digits where it names no country, for searching alone.
	PhoneE164 string `json:"phone_e164"`
	// Email: E-mail address.
	Email string `json:"email"`
	// Address: Postal address.
	Address string `json:"address"`
	// Language: BCP 47 tag of the language to write in.
	Language string `json:"language"`
	// ContactBy: How they want to be reached.
	ContactBy ContactBy `json:"contact_by"`
	// Note: For the shop's eyes only.
	Note string `json:"note"`
	// EraseAskedAt: When it was asked that the person be erased; nil if never.
	EraseAskedAt *time.Time `json:"erase_asked_at"`
	// EraseReason: Why, in one of a few words; empty if nobody asked.
	EraseReason EraseReason `json:"erase_reason"`
	// EraseOn: The first day on which nothing has to be kept any more; empty if nobody asked, or nothing had to be.
	EraseOn Date `json:"erase_on"`
	// ErasedAt: When the person was erased; the row stays, without them.
	ErasedAt *time.Time `json:"erased_at"`
}

// Unseen reports whether the person is out of the shop's sight: erased, or
// kept under seal until EraseOn.
func (n Customer) Unseen() bool { return n.EraseAskedAt != nil }

// TableName names the table of Customer.
func (Customer) TableName() string { return "customers" }

// Key gives the row id as text.
func (n Customer) Key() string { return string(n.ID) }

// SetKey sets the row id.
func (n *Customer) SetKey(id string) { n.ID = CustomerID(id) }

// Machine: A motorcycle.
type Machine struct {
	Row
	ID MachineID `gorm:"primaryKey" json:"id"`
	// CustomerID: Whose it is now.
	CustomerID CustomerID `json:"customer_id"`
	// VIN: Vehicle identification number (ISO 3779), or empty.
	VIN string `json:"vin"`
	// VINVerdict: What the check digit says, where the market has one.
	VINVerdict VINVerdict `json:"vin_verdict"`
	// FrameNumber: Frame number of a machine without a VIN.
	FrameNumber string `json:"frame_number"`
	// Plate: Registration plate as read.
	Plate string `json:"plate"`
	// Make: Maker's name.
	Make string `json:"make"`
	// Model: Model name.
	Model string `json:"model"`
	// Year: Model year.
	Year *int64 `json:"year"`
	// Market: Where it was sold new: north_america, or anything else.
	Market string `json:"market"`
	// Colour: To find it in the yard.
	Colour string `json:"colour"`
	// LayoutID: Machine map to use.
	LayoutID LayoutID `gorm:"serializer:ref" json:"layout_id"`
	// Note: For the shop's eyes only.
	Note string `json:"note"`
}

// TableName names the table of Machine.
func (Machine) TableName() string { return "machines" }

// Key gives the row id as text.
func (n Machine) Key() string { return string(n.ID) }

// SetKey sets the row id.
func (n *Machine) SetKey(id string) { n.ID = MachineID(id) }

// OdometerReading: What the odometer said, and when.
type OdometerReading struct {
	Row
	ID OdometerReadingID `gorm:"primaryKey" json:"id"`
	// WorkOrderID is the visit it belongs to.
	WorkOrderID WorkOrderID `json:"work_order_id"`
	// MachineID: The machine.
	MachineID MachineID `json:"machine_id"`
	// Moment: in, out or back.
	Moment string `json:"moment"`
	// Reading: What it said.
	Reading Quantity `gorm:"embedded;embeddedPrefix:reading_" json:"reading"`
	// NotReadableBecause: Why there is none.
	NotReadableBecause string `json:"not_readable_because"`
	// ReadAt: When it was read.
	ReadAt time.Time `json:"read_at"`
}

// TableName names the table of OdometerReading.
func (OdometerReading) TableName() string { return "odometer_readings" }

// Key gives the row id as text.
func (n OdometerReading) Key() string { return string(n.ID) }

// SetKey sets the row id.
func (n *OdometerReading) SetKey(id string) { n.ID = OdometerReadingID(id) }

package shop

import "time"

// MaxTagBlock is the most codes of one block: what a roll or a stack of
// sheets printed in one go holds, and what one list can carry.
const MaxTagBlock = 500

// TagBlock: A run of tag codes given out before anything lies in the bags.
type TagBlock struct {
	Row
	ID TagBlockID `gorm:"primaryKey" json:"id"`
	// FirstNumber: Number of its first code; the others follow it.
	FirstNumber int64 `json:"first_number"`
	// Size: How many codes it has, 1 to MaxTagBlock.
	Size int64 `json:"size"`
	// Purpose: For a printed roll, a printed sheet or a tablet.
	Purpose TagPurpose `json:"purpose"`
	// TabletID: The tablet that gives these codes out, where it is for one.
	TabletID TabletID `gorm:"serializer:ref" json:"tablet_id"`
	// GivenBy: Who took it out.
	GivenBy StaffID `json:"given_by"`
	// GivenAt: When.
	GivenAt time.Time `json:"given_at"`
}

// TableName names the table of TagBlock.
func (TagBlock) TableName() string { return "tag_blocks" }

// Key gives the row id as text.
func (n TagBlock) Key() string { return string(n.ID) }

// SetKey sets the row id.
func (n *TagBlock) SetKey(id string) { n.ID = TagBlockID(id) }

// Holds reports whether a code is one of the block's.
func (n TagBlock) Holds(code TagCode) bool {
	number := int64(code.Number())
	return number >= n.FirstNumber && number < n.FirstNumber+n.Size
}

// Codes lists the block's codes in order. Fault: shop.tag_code_used_up where
// the block runs past the last code there is.
func (n TagBlock) Codes() ([]TagCode, error) {
	codes := make([]TagCode, 0, n.Size)
	for number := n.FirstNumber; number < n.FirstNumber+n.Size; number++ {
		code, err := NewTagCode(uint32(min(number, int64(TagCodes))))
		if err != nil {
			return nil, err
		}
		codes = append(codes, code)
	}
	return codes, nil
}

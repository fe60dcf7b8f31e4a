package app

import "benchtag/internal/shop"

// people names the human behind each account; see persons.
type people map[shop.StaffID]string

// peopleOf reads who is who in the shop.
func peopleOf(tx Tx) (people, error) {
	staff, err := every[shop.Staff](tx, By{})
	if err != nil {
		return nil, err
	}
	return persons(staff), nil
}

// accounts lists every account of the person behind one of them.
func (p people) accounts(account shop.StaffID) []string {
	out := []string{string(account)}
	for id, name := range p {
		if id != account && name == p[account] {
			out = append(out, string(id))
		}
	}
	return out
}

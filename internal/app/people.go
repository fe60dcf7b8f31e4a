package app

import "benchtag/internal/shop"

// people tells which accounts are one human's.
type people struct {
	root map[shop.StaffID]shop.StaffID // one account that stands for the person
}

// peopleOf reads who is who in the shop.
func peopleOf(tx Tx) (people, error) {
	staff, err := listWhole[shop.Staff](tx, By{})
	if err != nil {
		return people{}, err
	}
	p := people{root: make(map[shop.StaffID]shop.StaffID, len(staff))}
	for _, s := range staff {
		p.root[s.ID] = s.ID
	}
	for _, s := range staff {
		if s.SamePersonAsID != "" {
			p.join(s.ID, s.SamePersonAsID)
		}
	}
	return p, nil
}

// join makes two accounts one person's, whichever of them names the other.
func (p people) join(a, b shop.StaffID) {
	from, to := p.root[a], p.root[b]
	for id, root := range p.root {
		if root == from {
			p.root[id] = to
		}
	}
}

// of names the human behind an account; "" for none.
func (p people) of(account shop.StaffID) string {
	if root, ok := p.root[account]; ok {
		return string(root)
	}
	return string(account)
}

// accounts lists every account of the person behind one of them.
func (p people) accounts(account shop.StaffID) []string {
	out := []string{string(account)}
	for id := range p.root {
		if id != account && p.of(id) == p.of(account) {
			out = append(out, string(id))
		}
	}
	return out
}

package app

import (
	"archive/zip"
	"errors"
	"fmt"

	"benchtag/internal/fault"
	"benchtag/internal/shop"
)

// writeOffers writes each offer's bytes as they were shown: those that its
// hash, and the answer to it, name.
func (x *customerExport) writeOffers(archive *zip.Writer) error {
	return x.pages(ofOrders[shop.Offer]("work_order_id"), func(rows []Noun) error {
		for _, row := range rows {
			if o := row.(*shop.Offer); SumOf(o.Document) == o.SHA256 { // an emptied one is none
				if err := x.put(archive, "offers/"+string(o.ID)+".json", zip.Deflate, o.Document); err != nil {
					return err
				}
			}
		}
		return nil
	})
}

// writeBills writes each bill's bytes as they were issued.
func (x *customerExport) writeBills(archive *zip.Writer) error {
	return x.pages(ofOrders[shop.Bill]("work_order_id"), func(rows []Noun) error {
		for _, row := range rows {
			if b := row.(*shop.Bill); SumOf(b.Document) == b.SHA256 {
				if err := x.put(archive, fmt.Sprintf("bills/%d.json", b.Number), zip.Deflate, b.Document); err != nil {
					return err
				}
			}
		}
		return nil
	})
}

// writeAnswers writes what is on record of each answer, as the journal
// commits to it, and its receipt where there is one.
func (x *customerExport) writeAnswers(archive *zip.Writer) error {
	return x.pages(ofOrders[shop.Consent]("work_order_id"), func(rows []Noun) error {
		for _, row := range rows {
			if err := x.writeAnswer(archive, *row.(*shop.Consent)); err != nil {
				return err
			}
		}
		return nil
	})
}

func (x *customerExport) writeAnswer(archive *zip.Writer, given shop.Consent) error {
	folder := "answers/" + string(given.ID) + "/"
	var records []Evidence
	var receipt ReceiptFile
	err := x.app.Store.Read(x.ctx, x.shop.ID, func(tx Tx) (err error) {
		records = nil
		for version := int64(1); version <= given.Version; version++ {
			e, err := tx.EvidenceOf(given.ID, version)
			if fault.Is(err, fault.NotFound) {
				continue // not every version of the row is an answer
			}
			if err != nil {
				return err
			}
			records = append(records, e)
		}
		receipt, err = x.app.receipt(tx, given)
		if noReceipt(err) {
			err = nil
		}
		return err
	})
	if err != nil {
		return err
	}
	for _, e := range records {
		if err := x.put(archive, fmt.Sprintf("%srecord-%d.json", folder, e.Version), zip.Deflate, e.Record); err != nil {
			return err
		}
	}
	if receipt.Text == nil {
		return nil
	}
	return x.put(archive, folder+receipt.Name, zip.Deflate, receipt.Text)
}

// writePhotos writes the stored pictures. In the place of one that is missing
// or damaged stands a line that says so, as one lost picture must not keep
// everything else from whose it is.
func (x *customerExport) writePhotos(archive *zip.Writer) error {
	return x.pages(ofOrders[shop.Photo]("work_order_id"), func(rows []Noun) error {
		for _, row := range rows {
			if err := x.writePhoto(archive, row.(*shop.Photo)); err != nil {
				return err
			}
		}
		return nil
	})
}

func (x *customerExport) writePhoto(archive *zip.Writer, p *shop.Photo) error {
	sum := PhotoHashes(*p)[PhotoFull]
	if sum == "" {
		return nil
	}
	name := "photos/" + string(p.ID)
	content, err := x.app.readPhoto(x.ctx, PhotoKey(x.shop.ID, p.ID, sum), sum)
	switch {
	case noPicture(err):
		return x.put(archive, name+"-missing.txt", zip.Deflate, []byte("The stored picture is missing or damaged.\n"))
	case err != nil:
		return err
	case p.MediaType == "image/png":
		name += ".png"
	default:
		name += ".jpg"
	}
	return x.put(archive, name, zip.Store, content) // packed already
}

// noPicture reports that there is no picture to give, for good or as the
// server is set up; one that cannot be read just now is another trouble.
func noPicture(err error) bool {
	var f *fault.Error
	return errors.As(err, &f) && (f.Code == CodePhotoDamaged || f.Code == codePhotosOff)
}

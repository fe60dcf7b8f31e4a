package main

import (
	"context"
	"fmt"
	"os"
	"strings"
	"time"

	"benchtag/internal/app"
	"benchtag/internal/auth/keyfile"
	"benchtag/internal/photo"
	"benchtag/internal/shop"
)

// photoStore says where photos are kept: in the data folder, unless an S3
// store is named. Its secrets are no flags, which other users of a machine
// could read.
type photoStore struct {
	s3Store
	PhotosGiB int64 `help:"The most that photos of one shop may take, in GiB; one person may send half of it." env:"BENCHTAG_PHOTOS_GIB" default:"200"`
}

// s3Store names the S3 store of photos, if there is one.
type s3Store struct {
	PhotosS3Endpoint  string `help:"Address of an S3-compatible store for photos, instead of the data folder." env:"BENCHTAG_PHOTOS_S3_ENDPOINT" placeholder:"https://…"`
	PhotosS3Bucket    string `help:"Its bucket: private, without versions." env:"BENCHTAG_PHOTOS_S3_BUCKET" default:"benchtag-photos"`
	PhotosS3Region    string `help:"Its region." env:"BENCHTAG_PHOTOS_S3_REGION" default:"us-east-1"`
	PhotosS3PathStyle bool   `help:"Put the bucket into the path, as most stores of one's own want it." env:"BENCHTAG_PHOTOS_S3_PATH_STYLE"`
	PhotosS3Keys      string `help:"File, readable by its owner alone, with the access key on its first line and the secret key on its second. Or set BENCHTAG_PHOTOS_S3_ACCESS_KEY and BENCHTAG_PHOTOS_S3_SECRET_KEY." env:"BENCHTAG_PHOTOS_S3_KEYS" type:"path" placeholder:"FILE"`
}

// apply gives a server the store that is named, and its bounds.
func (p photoStore) apply(ctx context.Context, b *built) error {
	if p.PhotosGiB < 1 || p.PhotosGiB > 1<<20 {
		return fmt.Errorf("--photos-gib %d is no bound: give 1 or more", p.PhotosGiB)
	}
	b.app.PhotoQuota = app.PhotoQuota{ShopBytes: p.PhotosGiB << 30, PersonBytes: p.PhotosGiB << 29}
	if p.PhotosS3Endpoint == "" {
		return nil
	}
	s, err := p.openS3(ctx)
	if err != nil {
		return err
	}
	b.app.Blobs = s
	return nil
}

// openS3 reaches the store that is named.
func (p s3Store) openS3(ctx context.Context) (*photo.S3, error) {
	access, secret, err := p.keys()
	if err != nil {
		return nil, err
	}
	return photo.OpenS3(ctx, photo.S3Settings{Endpoint: p.PhotosS3Endpoint, Bucket: p.PhotosS3Bucket, Region: p.PhotosS3Region,
		AccessKey: access, SecretKey: secret, PathStyle: p.PhotosS3PathStyle})
}

// keys reads the keys from the file, or from the environment.
func (p s3Store) keys() (access, secret string, err error) {
	if p.PhotosS3Keys == "" {
		return os.Getenv("BENCHTAG_PHOTOS_S3_ACCESS_KEY"), os.Getenv("BENCHTAG_PHOTOS_S3_SECRET_KEY"), nil
	}
	text, err := keyfile.Read(p.PhotosS3Keys, maxSecretFile, "")
	if err != nil {
		return "", "", fmt.Errorf("read the keys of the S3 store: %w", err)
	}
	lines := strings.Fields(string(text))
	if len(lines) != 2 {
		return "", "", fmt.Errorf("the file %s holds no two keys: write the access key on its first line and the secret key on its second", p.PhotosS3Keys)
	}
	return lines[0], lines[1], nil
}

// keepPhotos gives the server a folder to keep photos in.
func (b *built) keepPhotos(folder string) error {
	blobs, err := photo.OpenFolder(folder)
	if err != nil {
		return err
	}
	b.app.Blobs, b.app.Pictures = blobs, photo.NewBaker()
	return nil
}

// How often what nobody speaks of is swept up, and how often every stored
// picture is read again.
const (
	sweepEvery = 6 * time.Hour
	scrubEvery = 24 * time.Hour
)

// photoTasks keep the stored pictures whole and no more than there are photos.
func (b *built) photoTasks() []task {
	return []task{
		{name: "sweep photos", every: sweepEvery, do: forEachShop(b.app.Store, b.log, func(ctx context.Context, id shop.ShopID) error {
			_, err := b.app.SweepPhotos(ctx, id)
			return err
		})},
		{name: "scrub photos", every: scrubEvery, do: forEachShop(b.app.Store, b.log, b.app.ScrubPhotos)},
	}
}

package photo

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"net/http"
	"net/url"
	"path"
	"time"

	"github.com/minio/minio-go/v7"
	"github.com/minio/minio-go/v7/pkg/credentials"

	"benchtag/internal/app"
)

// S3Settings say where a store with the S3 interface is. The bucket has to be
// there, open to nobody else, and with versions and expiry switched off, so
// that what is erased is gone.
type S3Settings struct {
	// Endpoint is its address: https://host, or http:// in a network of one's own.
	Endpoint  string
	Bucket    string
	Region    string // empty for a store that has none
	AccessKey string
	SecretKey string
	// PathStyle puts the bucket into the path instead of the host's name.
	PathStyle bool
}

// S3 keeps photos in a store with the S3 interface.
type S3 struct {
	client *minio.Client
	bucket string
}

var _ app.Blobs = (*S3)(nil)

// s3Timeout bounds one operation on one picture.
const s3Timeout = 60 * time.Second

// OpenS3 makes a client and asks for the bucket, so that wrong settings are
// said at the start.
func OpenS3(ctx context.Context, s S3Settings) (*S3, error) {
	u, err := url.Parse(s.Endpoint)
	if err != nil || u.Host == "" || (u.Scheme != "http" && u.Scheme != "https") || (u.Path != "" && u.Path != "/") || u.User != nil || u.RawQuery != "" {
		return nil, fmt.Errorf("photo: %q is no address of an S3 store: give scheme and host, as in https://s3.example", s.Endpoint)
	}
	if s.AccessKey == "" || s.SecretKey == "" {
		return nil, errors.New("photo: the S3 store needs an access key and a secret key")
	}
	lookup := minio.BucketLookupDNS
	if s.PathStyle {
		lookup = minio.BucketLookupPath
	}
	client, err := minio.New(u.Host, &minio.Options{Creds: credentials.NewStaticV4(s.AccessKey, s.SecretKey, ""),
		Secure: u.Scheme == "https", Region: s.Region, BucketLookup: lookup, MaxRetries: 3})
	if err != nil {
		return nil, fmt.Errorf("photo: S3: %w", err)
	}
	asking, cancel := context.WithTimeout(ctx, s3Timeout)
	defer cancel()
	there, err := client.BucketExists(asking, s.Bucket)
	switch {
	case err != nil:
		return nil, fmt.Errorf("photo: ask the S3 store for its bucket: %w", err)
	case !there:
		return nil, fmt.Errorf("photo: the S3 store has no bucket %q; make it first", s.Bucket)
	}
	return &S3{client: client, bucket: s.Bucket}, nil
}

// Put sends the whole in one request, which the store takes whole or not at
// all, with a sum over it that the store compares.
func (s *S3) Put(ctx context.Context, key string, content []byte) error {
	if err := checkKey(key); err != nil {
		return err
	}
	ctx, cancel := context.WithTimeout(ctx, s3Timeout)
	defer cancel()
	got, err := s.client.PutObject(ctx, s.bucket, key, bytes.NewReader(content), int64(len(content)),
		minio.PutObjectOptions{ContentType: "application/octet-stream", DisableMultipart: true, SendContentMd5: true})
	if err != nil {
		return fmt.Errorf("photo: S3: put: %w", err)
	}
	if got.Size != int64(len(content)) {
		return fmt.Errorf("photo: S3: %d bytes of %d arrived", got.Size, len(content))
	}
	return nil
}

// Open asks for an object, and gives it once the store has begun to answer.
func (s *S3) Open(ctx context.Context, key string) (io.ReadCloser, error) {
	if err := checkKey(key); err != nil {
		return nil, err
	}
	object, err := s.client.GetObject(ctx, s.bucket, key, minio.GetObjectOptions{})
	if err != nil {
		return nil, fmt.Errorf("photo: S3: get: %w", err)
	}
	if _, err := object.Stat(); err != nil {
		_ = object.Close()
		if absent(err) {
			return nil, notThere(err)
		}
		return nil, fmt.Errorf("photo: S3: get: %w", err)
	}
	return object, nil
}

func absent(err error) bool {
	answer := minio.ToErrorResponse(err)
	return answer.Code == "NoSuchKey" || (answer.StatusCode == http.StatusNotFound && answer.Code != "NoSuchBucket")
}

// Delete removes an object.
func (s *S3) Delete(ctx context.Context, key string) error {
	if err := checkKey(key); err != nil {
		return err
	}
	ctx, cancel := context.WithTimeout(ctx, s3Timeout)
	defer cancel()
	err := s.client.RemoveObject(ctx, s.bucket, key, minio.RemoveObjectOptions{})
	if err != nil && !absent(err) {
		return fmt.Errorf("photo: S3: remove: %w", err)
	}
	return nil
}

// List asks for the objects page by page.
func (s *S3) List(ctx context.Context, prefix string, each func(app.Blob) error) error {
	ctx, cancel := context.WithCancel(ctx)
	defer cancel() // ends the listing where each gives an error
	for o := range s.client.ListObjects(ctx, s.bucket, minio.ListObjectsOptions{Prefix: path.Clean(prefix) + "/", Recursive: true}) {
		if o.Err != nil {
			return fmt.Errorf("photo: S3: list: %w", o.Err)
		}
		if checkKey(o.Key) != nil {
			continue
		}
		if err := each(app.Blob{Key: o.Key, Size: o.Size, Modified: o.LastModified}); err != nil {
			return err
		}
	}
	return ctx.Err()
}

// Room does not know: a store of this kind says no end.
func (s *S3) Room(context.Context) (app.Room, error) { return app.Room{}, nil }

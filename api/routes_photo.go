package api

import (
	"slices"

	"benchtag/internal/app"
	"benchtag/internal/shop"
)

// photoRoutes are the photos of a job: records like others, and their
// pictures, which travel as they are.
func (s *Server) photoRoutes() []route {
	const one = "/v1/jobs/{job_id}/photos/{id}"
	return slices.Concat(
		routesOf(record[shop.Photo, PhotoIn, PhotoView]{path: "photos", one: "Photo", all: "Photos",
			put: (*app.App).PutPhoto, strike: (*app.App).StrikePhoto, onto: PhotoIn.onto, view: photoView}),
		[]route{
			put(one+"/content", "putPhotoContent", anyStaff, putPhotoContent).bytes(),
			get(one+"/content", "getPhotoContent", anyStaff, getPhotoContent).bytes(),
			get(one+"/thumbnail", "getPhotoThumbnail", anyStaff, getPhotoThumbnail).bytes(),
		},
	)
}

// Package photo looks at pictures before it decodes them, bakes the copies
// that are kept, draws marks for paper, and keeps bytes in a folder or in an
// S3-compatible store.
//
// Nobody is believed here: a picture is what its bytes are, its header is
// bounded before anything is decoded, and what is kept is made anew from the
// pixels, so that no byte of what was sent is ever served. Which photo is
// wanted, and who may see it, is decided in app.
package photo

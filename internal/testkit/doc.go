// Package testkit holds what tests of several packages share: databases,
// golden files, vector files and a clock that stands still.
//
// Only tests import it; the layers test sees to that. It knows nothing of
// the project's own packages, so any of them may use it in its tests.
package testkit

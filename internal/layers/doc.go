// Package layers holds no code for the program: its tests keep the import
// rule, the ban on a few traps, and a mirror of how long the code's functions
// and files are.
//
// The rule is a table in rules_test.go: what each package may import, and
// why. What is not in the table is not allowed, and a package that is not in
// it fails, so that no place for odds and ends can grow.
package layers

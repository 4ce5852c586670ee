// Package circuit is the electrical model of safety-hold circuits and their
// single-fault table.
package circuit

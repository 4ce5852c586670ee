package circuit

// plain is the drive path of tests that are about the contacts: one part, which the board
// opens.
func plain() Path {
	return Path{Parts: []Part{{Name: "driver", Kind: Semiconductor, Enable: true, PulledOff: true}}}
}

// withPole is the plain path with a contact of the given circuits in the motors' current.
func withPole(holds ...int) Path {
	p := plain()
	p.Parts = append(p.Parts, Part{Name: "pole", Kind: Pole, Holds: holds})
	return p
}

// faultKinds lists every kind, the healthy circuit first.
func faultKinds() []FaultKind {
	var kinds []FaultKind
	for k := NoFault; k <= lastFault; k++ {
		kinds = append(kinds, k)
	}
	return kinds
}

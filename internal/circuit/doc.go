// Package circuit is the electrical model of safety-hold circuits and their
// single-fault table: what the board reads for every broken wire, short, stuck
// contact, lost pull, dead input and bridged pair of pins, and whether the
// drive still stops when it must.
//
// # In two minutes
//
// A safety hold is a switch that must be in its run state for the drive to be
// powered. Its contact joins a pin of the board to ground or supply; while the
// contact is open a pull resistor draws the pin the other way:
//
//	            3.3 V
//	              │
//	             [ ] pull                      thumb switch, normally open
//	              │
//	board input ──┴──── signal wire ─────o/ o───── return wire ───── ground
//
// Pressed, the pin is low; released, it is high. So low is run. Break either
// wire and the pin is high for good: the drive stops, which is safe. Short the
// signal wire to ground and the pin is low for good: the drive runs though
// nobody presses, which is not. The table says this of every fault, for every
// wiring, and it is not a list of remembered cases:
//
//  1. Each circuit is a network of resistors (model.go): pull, wires, contact
//     closed or open with its leak, return. A fault removes one of them, adds
//     one, or replaces one.
//  2. The network is solved for each state of the switches (network.go). The
//     figures are ranges (a pull between 20 and 150 kΩ, a resistor within 5 %, a
//     leaking input), so each pin gets a least and a greatest voltage.
//  3. Thresholds make a level of it: low, high, or undefined, which is a pin
//     that floats or lies in between, and counts as whichever is worse.
//  4. The level that means run is not given, it is what the sound circuit reads
//     while run is asked for.
//  5. The board's rule (analyse.go): the drive is enabled only while every
//     channel of every circuit reads run. Two channels of one circuit that
//     disagree stop it at once, and latch after the discrepancy time.
//  6. The states together give the outcome.
//
// Use it so:
//
//	table, err := circuit.Analyse(circuit.DefaultBoard(), []circuit.Circuit{{
//		Name: "thumb switch",
//		Kind: board.HoldToRun,
//		Channels: []circuit.Channel{{
//			Pin: 22, Contact: circuit.NormallyOpen, WiredTo: circuit.Ground, Pull: circuit.PullUp,
//		}},
//	}}, circuit.Path{Parts: []circuit.Part{{
//		Name: "motor driver", Kind: circuit.Semiconductor, Enable: true, PulledOff: true,
//	}}})
//	// table.Wirings[0].RunLevels[0] == circuit.Low
//	// table.Rows: one per fault, with Outcome, Found, Sentence
//	// table.Tests: the written test
//	// table.Text(os.Stdout)
//
// # Who asks for what
//
// A hold-to-run asks for run while actuated (pressed). An emergency stop and an
// interlock ask for stop while actuated: button pressed; guard opened, bumper
// touched. Normally open and normally closed name the contact when not
// actuated. Hence the sound choices: normally open for a hold-to-run, normally
// closed for the others, so that to stop is always to open a contact.
//
// # What the drive does, best to worst
//
//   - StopsDrive: the fault itself stops the drive, or the channels differ at once.
//   - StopsOnDemand: stopping still works.
//   - ShortCircuit: in some state the supply is shorted through the contact. A
//     fuse may blow, the board may brown out, a wire may glow; in that state
//     every reading counts as undefined. Not credited, even though the board
//     may well stop.
//   - LeavesRunning: stop is asked for and the drive may keep running. Worse
//     than ShortCircuit: a state that both shorts the supply and asks for stop
//     is LeavesRunning, unless every state shorts, when a supply that gives way
//     shows it as soon as it arises, and one that holds reads stop.
//   - Indistinct: run and stop look alike even without a fault.
//
// The first two are credited. When the fault is found is another question (Found): at
// once, at the next demand, by the board's start-up test, by a step of the written test,
// with a meter, never. Only what is certain at every value of every tolerance counts.
//
// # Behind the pins
//
// The drive path (path.go) is the parts in series between the battery and the motors.
// Each opens when the board's output drive_enable is low, when the watchdog acts, or by a
// pole of a hold's own device: a contact in the motors' current or in that of a coil. A
// pole opens whenever its device is asked to stop, whatever the board reads, unless it is
// stuck itself or the actuator is jammed. A signal contact that welds does not hold it: that
// the weld blocks the device is the row of the jammed actuator, which holds everything that
// it moves. Faults of the path are judged against each hold in turn, and against the board's
// own reasons to stop, which are told apart (Row.OwnStopLost).
//
// The written test (procedure.go) is made of the same parts: a step is a change made on
// purpose, and finds a fault if it certainly comes out otherwise with it than without.
//
// Rows about several circuits (a bridge between them, a shared return) are
// evaluated in every combination of their demands. A state in which stop is
// asked for counts as safe only if a circuit that is asked to stop is read as
// stop. That the other one, asked to run, happens to be misread as stop is not
// counted on; the next paragraph says why.
//
// A fault that feeds a current into a return lifts it for every circuit that shares it. One
// that opens to stop reads stop the sooner; one that closes to stop may no longer be read,
// and the row is about it as well.
//
// A supply that is shorted may be gone, and then nothing is known; or it is stronger than
// Board.SupplyLimitMA, and holds (State.IfHeld). The worse of the two is the outcome, and
// the later of the two is when the fault is found.
//
// A pin that is bridged to the output that enables the drive is judged by what it does
// to the drive as well as by what it reads: a closed contact to the supply, of a few ohms,
// wins against the output, of some fifty, and holds the drive on whatever the board says;
// one to ground draws the output down while the board holds it high, and the drive has no
// power, or not certainly. That is no stop to count on, since a bridge may be poor.
// Such a row has states in which the board holds the output low, for another hold or a
// reason of its own (the fence, the end of the route); the drive is stopped in them only
// while that wire is certainly below Board.DriveOffBelowMV. A resistor in the wire from
// the contact to the supply cures it.
//
// The current of the supply is that of the whole mission: that of the row's circuits
// under the fault, and of every other in the position in which it draws the most.
//
// Shorts of a signal wire to a return wire, and of two return wires, have rows of their
// own only where a resistor at the board's end makes them different from a short to the
// rail.
//
// # Remedies
//
// Advise (remedy.go) looks for edits of the mission after which no fault is left that
// wiring can cure: it tries, one after another, what may be altered about the worst fault
// that is left (remedy_moves.go), rates each wiring by the same model (remedy_rating.go),
// and at last takes back every edit that is not needed. What it prints (remedy_words.go) is
// made from the difference of the two wirings, so that nothing is assumed in silence; the
// tests read it as a person would, apply it and ask the model again.
//
// # Why hard faults are enough
//
// Real faults are often soft: a corroded joint, a damp connector. They need no
// rows. A node voltage of a resistor network is a ratio (a + b·g)/(c + d·g) in
// any one conductance g, and such a ratio only rises or only falls over g ≥ 0.
// So with a soft fault every bound of every pin lies between its value without
// the fault and its value with the hard one. A channel that certainly reads
// stop in both certainly reads stop in between; and without a fault, every
// channel of a circuit that is asked to stop reads stop. This is what crediting
// rests on, and why only circuits that are asked to stop count: one that is
// asked to run reads run without the fault, and passes through undefined on its
// way to stop. The tests check it at random resistances.
//
// The same property makes the corners of the ranges the extremes of the
// voltage, so the bounds are bounds (model.go says where the direction is not
// known beforehand and both ends are tried).
//
// # What is not in it
//
// Two faults at once, but for the common causes of two channels; faults of the software
// but for a program that halts; the supply; mechanics but for a jammed actuator; parts that
// open slowly or half; capacitors and interference; contacts wired
// to another voltage than the board's own supply. How likely a fault is does
// not enter, except that a remedy never trades a broken wire for a short. Terms
// follow ISO 12100, ISO 13849-1 (fault exclusion, demand), ISO 13850 and
// IEC 60204-1, from memory. The table is no assessment of and
// no claim of conformity with any of them, and says so wherever it is printed.
package circuit

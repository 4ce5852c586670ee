package circuit

// This file says how faults are commonly excluded by construction, or found before they
// matter: what is done where no wiring cures them.

import "merestone/internal/board"

// exclude says how a fault is commonly excluded by construction, or found
// before it matters. Fault exclusion as in ISO 13849-1 and -2, from memory.
func exclude(circuits []Circuit, f Fault) string {
	switch f.Kind {
	case SignalToGround, SignalToSupply:
		return "exclude it by construction: this wire in a sheath of its own, fixed and protected"
	case SignalOpen, ReturnOpen:
		return "make it unlikely: strain relief, locked connectors, no moving cable"
	case SignalToReturn, ReturnsBridged:
		return "exclude it by construction: each circuit's two wires in a sheath of their own, fixed and protected"
	case SeriesShorted:
		return "use a film resistor, of which a short may be excluded (ISO 13849-2, from memory)"
	case ReturnShorted, PullShorted:
		return "fuse or current-limit what feeds it"
	case ContactStuckClosed:
		p := f.Places[0]
		if c := circuits[p.Circuit]; c.Kind != board.HoldToRun && c.Channels[p.Channel].Contact == NormallyClosed {
			return "use a contact with direct opening action (IEC 60947-5-1, from memory), for which welding may be excluded"
		}
		return "two contacts and the board's start-up test find it"
	case PullOpen:
		return "fit an external pull beside the internal one"
	case ActuatorJammed:
		if circuits[f.Places[0].Circuit].Kind == board.HoldToRun {
			return "a device that springs back and is tried before each drive; for a hand that clenches, a three-position enabling device (IEC 60947-5-8, from memory)"
		}
		return "a device with direct opening action (IEC 60947-5-1, from memory) that is tried before each drive; a jam holds its pole as well"
	case CableToGround, CableToSupply, CableToReturns, CableCut, ConnectorOff:
		return "give each channel a cable and a connector of its own"
	case FeedsLost:
		return "feed the channels from separate places"
	case ProcessorHalted:
		return "let a watchdog outside of the processor open a part of the drive path"
	case EnableHeldHigh, PartStuckOn, PoleStuckClosed:
		return "put a second part in series, opened by something else"
	case EnableOpen, BranchOpen:
		return "fit a resistor that holds the part off, at its input"
	case WatchdogDead:
		return "try it as the written test says"
	case PinsBridged, BridgedToOutput:
		return "keep the two apart, on the board and in every connector"
	default:
		return "a second channel on another port; the start-up test finds an input that does not move"
	}
}

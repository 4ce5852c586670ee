package circuit

import "errors"

// Analyse applies every single fault to the circuits, one at a time, and
// returns the table of what the board then reads and does. The error, if any,
// joins one *InputError for each thing wrong with the input; nothing else
// fails.
func Analyse(b Board, circuits []Circuit) (Table, error) {
	if err := validate(b, circuits); err != nil {
		return Table{}, err
	}
	_ = faults
	return Table{}, errors.New("circuit: the model is not written yet")
}

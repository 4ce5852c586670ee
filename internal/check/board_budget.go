// Rule board.budget: tables and step keep within what the board has for them.
package check

import (
	"fmt"

	"merestone/internal/diag"
	"merestone/internal/quantity"
	"merestone/internal/words"
)

// budgetRule compares what the mission says that the board has with what the tables
// take of the flash, and a step of the processor at most, see guidance.Mission.Flash
// and Instructions. Without the keys nothing is compared: the report and the header
// show both.
func budgetRule() Rule {
	return newRule("board.budget", diag.Error, "tables and step keep within what the board has for them", func(v *view, report func(diag.Finding)) {
		if !v.Complete() || len(v.Board.Tables.Fence.Nodes) == 0 {
			return
		}
		tables, allowed := &v.Board.Tables, v.Board.Allowed
		about := diag.The(diag.Board, "")
		if flash := tables.Flash(); allowed.FlashBytes > 0 && !v.keeps(limit{diag.Error, "board.flash", words.Kilobyte}, about, float64(allowed.FlashBytes), float64(flash.Total())) {
			fence := flash.Fence + flash.Search
			f := at(allowed.Flash, "the tables take %v of flash, and board.flash is %v: legs %v, fence %v, the rest %v", size(flash.Total()), quantity.Size(allowed.FlashBytes),
				size(flash.Legs), size(fence), size(flash.Total()-flash.Legs-fence))
			f.About = []diag.Subject{diag.The(diag.Key, "board.flash")}
			f.Want(size(flash.Total()).String(), "board.flash")
			f.Remedy = fmt.Sprintf("write %v or more, if the board has it; or leave out waypoints on one line, and %s", size(flash.Total()), simplerFence)
			f.Numbers = []diag.Number{{Name: "tables", Value: float64(flash.Total()), Unit: "B"}, {Name: "allowed", Value: float64(allowed.FlashBytes), Unit: "B"}}
			report(f)
		}
		if allowed.Instructions == 0 {
			return
		}
		if most := tables.Instructions(); !v.keeps(limit{diag.Error, "board.instructions", words.Plain}, about, float64(allowed.Instructions), float64(most.Step)) {
			f := at(allowed.Step, "a step may take %d instructions, and board.instructions is %d: %d of them for the margin from the fence, in its most intricate place", most.Step, allowed.Instructions, most.Margin)
			f.About = []diag.Subject{diag.The(diag.Key, "board.instructions")}
			f.Want(fmt.Sprint(most.Step), "board.instructions")
			f.Remedy = fmt.Sprintf("write %d or more, if the board has the time in a turn of its loop; or %s", most.Step, simplerFence)
			f.Numbers = []diag.Number{{Name: "step", Value: float64(most.Step), Unit: ""}, {Name: "allowed", Value: float64(allowed.Instructions), Unit: ""}}
			report(f)
		}
	})
}

const simplerFence = "leave out marks that bend the fence by less than their uncertainty"

func size(bytes int) quantity.Size { return quantity.Size(bytes) }

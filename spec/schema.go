// The JSON Schema (draft 2020-12) of the mission language, for editors that
// complete and check YAML while it is written. It is made from the tables of
// keys in language.go. It sees less than Parse: not whether marks exist, names
// collide or values fit each other.
package spec

import (
	"encoding/json"
	"fmt"
	"regexp"
	"slices"
	"strings"

	"merestone/internal/quantity"
)

// Schema is the JSON Schema of a mission file, indented, the same bytes every
// time.
func Schema() ([]byte, error) {
	schema := blockSchema(missionKeys(&Mission{}))
	schema["$schema"] = "https://json-schema.org/draft/2020-12/schema"
	schema["title"] = "mission"
	schema["description"] = "A mission of a small ground rover."
	text, err := json.MarshalIndent(schema, "", "  ")
	if err != nil {
		return nil, fmt.Errorf("writing the schema: %w", err)
	}
	return append(text, '\n'), nil
}

// fixedSchema makes a schema of keywords and their values in turn.
func fixedSchema(keywords ...any) func() map[string]any {
	return func() map[string]any {
		schema := map[string]any{}
		for i := 0; i < len(keywords); i += 2 {
			schema[keywords[i].(string)] = keywords[i+1]
		}
		return schema
	}
}

func blockSchema(keys []key) map[string]any {
	properties := map[string]any{}
	required := []string{}
	for _, k := range keys {
		schema := k.value.schema()
		schema["description"] = described(k)
		properties[k.name] = schema
		if k.required {
			required = append(required, k.name)
		}
	}
	return map[string]any{"type": "object", "properties": properties, "required": required, "additionalProperties": false}
}

// described is what an editor shows of a key, in Markdown as in plain text.
func described(k key) string {
	text := k.meaning + " (" + k.value.words + ")"
	if !k.required {
		text += ". If not written: " + k.usual
	}
	if k.how != "" {
		text += ". To find it: " + k.how
	}
	return text + "."
}

// integerSchema wants a whole number. It has no type of its own, since an editor that
// completes a key of numbers would write a number there that nobody chose: pin 0.
func integerSchema(low, high int) map[string]any {
	return anyOf(map[string]any{"type": "integer", "minimum": low, "maximum": high})
}

// quantitySchema wants a number and a unit. The pattern has no look-ahead, so it
// lets through a zero where only more than zero is good.
func quantitySchema(dimension quantity.Dimension, unsigned bool) map[string]any {
	sign := "[+-]?"
	if unsigned {
		sign = "[+]?"
	}
	units := dimension.Units()
	for i, unit := range units {
		units[i] = regexp.QuoteMeta(unit)
	}
	pattern := `^ *` + sign + `([0-9]+\.?[0-9]*|\.[0-9]+) *(` + strings.Join(units, "|") + `) *$`
	return map[string]any{"type": "string", "pattern": pattern}
}

// accuracySchema is that of a quantity, or of one with a probability behind it.
func accuracySchema(plain map[string]any, twoAxes bool) map[string]any {
	pattern := strings.TrimSuffix(plain["pattern"].(string), " *$")
	manner := `,? *(radial|per axis) *`
	if !twoAxes {
		manner = `(,? *per axis)? *`
	}
	return map[string]any{"type": "string", "pattern": pattern + ` *(\( *[0-9]{1,2}(\.[0-9]{1,4})? ?% *` + manner + `\))? *$`}
}

func coordinateSchema(limit int, hemispheres string) map[string]any {
	decimal := `[+-]?[0-9]+(\.[0-9]+)?`
	marked := `[0-9]+(\.[0-9]+)?°([0-9]+(\.[0-9]+)?['′]([0-9]+(\.[0-9]+)?["″])?)?[` + hemispheres + `]`
	return anyOf(
		map[string]any{"type": "number", "minimum": -limit, "maximum": limit},
		map[string]any{"type": "string", "pattern": "^(" + decimal + "|" + marked + ")$"},
	)
}

const namePattern = "^[A-Za-z0-9][A-Za-z0-9 _-]*$"

func nameSchema(longest int) map[string]any {
	return map[string]any{"type": "string", "pattern": namePattern, "maxLength": longest}
}

// refSchema is the name of a mark; one made of digits alone is a number to YAML.
func refSchema() map[string]any {
	return anyOf(nameSchema(maxName), map[string]any{"type": "integer"})
}

// marksSchema wants the keys of some form of each mark; that there are none of another,
// formCheck sees.
func marksSchema(keys []key) map[string]any {
	mark := blockSchema(keys)
	var forms []map[string]any
	for _, f := range measurementForms() {
		forms = append(forms, map[string]any{"required": slices.Concat(f.signs, f.needs)})
	}
	mark["anyOf"] = forms
	return map[string]any{
		"type":                 []string{"object", "null"},
		"patternProperties":    map[string]any{namePattern: mark},
		"additionalProperties": false,
	}
}

func listSchema(item map[string]any, least, most int) map[string]any {
	if least > 0 {
		return map[string]any{"type": "array", "items": item, "minItems": least, "maxItems": most}
	}
	return map[string]any{"type": []string{"array", "null"}, "items": item, "maxItems": most}
}

func anyOf(schemas ...map[string]any) map[string]any { return map[string]any{"anyOf": schemas} }

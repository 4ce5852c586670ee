// What was taken, as lines of a mission: marks with all the decimals that the file has, and
// the lists of their names.
package interchange

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"merestone/internal/geodesy"
	"merestone/internal/quantity"
	"merestone/internal/yaml"
)

func list(names []string) string {
	out := make([]string, len(names))
	for i, name := range names {
		out[i] = yaml.Write(name)
	}
	return "[" + strings.Join(out, ", ") + "]"
}

// Key is a key of a mark with its value.
type Key struct{ Name, Text string }

// Keys are what a mark says. Uncertainty is that of marks without their own, nil for none.
func (m Mark) Keys(uncertainty *quantity.Length) []Key {
	keys := []Key{{"latitude", m.Latitude.Written("NS")}, {"longitude", m.Longitude.Written("EW")}}
	if m.Height != nil {
		keys = append(keys, Key{"height", m.Height.String()})
	}
	if m.Uncertainty != nil {
		uncertainty = m.Uncertainty
	}
	if uncertainty != nil {
		keys = append(keys, Key{"uncertainty", uncertainty.String()})
	}
	return keys
}

// YAML writes what was taken as blocks of a mission.
func (t Taken) YAML(uncertainty *quantity.Length) string {
	var out strings.Builder
	if len(t.Marks) > 0 {
		out.WriteString("marks:\n")
	}
	for _, m := range t.Marks {
		var keys []string
		for _, k := range m.Keys(uncertainty) {
			keys = append(keys, k.Name+": "+k.Text)
		}
		fmt.Fprintf(&out, "  %s: {%s}\n", yaml.Write(m.Name), strings.Join(keys, ", "))
	}
	if len(t.Route) > 0 {
		out.WriteString("route:\n")
		if t.Closed {
			out.WriteString("  closed: true\n")
		}
		fmt.Fprintf(&out, "  waypoints: %s\n", list(t.Route))
	}
	if len(t.Boundary)+len(t.Obstacles) > 0 {
		out.WriteString("geofence:\n")
	}
	if len(t.Boundary) > 0 {
		fmt.Fprintf(&out, "  boundary: %s\n", list(t.Boundary))
	}
	if len(t.Obstacles) > 0 {
		out.WriteString("  obstacles:\n")
	}
	for _, o := range t.Obstacles {
		if o.Centre != "" {
			fmt.Fprintf(&out, "    - {name: %s, centre: %s, radius: %s}\n", yaml.Write(o.Name), yaml.Write(o.Centre), o.Radius)
			continue
		}
		fmt.Fprintf(&out, "    - {name: %s, ring: %s}\n", yaml.Write(o.Name), list(o.Ring))
	}
	return out.String()
}

// Extent says between which coordinates the marks lie, for a person to see whether that is
// the site.
func (t Taken) Extent() string {
	var lat, lon []geodesy.Nanodegree
	for _, m := range t.Marks {
		lat, lon = append(lat, m.Latitude.Value), append(lon, m.Longitude.Value)
	}
	if len(lat) == 0 {
		return "no marks"
	}
	if geodesy.CrossesAntimeridian(lon...) {
		return "on both sides of the meridian of 180 degrees, which no mission crosses"
	}
	south, north, west, east := slices.Min(lat), slices.Max(lat), slices.Min(lon), slices.Max(lon)
	middle := geodesy.Geodetic{Latitude: (south + north) / 2, Longitude: west}
	other := geodesy.Geodetic{Latitude: middle.Latitude, Longitude: east}
	return fmt.Sprintf("latitudes %s to %s, longitudes %s to %s: %s from south to north, %s from west to east", south, north, west, east,
		distance(geodesy.GroundDistance(geodesy.Geodetic{Latitude: south, Longitude: west}, geodesy.Geodetic{Latitude: north, Longitude: west}, 0)),
		distance(geodesy.GroundDistance(middle, other, 0)))
}

func distance(m float64) string {
	if math.IsNaN(m) {
		return fmt.Sprintf("more than %d km", geodesy.MaxGeodesicM/1000)
	}
	if m >= 10_000 {
		return fmt.Sprintf("%.0f km", m/1000)
	}
	return fmt.Sprintf("%.1f m", m)
}

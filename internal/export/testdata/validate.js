// Two validators of GeoJSON, on files; prints what they find, a line each.
const fs = require("fs");
const { check } = require("@placemarkio/check-geojson");
const other = require("geojson-validation");

for (const file of process.argv.slice(2)) {
  const text = fs.readFileSync(file, "utf8");
  try {
    check(text);
  } catch (e) {
    console.log(file + ": " + (e.issues ? e.issues.map((i) => i.message).join("; ") : e.message));
  }
  try {
    other.valid(JSON.parse(text), true).forEach((found) => console.log(file + ": " + JSON.stringify(found)));
  } catch (e) {
    console.log(file + ": " + e.message);
  }
}

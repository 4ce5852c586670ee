// Makes the two data files of this package from public npm packages.
//
//   npm install --prefix DIR geomagnetism@0.2.0 magvar@2.2.0
//   node tables.mjs cof DIR     > ../WMM.COF
//   node tables.mjs golden DIR  > golden.txt
//
// "cof" compares the WMM2025 coefficients of both packages number by number,
// stops if any differs, and prints them in the layout of the published file.
// "golden" evaluates each package's own implementation (they share no code)
// over a world grid and prints both, so that a third one can be compared.
import { createRequire } from "node:module";
import { readFileSync } from "node:fs";
import { join } from "node:path";

const [mode, dir] = process.argv.slice(2);
if (!["cof", "golden"].includes(mode) || !dir) {
  console.error("usage: node tables.mjs cof|golden DIR (DIR holds node_modules)");
  process.exit(2);
}
const modules = join(dir, "node_modules");
const require = createRequire(join(modules, "x.js"));
const version = (name) => JSON.parse(readFileSync(join(modules, name, "package.json"))).version;

const degree = 12;

function cof() {
  const a = JSON.parse(readFileSync(join(modules, "geomagnetism/data/wmm-2025.json")));
  const b = require(join(modules, "magvar/src/WMMCOF2025.js"));
  const pad = (value, width) => (value === 0 ? 0 : value).toFixed(1).padStart(width);
  console.log("    2025.0            WMM-2025        11/13/2024");
  for (let n = 1; n <= degree; n++) {
    for (let m = 0; m <= n; m++) {
      const i = (n * (n + 1)) / 2 + m;
      const fromA = [a.main_field_coeff_g[i], a.main_field_coeff_h[i], a.secular_var_coeff_g[i], a.secular_var_coeff_h[i]];
      const fromB = [b.gnmWmm[n][m], b.hnmWmm[n][m], b.gtnmWmm[n][m], b.htnmWmm[n][m]];
      for (let k = 0; k < 4; k++) {
        if (!(fromA[k] === fromB[k])) {
          throw new Error(`n=${n} m=${m} column ${k}: ${fromA[k]} and ${fromB[k]} differ`);
        }
      }
      const [g, h, gDot, hDot] = fromA;
      console.log(String(n).padStart(3) + String(m).padStart(3) + pad(g, 10) + pad(h, 10) + pad(gDot, 11) + pad(hDot, 11));
    }
  }
  console.log("9".repeat(48));
  console.log("9".repeat(48));
}

function golden() {
  const geomagnetism = require("geomagnetism");
  const magvar = require("magvar");
  console.log(`# WMM2025 by two implementations: npm geomagnetism ${version("geomagnetism")} and magvar ${version("magvar")}`);
  console.log("# made with: node tables.mjs golden DIR (see the head of tables.mjs)");
  console.log("# year, height km, latitude deg, longitude deg | geomagnetism: D deg, I deg, H nT, F nT | magvar (rounded by it): D deg, I deg, H nT, F nT");
  // geomagnetism counts every year as 365 days, so the date it is given is the
  // one whose count is the wanted fraction: that makes both models see the
  // same decimal year, also in the leap year.
  const dateOf = (year) => {
    const whole = Math.floor(year);
    return new Date(Date.UTC(whole) + Math.round((year - whole) * 365 * 86400000));
  };
  const years = [2025, 2026.25, 2027.5, 2028.75, 2029.5];
  const heights = [0, 0.4, 2.5, 10];
  let k = 0;
  for (const latitude of [-89.5, -75, -60, -45, -30, -15, 0, 15, 30, 45, 60, 75, 85, 89.5]) {
    for (let longitude = -180; longitude < 180; longitude += 24) {
      const year = years[k % years.length];
      const height = heights[k % heights.length];
      k++;
      const a = geomagnetism.model(dateOf(year)).point([latitude, longitude, height]);
      const b = magvar.magneticField(latitude, longitude, height, year);
      console.log(
        [year, height, latitude, longitude].join(" ") +
          " | " + [a.decl.toFixed(6), a.incl.toFixed(6), a.h.toFixed(3), a.f.toFixed(3)].join(" ") +
          " | " + [b.declination.toFixed(2), b.inclination.toFixed(2), b.h.toFixed(1), b.f.toFixed(1)].join(" "));
    }
  }
}

mode === "cof" ? cof() : golden();

// SPDX-License-Identifier: BSL-1.0
// Makes psychrolib_grid.csv: moist air by the JavaScript package psychrolib (npm), the general psychrometrics library
// that codes the equations of the ASHRAE Handbook. Its dew points and wet bulbs are iterated to 0.001 K.
//
//     node tests/reference/make_psychrometrics_table.cjs            writes the table beside this script
//     node tests/reference/make_psychrometrics_table.cjs --check    makes it again and compares: what the test runs
"use strict";
const fs = require("fs");
const path = require("path");
const psychrolib = require("psychrolib");
const version = JSON.parse(fs.readFileSync(require.resolve("psychrolib/package.json"), "utf8")).version;

const table = path.join(__dirname, "psychrolib_grid.csv");
const source = `psychrolib ${version} (npm) in SI units`;
const lines = ["temperature_C,pressure_Pa,relative_humidity,humidity_ratio,vapour_pressure_Pa,dew_point_C,wet_bulb_C," +
               "enthalpy_J_kg,density_kg_m3,specific_volume_m3_kg,source"];
psychrolib.SetUnitSystem(psychrolib.SI);
for (const pressure of [101325, 84556]) {
    for (const temperature of [-20, -6, 4, 12, 21, 35, 60, 95]) {
        for (const humidity of [0.1, 0.4, 0.9, 1]) {
            if (temperature === 95 && humidity === 1) continue;   // it would boil at the lower pressure
            // [humidity ratio, wet bulb, dew point, vapour pressure, enthalpy, volume, degree of saturation]
            const [ratio, wet, dew, vapour, enthalpy, volume] =
                psychrolib.CalcPsychrometricsFromRelHum(temperature, humidity, pressure);
            const density = psychrolib.GetMoistAirDensity(temperature, ratio, pressure);
            lines.push([temperature, pressure, humidity, ratio, vapour, dew, wet, enthalpy, density, volume, source]
                .join(","));
        }
    }
}
if (process.argv[2] === "--check") {
    const stored = fs.readFileSync(table, "utf8").trim().split("\n");
    const numbers = (line) => line.split(",").slice(0, -1).map(Number);
    const same = stored.length === lines.length && stored[0] === lines[0] &&
        stored.slice(1).every((line, i) => numbers(line).every(
            (x, k) => Math.abs(x - numbers(lines[i + 1])[k]) <= 1e-9 * Math.max(1e-3, Math.abs(x))));
    if (!same) {
        console.error("psychrolib_grid.csv is not what " + source + " gives");
        process.exit(1);
    }
    console.log(`${lines.length - 1} rows as ${source} gives them`);
} else {
    fs.writeFileSync(table, lines.join("\n") + "\n");
}

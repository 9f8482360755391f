// SPDX-License-Identifier: BSL-1.0
// Makes annuity.csv: present values of payments by the JavaScript library financial (npm), a port of the
// general-purpose Python library numpy-financial: of equal payments at the end of each year, and of filters paid for
// when they are put in, quarter by quarter.
//
//     node tests/reference/make_annuity_table.cjs            writes the table beside this script
//     node tests/reference/make_annuity_table.cjs --check    makes it again and compares
const fs = require('fs');
const path = require('path');
const { pv, npv } = require('financial');

const table = path.join(__dirname, 'annuity.csv');
const source = `financial ${require('financial/package.json').version} (npm)`;
const lines = ['kind,rate,escalation,changes_per_year,years,value,source'];
for (const [rate, escalation, years] of [[0.03, 0, 20], [0.04, 0.02, 10], [0.08, 0, 25], [0.02, 0.05, 12]]) {
  const value = -pv((1 + rate) / (1 + escalation) - 1, years, 1);
  lines.push(['equal payments', rate, escalation, '', years, value.toPrecision(12), source].join(','));
}
// One unit of money for each change, the first at the start; a year of four even periods.
for (const [rate, changes, years] of [[0.04, 4, 10], [0.04, 2, 10], [0.03, 1, 15], [0.06, 0.5, 8]]) {
  const quarters = 4 * years, every = 4 / changes;
  const payments = Array.from({ length: quarters }, (_, q) => (q % every === 0 ? 1 : 0));
  const value = npv(Math.pow(1 + rate, 0.25) - 1, payments);
  lines.push(['filters when put in', rate, 0, changes, years, value.toPrecision(12), source].join(','));
}
if (process.argv[2] === '--check') {
  const stored = fs.readFileSync(table, 'utf8').trimEnd().split('\n');
  const numbers = (line) => line.split(',').slice(0, -1).join(',');
  const differs = lines.findIndex((line, i) => numbers(line) !== numbers(stored[i] ?? ''));
  if (differs >= 0 || stored.length !== lines.length) {
    const at = Math.max(differs, 0);
    console.error(`annuity.csv: "${stored[at]}" where ${source} gives "${lines[at]}"`);
    process.exit(1);
  }
  console.log(`${lines.length - 1} rows as ${source} gives them`);
} else {
  fs.writeFileSync(table, lines.join('\n') + '\n');
}

// SPDX-License-Identifier: BSL-1.0

#include "report_html.hpp"

namespace choose_filter {

const char* report_style_sheet() {
    return R"css(
:root { color-scheme: light; --ink: #1c2024; --soft: #59626b; --line: #cfd6dc; --faint: #eef2f5; --blue: #0072B2;
        --warm: #D55E00; --best: #e9f3fa; }
* { box-sizing: border-box; }
html { -webkit-text-size-adjust: 100%; }
body { margin: 0 auto; padding: 2.2rem 1.6rem 4rem; max-width: 1180px; background: #fff; color: var(--ink);
       font: 15.5px/1.5 "Source Sans 3", "Segoe UI", Roboto, "Helvetica Neue", Arial, "Liberation Sans",
              "DejaVu Sans", sans-serif;
       font-variant-numeric: tabular-nums; }
h1 { font-size: 2rem; line-height: 1.15; margin: 0 0 .4rem; letter-spacing: -.01em; }
h2 { font-size: 1.38rem; line-height: 1.2; margin: 3rem 0 .8rem; padding-top: .7rem; border-top: 2px solid var(--ink); }
h3 { font-size: 1.08rem; line-height: 1.25; margin: 2rem 0 .5rem; }
h4 { font-size: .95rem; margin: 1.2rem 0 .3rem; }
p { margin: .5rem 0; max-width: 78ch; }
a { color: var(--blue); }
nav { margin: 1rem 0 0; font-size: .88rem; color: var(--soft); }
nav a { margin-right: 1.1rem; white-space: nowrap; text-decoration: none; border-bottom: 1px solid var(--line); }
.facts { color: var(--soft); font-size: .9rem; max-width: none; }
.note { border-left: 4px solid var(--blue); background: var(--faint); padding: .5rem .9rem; margin: .8rem 0;
       max-width: 78ch; }
.recommendation { border: 1.5px solid var(--blue); border-left-width: 8px; border-radius: 3px; padding: .8rem 1.1rem;
                  margin: 1rem 0; break-inside: avoid; }
.recommendation h3 { margin: 0 0 .3rem; color: var(--soft); font-weight: 600; }
.recommendation .sentence { font-size: 1.14rem; line-height: 1.42; margin: 0; max-width: 84ch; }
.recommendation.conditional { border-color: var(--warm); }
.recommendation .condition { color: #8f3f00; font-weight: 600; margin: .5rem 0 0; }
.recommendation .notes { font-size: .92rem; margin: .6rem 0 0; padding-left: 1.1rem; max-width: 96ch; }
.recommendation .mind { font-size: .92rem; margin: .6rem 0 0; max-width: 96ch; }
.figures { display: flex; flex-wrap: wrap; gap: .5rem 1.2rem; margin: .7rem 0 0; padding: 0; list-style: none;
           font-size: .9rem; color: var(--soft); }
.figures b { display: block; font-size: 1.12rem; color: var(--ink); font-weight: 600; white-space: nowrap; }
.caution { border-left: 4px solid var(--warm); padding: .35rem .9rem; margin: .9rem 0; font-size: .9rem;
       line-height: 1.42;
           max-width: 96ch; break-inside: avoid; }
.caution b.word { color: #a84300; text-transform: uppercase; letter-spacing: .05em; font-size: .8rem;
       margin-right: .45em; }
.caution .defer { color: var(--soft); }
.scroll { overflow-x: auto; margin: .2rem 0 .4rem; /* shadows at the sides where more of a table is hidden */
          background: linear-gradient(to right, #fff 40%, transparent) left / 2.4rem 100% local,
                      linear-gradient(to left, #fff 40%, transparent) right / 2.4rem 100% local,
                      linear-gradient(to right, #0003, transparent) left / .8rem 100% scroll,
                      linear-gradient(to left, #0003, transparent) right / .8rem 100% scroll;
          background-repeat: no-repeat; }
table { border-collapse: collapse; font-size: .86rem; line-height: 1.32; }
p.caption { color: var(--soft); font-size: .85rem; line-height: 1.36; margin: .8rem 0 0; max-width: 104ch; }
th, td { padding: .34rem .6rem; text-align: right; vertical-align: top; border-bottom: 1px solid var(--line); }
th { font-weight: 600; }
td.text, th.text, tbody th, .comparison thead th:first-child { text-align: left; }
td.text { min-width: 8em; }
td .second { display: block; color: var(--soft); font-size: .88em; white-space: nowrap; }
td .value { white-space: nowrap; }
td .range { display: block; color: var(--soft); font-size: .88em; font-weight: 400; white-space: nowrap; }
td .second .range { font-size: 1em; }
thead th { vertical-align: bottom; border-bottom: 1.5px solid var(--ink); }
tbody th { font-weight: 400; min-width: 12em; } .comparison tbody th { min-width: 0; }
tbody th .unit { color: var(--soft); white-space: nowrap; }
.comparison { width: 100%; min-width: calc(9em + 8.4em * var(--candidates, 1)); table-layout: fixed; }
.comparison th, .comparison td { padding-left: .35rem; padding-right: .5rem; }
.comparison thead th { vertical-align: top; overflow-wrap: break-word; }
.comparison thead th:first-child { width: 12.5em;
       vertical-align: bottom; }
.comparison td.text { min-width: 0; }
.comparison thead th:first-child, .comparison tbody th { position: sticky; left: 0; background: #fff; z-index: 1; }
.comparison tr.group th { font-weight: 600; padding-top: .95rem; border-bottom: 1px solid var(--ink);
       color: var(--ink); }
.comparison tr.key td, .comparison tr.key th { font-weight: 600; }
.comparison tr.beside td, .comparison tr.beside th { color: var(--soft); }
.comparison tr.text td { text-align: left; font-size: .92em; }
.comparison .best { background: var(--best); }
.rank { display: block; font-size: 1.3rem; line-height: 1.1; }
.tag { display: inline-block; margin: .18rem 0 0; padding: 0 .4em; border: 1px solid currentColor; border-radius: 2px;
       font-size: .76rem; font-weight: 600; line-height: 1.25; max-width: 100%;
       overflow-wrap: normal; }
.tag.good { color: #005b8e; } .tag.bad { color: #a84300; } .tag.plain { color: var(--soft); }
.footnotes { font-size: .83rem; color: var(--soft); margin: .2rem 0 1rem; padding-left: 1.6rem; }
sup a { text-decoration: none; }
figure { margin: 1.4rem 0 2rem; break-inside: avoid; }
figure svg { width: 100%; height: auto; display: block; max-width: 1120px; }
figure h3 { margin: 0 0 .3rem; }
figcaption { font-size: .86rem; color: var(--soft); max-width: 104ch; margin-top: .3rem; }
.absent { color: var(--soft); font-style: italic; }
ul { padding-left: 1.3rem; } li { margin: .2rem 0; max-width: 96ch; }
ul.small { font-size: .9rem; }
.two { columns: 2; column-gap: 2.6rem; } .two .caution { margin-top: 0; margin-bottom: 1rem; }
footer { margin-top: 3rem; border-top: 1px solid var(--line); padding-top: .8rem; color: var(--soft);
       font-size: .85rem; }
@media screen and (max-width: 760px) {
  body { padding: 1.2rem .9rem 3rem; font-size: 15px; } h1 { font-size: 1.6rem; } .two { columns: 1; }
  .comparison thead th:first-child { width: 9.5em; }
  .comparison { min-width: calc(9.5em + 9.2em * var(--candidates, 1)); }
  tbody th { min-width: 9em; }
  figure { overflow-x: auto; } figure svg { min-width: 760px; } figure h3, figcaption { position: sticky; left: 0; }
}
@media print {
  @page { size: A4 landscape; margin: 11mm 12mm; }
  html { font-size: 9pt; } body { max-width: none; padding: 0; font-size: 9pt; line-height: 1.36; }
  footer { margin-top: .6rem; padding-top: .3rem; }
  nav { display: none; }
  a { color: inherit; text-decoration: none; }
  h2 { margin: 1.1rem 0 .4rem; padding-top: .4rem; } h3 { margin: .8rem 0 .3rem; } h4 { margin: .6rem 0 .2rem; }
  h2, h3, h4, p.caption { break-after: avoid; break-inside: avoid; }
  p { margin: .3rem 0; max-width: 150ch; orphans: 3; widows: 3; } p.caption { max-width: none; font-size: 8pt; }
  section[id^="system-"] { break-before: page; } section[id^="system-"] h2 { margin-top: 0; }
  .recommendation { padding: .4rem .8rem; margin: .5rem 0; }
  .recommendation .sentence { font-size: 9.5pt; max-width: none; line-height: 1.34; }
  .recommendation .mind { max-width: none; font-size: 8pt; margin: .3rem 0 0; }
  .scroll { overflow: visible; background: none; break-inside: avoid; } .scroll:has(.comparison) { break-inside: auto; }
  table { font-size: 7.6pt; line-height: 1.22; } th, td { padding: .16rem .4rem; }
  thead { display: table-header-group; } tr, thead { break-inside: avoid; } thead, tr.group { break-after: avoid; }
  tbody tr:first-child, tbody tr:last-child { break-before: avoid; }
  td .second, td .range { display: inline-block; margin-left: .35em; }
  .comparison th, .comparison td { padding: .1rem .3rem; } .comparison tr.group th { padding-top: .3rem; }
  .comparison { min-width: 0; } .comparison thead th:first-child { width: 19em; } tbody th { min-width: 9em; }
  td.text { min-width: 0; }
  .comparison thead th:first-child, .comparison tbody th { position: static; }
  .footnotes, ul.small { columns: 2; column-gap: 8mm; font-size: 8pt; line-height: 1.3; margin: .2rem 0 .4rem; }
  li { max-width: none; break-inside: avoid; }
  /* A drawing on the left, what it shows beside it: two to a sheet. */
  figure { display: grid; grid-template-columns: 165mm 1fr; grid-template-rows: auto 1fr; column-gap: 5mm;
           margin: .5rem 0; }
  figure svg { grid-column: 1; grid-row: 1 / span 2; max-width: 165mm; max-height: 88mm; margin: 0; }
  figure[id^="fan-system"] svg { max-height: 96mm; }   /* its panels are small */
  figure h3 { grid-column: 2; grid-row: 1; } figcaption { grid-column: 2; grid-row: 2; margin: 0; font-size: 8pt;
              line-height: 1.36; }
  .caution { margin: .3rem 0; padding: .1rem .7rem; font-size: 8pt; line-height: 1.28; max-width: none; }
  #cautions > p { break-after: avoid; } .two { columns: 2; column-gap: 8mm; break-inside: avoid; }
  .two .caution { margin-bottom: .5rem; }
  .figures { margin-top: .4rem; } .figures b { font-size: 1.05rem; }
  .best, .note { print-color-adjust: exact; -webkit-print-color-adjust: exact; }
}
)css";
}

}   // namespace choose_filter

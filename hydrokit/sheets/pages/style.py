"""How a report looks on paper and on a screen: black on white, no network, no script."""

from __future__ import annotations

from typing import Final

__all__ = ["STYLE"]

STYLE: Final = """
@page { margin: 12mm 14mm; }
* { box-sizing: border-box; }
html { -webkit-text-size-adjust: 100%; text-size-adjust: 100%; }
body { margin: 0 auto; max-width: 60rem; padding: 1rem; color: #000; background: #fff;
  font: 1rem/1.45 Georgia, "Times New Roman", "Liberation Serif", serif; overflow-wrap: anywhere; }
h1, h2, h3, th, .finding, .note, footer { font-family: Arial, Helvetica, "Liberation Sans", sans-serif; }
h1 { font-size: 1.6rem; line-height: 1.2; margin: 0 0 .2rem; }
h2 { font-size: 1.15rem; line-height: 1.25; margin: 1.6rem 0 .5rem; padding-top: .35rem; border-top: 1.5px solid #000; }
h3 { font-size: 1rem; margin: 1rem 0 .3rem; }
h2 + h3 { margin-top: 0; }
p { margin: .4rem 0; }
ul { margin: .4rem 0; padding-left: 1.2rem; }
.verdict { font-size: 1.1rem; border: 2px solid #000; padding: .6rem .8rem; margin: .8rem 0; }
.finding { font-weight: bold; margin-bottom: 0; }
.under { margin: 0 0 .3rem 1.2rem; }
.note { font-size: .85rem; }
.wide { overflow-x: auto; margin: .4rem 0; }
table { border-collapse: collapse; font-size: .88rem; line-height: 1.35; }
th, td { text-align: left; vertical-align: top; padding: .14rem .8rem .14rem 0; overflow-wrap: break-word; min-width: 2rem; }
th:last-child, td:last-child { padding-right: 0; }
thead th { vertical-align: bottom; border-bottom: 1px solid #000; }
tbody tr + tr > * { border-top: 1px solid #ccc; }
tbody th { font-family: inherit; font-weight: normal; }
.number { text-align: right; white-space: nowrap; }
.short { white-space: nowrap; }
.long { overflow-wrap: anywhere; }
figure { margin: .6rem 0; }
.drawing { overflow-x: auto; }
.drawing svg { display: block; min-width: 45rem; max-width: 100%; height: auto; }
figure img { display: block; width: 100%; max-width: 29rem; height: auto; }
@media (max-width: 32rem) {
  body { padding: .7rem; }
  table { font-size: .8rem; }
  th, td { padding-right: .5rem; }
  .short { white-space: normal; }
}
@media print {
  body { max-width: none; padding: 0; font-size: 9pt; line-height: 1.25; }
  h1 { font-size: 16pt; } h2 { font-size: 10.5pt; margin: 9pt 0 3pt; padding-top: 2pt; } h3 { font-size: 9pt; margin: 6pt 0 2pt; }
  h1, h2, h3, .finding { break-after: avoid; }
  p, ul { margin: 2.5pt 0; }
  .verdict { font-size: 10pt; margin: 5pt 0; padding: 4pt 6pt; }
  .note { font-size: 7.5pt; }
  .columns { columns: 2; column-gap: 7mm; }
  .columns > section:first-child > h2 { margin-top: 0; }
  .wide, .drawing { overflow: visible; margin: 2.5pt 0; }
  .drawing svg { min-width: 0; width: 100%; }
  figure { margin: 4pt 0; } figure img { max-width: 68mm; }
  table { font-size: 7.5pt; line-height: 1.18; }
  th, td { padding: 1pt 5pt 1pt 0; min-width: 0; }
  thead { display: table-header-group; }
  tr, figure, .few, .verdict, .under, li { break-inside: avoid; }
  p { orphans: 2; widows: 2; }
  .columns .short { white-space: normal; }
}
"""

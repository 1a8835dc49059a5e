"""How sheets look: black on white, large enough to be read at arm's length."""

from __future__ import annotations

STYLE = """
@page { size: landscape; margin: 9mm 10mm 13mm; }
@page { @bottom-right { content: counter(page) " / " counter(pages);
        font: 9pt sans-serif; } }
@page { @bottom-left { content: "FOOTER"; font: 9pt sans-serif; } }
* { box-sizing: border-box; }
html { font: 11.5pt/1.25 "Liberation Sans", Arial, Helvetica, sans-serif;
       color: #000; background: #fff; }
body { margin: 0 auto; max-width: 277mm; }
section { break-before: page; }
section:first-of-type { break-before: auto; }
h2 { font-size: 13pt; margin: 5mm 0 1.5mm; break-after: avoid; }
p { margin: 1mm 0; }
table { width: 100%; border-collapse: collapse; table-layout: fixed; }
thead { display: table-header-group; }
tr { break-inside: avoid; }
th, td { border: 0.3mm solid #000; padding: 1mm 1.4mm; text-align: left;
         vertical-align: top; overflow-wrap: anywhere; }
th { font-size: 9.5pt; }
th.banner { border: 0; border-bottom: 0.8mm solid #000; padding: 0 0 1.5mm;
            font-weight: normal; font-size: 10.5pt; }
[role=heading] { font-size: 19pt; font-weight: bold; line-height: 1.1; }
td b { font-size: 12.5pt; }
.small { font-size: 9.5pt; }
.release { font-weight: bold; }
.flag { display: inline-block; border: 0.5mm solid #000; padding: 0 1.2mm;
        font-weight: bold; font-size: 10pt; }
.sign { font-size: 9.5pt; line-height: 1.75; }
.entry { display: flex; flex-wrap: wrap; align-items: baseline; column-gap: 1.2mm; }
.line { flex: 1 1 6mm; border-bottom: 0.25mm solid #000; }
.box { display: inline-block; width: 3.6mm; height: 3.6mm; vertical-align: -0.5mm;
       border: 0.4mm solid #000; margin-right: 0.8mm; }
.tick { white-space: nowrap; }
.short { flex: 0.5 1 5mm; }
.time { font-size: 10pt; white-space: nowrap; }
.traveller td { font-size: 10.5pt; }
.traveller td b { font-size: 11.5pt; }
.traveller .sign { font-size: 9.5pt; line-height: 1.9; }
.traveller .done td { font-size: 10pt; }
.traveller .done td b { font-size: 10.5pt; font-weight: normal; }
.cautions { border: 0.8mm solid #000; padding: 1.5mm 2.5mm; margin-top: 5mm;
            font-size: 10pt; break-inside: avoid; }
.cautions h2 { margin: 0 0 1mm; }
.end { text-align: center; margin-top: 3mm; font-size: 10pt; }
ul { margin: 0.5mm 0; padding-left: 5mm; }
a { color: #000; }
@media screen and (max-width: 800px) { body:has(.banner) { min-width: 250mm; } }
@media screen { body { padding: 8mm; } section { margin-bottom: 20mm; } }
"""

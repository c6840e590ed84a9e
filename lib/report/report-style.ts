/** The report's own style: system fonts, A4, readable in grey. */
export const REPORT_STYLE = `
:root { color-scheme: light; --ink: #1c1b19; --soft: #5c5853; --line: #d5d0c8; --wash: #f4f1ec; --mark: #7a3b1d; }
* { box-sizing: border-box; }
body { margin: 0 auto; padding: 24px; max-width: 900px; color: var(--ink); background: #fff; font: 14px/1.45 system-ui, sans-serif; }
h1 { font-size: 22px; margin: 0; } h2 { font-size: 16px; margin: 26px 0 8px; border-bottom: 1px solid var(--line); padding-bottom: 3px; }
h3 { font-size: 14px; margin: 14px 0 6px; } p { margin: 6px 0; }
.kind { color: var(--soft); margin: 0 0 2px; } .headline { font-size: 17px; margin: 10px 0; }
.note { border-left: 4px solid var(--mark); padding: 2px 0 2px 12px; margin: 8px 0; }
.row { display: grid; gap: 10px; } .two { grid-template-columns: 1fr 1fr; } .three { grid-template-columns: repeat(3, 1fr); }
figure { margin: 0; break-inside: avoid; } figure img, figure svg { width: 100%; height: auto; display: block; background: var(--wash); }
figure svg.evidence { background: none; } figure h3 { margin: 4px 0; }
figure .legend svg { background: none; max-width: 340px; margin: 2px auto 0; } figcaption { font-size: 12px; color: var(--soft); }
table { border-collapse: collapse; width: 100%; font-size: 12.5px; } th, td { text-align: left; vertical-align: top; padding: 3px 8px 3px 0; border-bottom: 1px solid var(--line); }
th { font-weight: 600; } td.n, th.n { text-align: right; font-variant-numeric: tabular-nums; } td.n { white-space: nowrap; }
table.zones td { white-space: nowrap; } table.zones th { vertical-align: bottom; } tr { break-inside: avoid; }
thead { display: table-header-group; } svg.interval { width: 220px; height: auto; display: block; } tr.beyond { font-weight: 600; } tr.reference td:nth-child(2) { font-style: italic; }
.hash { font: 11px/1.4 ui-monospace, monospace; overflow-wrap: anywhere; } ul { padding-left: 18px; margin: 6px 0; } li { margin: 3px 0; }
table.metrics { margin: 6px 0 12px; } ul.small { font-size: 12px; color: var(--soft); }
.cautions { background: var(--wash); padding: 8px 14px; break-inside: avoid; } footer { margin-top: 22px; font-size: 12px; color: var(--soft); }
@media screen and (max-width: 700px) { body { padding: 12px; } .two, .three { grid-template-columns: minmax(0, 1fr); } table { display: block; overflow-x: auto; } }
@page { size: A4; margin: 14mm; }
@media print { body { padding: 0; max-width: none; font-size: 10.5pt; } h2, h3 { break-after: avoid; } table { font-size: 9pt; } table.zones td { padding-top: 1.5px; padding-bottom: 1.5px; } svg.interval { width: 180px; }
  .view { break-inside: avoid; } .taken img, .three img { height: 60mm; object-fit: contain; } .map svg { height: 86mm; } }
`;

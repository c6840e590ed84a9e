/**
 * A Comparison as a tidy table: one row for each zone and metric, the units in a column of their own.
 * Source  RFC 4180: comma, CRLF, quotes doubled. Numbers in full, with a point, as a program wants them.
 */
import { type Comparison, METRIC_IDS, METRICS, type ZoneResult } from '#shared/comparison.ts';

const HEADS = [
  'zone',
  'reference',
  'assessable',
  'why_not',
  'zone_finding',
  'area_mm2',
  'seen',
  'trusted',
  'metric',
  'unit',
  'value',
  'u',
  'ci95_low',
  'ci95_high',
  'sdc',
  'p',
  'p_holm',
  'finding',
] as const;

type Cell = string | number | boolean | null;

/** A zone that is not assessable has one row, its metric columns empty. */
export function csvFromComparison(comparison: Comparison): string {
  return [HEADS as readonly Cell[], ...comparison.zones.flatMap(rowsOf)].map(csvLine).join('');
}

/** One line with its end. A text that a spreadsheet would take for a formula gets an apostrophe in front. */
export function csvLine(cells: readonly Cell[]): string {
  return `${cells.map(csvCell).join(',')}\r\n`;
}

function csvCell(cell: Cell): string {
  if (cell === null) return '';
  if (typeof cell !== 'string') return String(cell);
  const safe = /^[=+\-@\t\r]/.test(cell) ? `'${cell}` : cell;
  return /[",\r\n]/.test(safe) ? `"${safe.replaceAll('"', '""')}"` : safe;
}

function rowsOf(zone: ZoneResult): Cell[][] {
  const head: Cell[] = [zone.zone, zone.reference, zone.assessable, zone.whyNot, zone.finding, zone.areaMm2, zone.seen, zone.trusted];
  const rows = METRIC_IDS.flatMap((id): Cell[][] => {
    const m = zone.metrics[id];
    return m ? [[...head, id, METRICS[id].unit, m.value, m.u, m.ci95[0], m.ci95[1], m.sdc, m.p, m.pHolm, m.finding]] : [];
  });
  return rows.length > 0 ? rows : [[...head, ...Array<Cell>(HEADS.length - head.length).fill(null)]];
}

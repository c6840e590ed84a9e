/**
 * One zone's change as a line with its interval, on an axis that all rows share: zero line, the band within which a
 * change cannot be told from error, the 95 % interval, and a mark whose shape is the finding.
 */
import type { Finding, MetricResult } from '#shared/comparison.ts';
import { coordinate, escapeText } from './markup.ts';
import { niceSpan } from './span.ts';

export type IntervalRow = Pick<MetricResult, 'value' | 'ci95' | 'sdc'> & Readonly<{ finding: Finding }>;

export const INTERVAL_WIDTH = 220;
export const INTERVAL_HEIGHT = 18;

/** The common reach of the axis: everything drawn fits, and a cut interval is never silent. */
export function intervalSpan(rows: readonly IntervalRow[], least = 0.1): number {
  return niceSpan(Math.max(0, ...rows.flatMap((row) => [Math.abs(row.value), ...row.ci95.map(Math.abs)])), least);
}

/** A whole SVG, `width` x 18 user units; `label` is read out in its place. */
export function intervalSvg({ value, ci95, sdc, finding }: IntervalRow, span: number, label: string, width = INTERVAL_WIDTH): string {
  const x = (v: number): number => 4 + ((Math.max(-1, Math.min(1, v / span)) + 1) / 2) * (width - 8);
  const y = INTERVAL_HEIGHT / 2;
  const band = x(sdc) - x(-sdc);
  return (
    `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 ${width} ${INTERVAL_HEIGHT}" width="${width}" height="${INTERVAL_HEIGHT}" role="img" class="interval">` +
    `<title>${escapeText(label)}</title>` +
    `<rect x="${coordinate(x(-sdc))}" y="1" width="${coordinate(band)}" height="${INTERVAL_HEIGHT - 2}" fill="currentColor" opacity="0.1"/>` +
    `<line x1="${coordinate(x(0))}" x2="${coordinate(x(0))}" y1="0" y2="${INTERVAL_HEIGHT}" stroke="currentColor" stroke-width="0.75"/>` +
    `<line x1="${coordinate(x(ci95[0]))}" x2="${coordinate(x(ci95[1]))}" y1="${y}" y2="${y}" stroke="currentColor" stroke-width="1.5"/>` +
    `${mark(x(value), y, finding)}</svg>`
  );
}

/** Filled diamond beyond error, open circle within. */
function mark(cx: number, cy: number, finding: Finding): string {
  const r = 4.5;
  if (finding === 'beyond-error')
    return `<path d="M${coordinate(cx - r)} ${coordinate(cy)}L${coordinate(cx)} ${coordinate(cy - r)}L${coordinate(cx + r)} ${coordinate(cy)}L${coordinate(cx)} ${coordinate(cy + r)}Z" fill="currentColor"/>`;
  return `<circle cx="${coordinate(cx)}" cy="${coordinate(cy)}" r="3.5" fill="Canvas" stroke="currentColor" stroke-width="1.5"/>`;
}

/** The axis under the rows: ends and zero. */
export function intervalAxisSvg(span: number, unit: string, width = INTERVAL_WIDTH): string {
  const text = (at: number, anchor: string, words: string): string =>
    `<text x="${at}" y="11" text-anchor="${anchor}">${escapeText(words)}</text>`;
  return (
    `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 ${width} 14" width="${width}" height="14" aria-hidden="true" font-size="10" fill="currentColor" class="interval">` +
    `${text(0, 'start', `\u2212${span}`)}${text(width / 2, 'middle', '0')}${text(width, 'end', `+${span} ${unit}`)}</svg>`
  );
}

/**
 * A Comparison for a terminal: the table of zones by strength of evidence, and around it what has to be known to
 * read it. Nothing here is computed anew; it is the Comparison in words.
 */
import type { Check, Comparison, MetricId, ZoneResult } from '#shared/comparison.ts';
import { FINDING_SHAPES, findingPhrase } from '#shared/finding-words.ts';
import { fixed, METRIC_DECIMALS, probabilityText, signed } from '#shared/numbers.ts';
import { zoneLabel } from '#shared/zones.ts';
import { byEvidence } from './by-evidence.ts';
import { errorSourceWords } from './error-source.ts';
import { headline } from './headline.ts';
import { type Column, textTable, wrap } from './text-table.ts';

const WIDTH = 110;

const COLUMNS: readonly Column[] = [
  { head: '', align: 'left' },
  { head: 'Zone', align: 'left' },
  { head: 'Volume mL', align: 'right' },
  { head: '95 % interval', align: 'left' },
  { head: 'Detectable', align: 'right' },
  { head: 'Lightness L*', align: 'right' },
  { head: 'p (Holm)', align: 'right' },
  { head: 'Finding', align: 'left' },
];

/** The zones alone, sorted by evidence. Empty when nothing was measured. */
export function zoneTable(zones: readonly ZoneResult[]): string[] {
  return zones.length === 0 ? [] : textTable(COLUMNS, byEvidence(zones).map(rowOf));
}

/** The whole answer as text, ready to print, ending in a line break. */
export function comparisonTable(comparison: Comparison): string {
  const lines = [...wrap(headline(comparison), WIDTH), ''];
  if (comparison.zones.length > 0) {
    lines.push(...zoneTable(comparison.zones), '');
    lines.push('Loss is negative. Detectable: the smallest change that is more than error, 1.96 x root 2 x its standard error.');
    lines.push('R: a reference zone, expected not to change.', '');
    if (comparison.pooled) lines.push(...wrap(comparison.pooled.statement, WIDTH));
    lines.push(...wrap(comparison.control.statement, WIDTH));
  }
  if (comparison.scale)
    lines.push(...wrap(scaleSentence(comparison.scale), WIDTH), ...wrap(`Standard errors ${errorSourceWords(comparison)}.`, WIDTH));
  lines.push(...checkLines(comparison.gate.checks));
  if (comparison.cautions.length > 0) lines.push('', 'To be kept in mind', ...comparison.cautions.flatMap(({ text }) => bullet(text)));
  return `${lines.join('\n')}\n`;
}

/** Checks that did not pass, refusals first, each with its advice. Empty when all passed. */
export function checkLines(checks: readonly Check[]): string[] {
  const refuse = checks.filter((check) => check.verdict === 'refuse');
  const caution = checks.filter((check) => check.verdict === 'caution');
  return [
    ...(refuse.length > 0 ? ['', 'Why not', ...refuse.flatMap(checkBullet)] : []),
    ...(caution.length > 0 ? ['', 'Noted', ...caution.flatMap(checkBullet)] : []),
  ];
}

export function scaleSentence(scale: NonNullable<Comparison['scale']>): string {
  const source = { iris: 'the width of the iris', interpupillary: 'the given pupil distance', marker: 'the printed marker' }[scale.source];
  return `Scale ${scale.mmPerPx.toFixed(4)} mm per pixel from ${source}, standard uncertainty ${(100 * scale.relU).toFixed(1)} %.`;
}

/** Two photographs with the same fault are told apart by whose it is. */
function checkBullet(check: Check): string[] {
  const whose = check.of === 'before' || check.of === 'after' ? `${check.of === 'before' ? 'Before' : 'After'}, ${check.view}: ` : '';
  return bullet(whose + [check.message, check.advice].filter((text) => text !== '').join(' '));
}

function bullet(text: string): string[] {
  return wrap(text, WIDTH, '  ').map((line, k) => (k === 0 ? `\u2022${line.slice(1)}` : line));
}

function rowOf(zone: ZoneResult): string[] {
  const { volumeMl } = zone.metrics;
  const p = [zone.metrics.volumeMl, zone.metrics.lightnessDelta].flatMap((result) => (result ? [result.pHolm] : []));
  return [
    FINDING_SHAPES[zone.finding],
    zoneLabel(zone.zone) + (zone.reference ? ' R' : ''),
    number(zone, 'volumeMl'),
    volumeMl ? `${signed(volumeMl.ci95[0], 2)} to ${signed(volumeMl.ci95[1], 2)}` : '',
    volumeMl ? fixed(volumeMl.sdc, 2) : '',
    number(zone, 'lightnessDelta'),
    p.length > 0 ? probabilityText(Math.min(...p)).replace('\u00a0', ' ') : '',
    findingPhrase(zone),
  ];
}

function number(zone: ZoneResult, metric: MetricId): string {
  const result = zone.metrics[metric];
  return result ? signed(result.value, METRIC_DECIMALS[metric]) : '';
}

/** The printed table of zones: what decides, each change drawn as an interval on one axis; and the findings in sentences. */

import { byEvidence } from '#lib/report/by-evidence.ts';
import { intervalAxisSvg, intervalSpan, intervalSvg } from '#lib/report/interval-svg.ts';
import type { Block, Cell, Column, Row } from '#lib/report/pdf/blocks.ts';
import type { Comparison, ZoneResult } from '#shared/comparison.ts';
import { FINDING_SHAPES, findingPhrase, findingSentence } from '#shared/finding-words.ts';
import { fixed, intervalText, metricText, probabilityText, signed } from '#shared/numbers.ts';
import { zoneLabel } from '#shared/zones.ts';

/** Width of a drawn interval in its own units, twice its pt: marks stay small beside the lines. */
const DRAWN = 140;
/** Shares in pt of the A4 text width. */
const COLUMNS: readonly Column[] = [
  { head: 'No.', share: 17, align: 'right' },
  { head: 'Zone', share: 71 },
  { head: 'Volume, mL', share: 36, align: 'right' },
  { head: '95 % interval, mL', share: 64 },
  { head: 'Interval, detectable', share: 71 },
  { head: 'Detectable, mL', share: 49, align: 'right' },
  { head: 'Lightness, L*', share: 42, align: 'right' },
  { head: 'p', share: 32, align: 'right' },
  { head: 'Finding', share: 61 },
];

/** Nothing when nothing was measured. */
export function zoneBlocks(comparison: Comparison): Block[] {
  if (comparison.zones.length === 0) return [];
  const zones = byEvidence(comparison.zones);
  const span = intervalSpan(zones.flatMap(({ metrics }) => (metrics.volumeMl ? [metrics.volumeMl] : [])));
  const columns = COLUMNS.map((column, k) => (k === 4 ? { ...column, headPicture: intervalAxisSvg(span, 'mL', DRAWN) } : column));
  return [
    { kind: 'heading', level: 2, text: 'Zones, strongest evidence first' },
    { kind: 'table', columns, rows: zones.map((zone, k) => zoneRow(zone, k + 1, span)), rowHeads: 1 },
    {
      kind: 'paragraph',
      look: 'small',
      words:
        'Loss is negative, gain positive; left and right are the subject\u2019s. The line is the 95 % interval, the grey band the smallest detectable change ' +
        '(1.96 \u00d7 \u221a2 \u00d7 standard error). p is corrected over the zones (Holm). Numbers stand on the map. \u25c6 beyond error, \u25cb within error, \u2013 not assessable. ' +
        'Within error is not \u201cno change\u201d: less than the detectable change may have happened. R: a reference zone, expected not to change.',
    },
    ...(comparison.pooled ? [{ kind: 'paragraph', words: comparison.pooled.statement } as const] : []),
    { kind: 'paragraph', words: comparison.control.statement },
  ];
}

/** A sentence for each zone that could be judged or was refused a judgement; references at rest are passed over. */
export function findingBlocks(comparison: Comparison): Block[] {
  const told = byEvidence(comparison.zones).filter((zone) => !(zone.reference && zone.finding !== 'beyond-error'));
  const beyond = told.filter(({ finding }) => finding === 'beyond-error');
  const rest = told.filter(({ finding }) => finding !== 'beyond-error');
  return [
    ...(told.length > 0 ? [{ kind: 'heading', level: 2, text: 'Findings in words' } as const] : []),
    ...(beyond.length > 0 ? [{ kind: 'list', items: beyond.map(findingSentence) } as const] : []),
    ...(rest.length > 0 ? [{ kind: 'list', look: 'small', items: rest.map(findingSentence) } as const] : []),
  ];
}

function zoneRow(zone: ZoneResult, place: number, span: number): Row {
  const { volumeMl, lightnessDelta } = zone.metrics;
  const p = [volumeMl, lightnessDelta].flatMap((result) => (result ? [result.pHolm] : []));
  const label = zoneLabel(zone.zone);
  const drawn: Cell = volumeMl
    ? {
        picture: {
          svg: intervalSvg(volumeMl, span, label, DRAWN),
          alt: `${label}: ${metricText('volumeMl', volumeMl.value)}, 95 % interval ${intervalText('volumeMl', volumeMl.ci95)}`,
        },
      }
    : '';
  return {
    bold: zone.finding === 'beyond-error',
    cells: [
      zone.finding === 'beyond-error' ? String(place) : '',
      zone.reference ? [label, { text: ' R', italic: true }] : label,
      volumeMl ? signed(volumeMl.value, 2) : '',
      volumeMl ? intervalText('volumeMl', volumeMl.ci95).replace(/\u00a0mL$/, '') : '',
      drawn,
      volumeMl ? fixed(volumeMl.sdc, 2) : '',
      lightnessDelta ? signed(lightnessDelta.value, 1) : '',
      p.length > 0 ? probabilityText(Math.min(...p)) : '',
      `${FINDING_SHAPES[zone.finding]} ${findingPhrase(zone)}`,
    ],
  };
}

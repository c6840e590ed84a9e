/** The appendix of a printed comparison: the measures that describe a zone without deciding its finding. */

import { byEvidence } from '#lib/report/by-evidence.ts';
import type { Block, Words } from '#lib/report/pdf/blocks.ts';
import { type Comparison, METRIC_IDS, METRICS, type MetricId, type ZoneResult } from '#shared/comparison.ts';
import { fixed, METRIC_DECIMALS, signed, unitText } from '#shared/numbers.ts';
import { zoneLabel } from '#shared/zones.ts';

/** In the table of zones already. */
const TABLED: readonly MetricId[] = ['volumeMl', 'lightnessDelta'];
const MOST_COLUMNS = 6;

/** Nothing when no zone has such a measure. */
export function metricBlocks(comparison: Comparison): Block[] {
  const zones = byEvidence(comparison.zones);
  const used = METRIC_IDS.filter((id) => !TABLED.includes(id) && zones.some((zone) => zone.metrics[id]));
  if (used.length === 0) return [];
  const each = Math.ceil(used.length / Math.ceil(used.length / MOST_COLUMNS));
  const parts = Array.from({ length: Math.ceil(used.length / each) }, (_, k) => used.slice(k * each, (k + 1) * each));
  return [
    { kind: 'heading', level: 2, text: 'Appendix: other measures' },
    {
      kind: 'paragraph',
      look: 'small',
      words: 'Each with its standard uncertainty; changes, or ratios after over before. Bold: beyond error.',
    },
    ...parts.map(
      (ids): Block => ({
        kind: 'table',
        rowHeads: 0,
        columns: [
          { head: 'Zone', share: 1.7 },
          ...ids.map((id) => ({
            head: [METRICS[id].label, unitText(METRICS[id].unit)].filter(Boolean).join(', '),
            share: 1.1,
            align: 'right' as const,
          })),
        ],
        rows: zones
          .filter((zone) => ids.some((id) => zone.metrics[id]))
          .map((zone) => ({ cells: [zoneLabel(zone.zone), ...ids.map((id) => cell(zone, id))] })),
      }),
    ),
    { kind: 'list', look: 'small', items: used.map((id) => [{ text: `${METRICS[id].label}: `, bold: true }, `${METRICS[id].says}.`]) },
  ];
}

function cell(zone: ZoneResult, id: MetricId): Words {
  const result = zone.metrics[id];
  if (!result) return '';
  const write = id.endsWith('Ratio') ? fixed : signed;
  const text = `${write(result.value, METRIC_DECIMALS[id])} \u00b1 ${fixed(result.u, METRIC_DECIMALS[id])}`;
  return [{ text, bold: result.finding === 'beyond-error' }];
}

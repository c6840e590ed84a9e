/** The measures that describe a zone without deciding its finding, as tables narrow enough for A4 upright. */
import { type Comparison, METRIC_IDS, METRICS, type MetricId, type ZoneResult } from '#shared/comparison.ts';
import { fixed, METRIC_DECIMALS, signed, unitText } from '#shared/numbers.ts';
import { zoneLabel } from '#shared/zones.ts';
import { byEvidence } from './by-evidence.ts';
import { escapeText } from './markup.ts';

/** In the table of zones already. */
const TABLED: readonly MetricId[] = ['volumeMl', 'lightnessDelta'];
const MOST_COLUMNS = 6;

/** A section of HTML; empty when nothing was measured. */
export function metricsSection(comparison: Comparison): string {
  const zones = byEvidence(comparison.zones);
  const used = METRIC_IDS.filter((id) => !TABLED.includes(id) && zones.some((zone) => zone.metrics[id]));
  if (used.length === 0) return '';
  const tables = Math.ceil(used.length / MOST_COLUMNS);
  const each = Math.ceil(used.length / tables);
  const parts = Array.from({ length: tables }, (_, k) => table(zones, used.slice(k * each, (k + 1) * each)));
  return `<h2>Other measures</h2>${parts.join('')}<p>Each with its standard uncertainty; changes, or ratios after over before. Bold: beyond error.</p>`;
}

function table(zones: readonly ZoneResult[], ids: readonly MetricId[]): string {
  const heads = ids.map(
    (id) => `<th class="n">${escapeText([METRICS[id].label, unitText(METRICS[id].unit)].filter(Boolean).join(', '))}</th>`,
  );
  const rows = zones
    .filter((zone) => ids.some((id) => zone.metrics[id]))
    .map(
      (zone) => `<tr><td>${escapeText(zoneLabel(zone.zone))}</td>${ids.map((id) => `<td class="n">${cell(zone, id)}</td>`).join('')}</tr>`,
    );
  return `<table class="zones metrics"><thead><tr><th>Zone</th>${heads.join('')}</tr></thead><tbody>${rows.join('\n')}</tbody></table>`;
}

function cell(zone: ZoneResult, id: MetricId): string {
  const result = zone.metrics[id];
  if (!result) return '';
  const write = id.endsWith('Ratio') ? fixed : signed;
  const text = escapeText(`${write(result.value, METRIC_DECIMALS[id])} \u00b1 ${fixed(result.u, METRIC_DECIMALS[id])}`);
  return result.finding === 'beyond-error' ? `<strong>${text}</strong>` : text;
}

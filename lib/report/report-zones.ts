/** The report's table of zones, each change drawn as an interval on one axis, and the sentences beneath it. */
import type { Comparison, ZoneResult } from '#shared/comparison.ts';
import { FINDING_SHAPES, findingPhrase, findingSentence } from '#shared/finding-words.ts';
import { fixed, intervalText, metricText, probabilityText, signed } from '#shared/numbers.ts';
import { zoneLabel } from '#shared/zones.ts';
import { byEvidence } from './by-evidence.ts';
import { intervalAxisSvg, intervalSpan, intervalSvg } from './interval-svg.ts';
import { escapeText } from './markup.ts';

/** A section of HTML; empty when nothing was measured. */
export function zonesSection(comparison: Comparison): string {
  if (comparison.zones.length === 0) return '';
  const zones = byEvidence(comparison.zones);
  const volumes = zones.flatMap((zone) => (zone.metrics.volumeMl ? [zone.metrics.volumeMl] : []));
  const span = intervalSpan(volumes);
  const worthASentence = zones.filter((zone) => zone.finding !== 'within-error' && !(zone.reference && zone.finding === 'not-assessable'));
  return `<h2>Zones, strongest evidence first</h2>
<table class="zones"><thead><tr><th></th><th>Zone</th><th class="n">Volume, mL</th><th>${intervalAxisSvg(span, 'mL')}</th><th class="n">Detectable, mL</th><th class="n">Lightness, L*</th><th class="n">p</th><th>Finding</th></tr></thead>
<tbody>${zones.map((zone, place) => zoneRow(zone, place + 1, span)).join('\n')}</tbody></table>
<p>Loss is negative, gain positive; left and right are the subject's. The line is the 95 % interval, the grey band the smallest detectable change
(1.96 × √2 × standard error). p is corrected over the zones (Holm). Zones in italics are references, expected not to change.</p>
${comparison.pooled ? `<p>${escapeText(comparison.pooled.statement)}</p>` : ''}
<p>${escapeText(comparison.control.statement)}</p>
${worthASentence.length > 0 ? `<h3>In words</h3><ul>${worthASentence.map((zone) => `<li>${escapeText(findingSentence(zone))}</li>`).join('')}</ul>` : ''}`;
}

function zoneRow(zone: ZoneResult, place: number, span: number): string {
  const { volumeMl, lightnessDelta } = zone.metrics;
  const p = [volumeMl, lightnessDelta].flatMap((result) => (result ? [result.pHolm] : []));
  const drawn = volumeMl
    ? intervalSvg(
        volumeMl,
        span,
        `${zoneLabel(zone.zone)}: ${metricText('volumeMl', volumeMl.value)}, 95 % interval ${intervalText('volumeMl', volumeMl.ci95)}`,
      )
    : '';
  const classes = [zone.finding === 'beyond-error' ? 'beyond' : '', zone.reference ? 'reference' : ''].filter(Boolean).join(' ');
  return `<tr class="${classes}"><td class="n">${zone.finding === 'beyond-error' ? place : ''}</td><td>${escapeText(zoneLabel(zone.zone))}</td>
<td class="n">${volumeMl ? signed(volumeMl.value, 2) : ''}</td><td>${drawn}</td><td class="n">${volumeMl ? fixed(volumeMl.sdc, 2) : ''}</td>
<td class="n">${lightnessDelta ? signed(lightnessDelta.value, 1) : ''}</td><td class="n">${p.length > 0 ? escapeText(probabilityText(Math.min(...p))) : ''}</td>
<td>${FINDING_SHAPES[zone.finding]} ${escapeText(findingPhrase(zone))}</td></tr>`;
}

/** The report's figures of evidence: one for each zone that changed beyond error. */
import type { Comparison } from '#shared/comparison.ts';
import type { Evidence } from '#shared/field.ts';
import { zoneLabel } from '#shared/zones.ts';
import { byEvidence } from './by-evidence.ts';
import { evidenceSvg } from './evidence-svg.ts';
import { evidenceSentence } from './evidence-words.ts';
import { escapeText } from './markup.ts';

/** A section of HTML; empty when no zone changed beyond error. */
export function evidenceSection(comparison: Comparison, { zones }: Evidence): string {
  const figures = byEvidence(comparison.zones).flatMap(({ zone, finding }) => {
    const evidence = finding === 'beyond-error' ? zones.find((one) => one.zone === zone) : undefined;
    return evidence
      ? [
          `<figure><h3>${escapeText(zoneLabel(zone))}</h3>${evidenceSvg(evidence)}<figcaption>${escapeText(evidenceSentence(evidence))}</figcaption></figure>`,
        ]
      : [];
  });
  return figures.length === 0
    ? ''
    : `<section class="evidences"><h2>Evidence along a line across each zone</h2><div class="row two">${figures.join('\n')}</div></section>`;
}

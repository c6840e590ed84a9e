/**
 * The clinician's report of a comparison, in reading order: the answer, what it rests on, the table, the findings, the pictures, the
 * evidence, the checks, what can't be said, where everything comes from, and who signed. An appendix holds the measures that only describe.
 */

import { byEvidence } from '#lib/report/by-evidence.ts';
import { evidenceSvg } from '#lib/report/evidence-svg.ts';
import { evidenceSentence } from '#lib/report/evidence-words.ts';
import { headline } from '#lib/report/headline.ts';
import type { Block, Figure, PrintedReport } from '#lib/report/pdf/blocks.ts';
import type { ReportView } from '#lib/report/report-views.ts';
import type { Comparison } from '#shared/comparison.ts';
import type { Evidence } from '#shared/field.ts';
import { zoneLabel } from '#shared/zones.ts';
import { gateBlocks, refusalBlocks } from './print-gate.ts';
import { cautionBlocks, limitBlocks } from './print-limits.ts';
import { metricBlocks } from './print-metrics.ts';
import { provenanceBlocks } from './print-provenance.ts';
import { viewBlocks } from './print-views.ts';
import { findingBlocks, zoneBlocks } from './print-zones.ts';
import { framed, type Stamp, signatureBlocks } from './stamp.ts';
import { type Subject, subjectBlocks } from './subject.ts';

export type ComparisonContent = Readonly<{
  comparison: Comparison;
  /** Of each zone; null when nothing was measured. */
  evidence: Evidence | null;
  views: readonly ReportView[];
  /** The case, or what the comparison is called where there is none. */
  subject: Subject | Readonly<{ title: string }>;
}>;

export const COMPARISON_KIND = 'Comparison report';

export function comparisonReport({ comparison, evidence, views, subject }: ComparisonContent, stamp: Stamp): PrintedReport {
  const ofCase = 'code' in subject;
  const name = ofCase ? `case ${subject.code}` : subject.title;
  return {
    ...framed(stamp, COMPARISON_KIND, name),
    blocks: [
      { kind: 'heading', level: 1, text: `${COMPARISON_KIND}: ${name}` },
      ...(ofCase ? subjectBlocks(subject) : []),
      { kind: 'paragraph', look: 'lead', words: headline(comparison) },
      ...refusalBlocks(comparison),
      ...cautionBlocks(comparison),
      ...zoneBlocks(comparison),
      ...findingBlocks(comparison),
      ...views.flatMap((view) => viewBlocks(comparison, view)),
      ...(evidence ? evidenceBlocks(comparison, evidence) : []),
      ...gateBlocks(comparison),
      ...limitBlocks(comparison),
      ...provenanceBlocks(comparison, { names: !ofCase }),
      ...signatureBlocks(stamp),
      ...metricBlocks(comparison),
    ],
  };
}

/** A figure for each zone beyond error, two in a row. */
function evidenceBlocks(comparison: Comparison, { zones }: Evidence): Block[] {
  const figures = byEvidence(comparison.zones).flatMap(({ zone, finding }): Figure[] => {
    const evidence = finding === 'beyond-error' ? zones.find((one) => one.zone === zone) : undefined;
    if (!evidence) return [];
    const words = evidenceSentence(evidence);
    return [
      { heading: zoneLabel(zone), picture: { svg: evidenceSvg(evidence), alt: `Profile across the zone. ${words}` }, caption: words },
    ];
  });
  const rows: Block[] = [];
  for (let k = 0; k < figures.length; k += 2) rows.push({ kind: 'figures', figures: figures.slice(k, k + 2), across: 2 });
  return rows.length > 0 ? [{ kind: 'heading', level: 2, text: 'Evidence along a line across each zone' }, ...rows] : [];
}

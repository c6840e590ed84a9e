/** The validation's results as a tidy table: one row for each case and zone, volumes in mL. */
import { csvLine } from './csv.ts';
import type { CaseResult } from './validation-result.ts';

const HEADS = [
  'case',
  'source',
  'group',
  'face',
  'tone',
  'views',
  'nuisance',
  'nominal_ml',
  'comparable',
  'refused_by',
  'zone',
  'reference',
  'changed',
  'true_ml',
  'finding',
  'volume_ml',
  'u_ml',
  'ci95_low',
  'ci95_high',
  'u_null_ml',
  'volume_finding',
  'lightness_delta',
  'lightness_finding',
  'pooled_p',
] as const;

export function csvFromResults(results: readonly CaseResult[]): string {
  const rows = results.flatMap((result) => {
    const head = [
      result.id,
      result.source,
      result.group,
      result.face,
      result.tone === null ? null : Number(result.tone.toFixed(3)),
      result.views,
      result.nuisance,
      result.nominalMl,
      result.comparable,
      result.refusedBy.join(' '),
    ];
    if (result.zones.length === 0) return [[...head, ...HEADS.slice(head.length).map(() => null)]];
    return result.zones.map(({ zone, reference, finding, metrics: { volumeMl: v, lightnessDelta: l } }) => [
      ...head,
      zone,
      reference,
      result.changed.includes(zone),
      rounded(result.truth[zone] ?? 0),
      finding,
      rounded(v?.value),
      rounded(v?.u),
      rounded(v?.low),
      rounded(v?.high),
      rounded(v?.uNull),
      v?.finding ?? null,
      rounded(l?.value),
      l?.finding ?? null,
      rounded(result.pooled?.p),
    ]);
  });
  return [HEADS as readonly string[], ...rows].map(csvLine).join('');
}

/** A tenth of a microlitre is far below any error. */
const rounded = (value: number | undefined): number | null => (value === undefined ? null : Number(value.toFixed(4)) || 0);

/**
 * A study made up from a seed: rows as a series would write them, with effects, errors, gaps and ratings that are known. For tests only.
 *
 * Model   36 subjects in two groups of 21 and 15, follow-ups about day 14 and day 90, repeats of most at the baseline. Volume of both midfaces falls
 *         by 0.5 mL (group "slow" 0.2 mL) with 0.2 mL between people, lightness of the same by 1.2; the error of one pair has the SEM below.
 *         Three raters grade the midfaces in steps of 0.3 mL with errors of their own; reference zones do not change.
 */
import { randomFrom } from '#lib/stats/random.ts';
import { FINDINGS, METRICS, type MetricId } from '#shared/comparison.ts';
import type { PairRow, RatingRow, TidyRow } from '#shared/series.ts';
import { REFERENCE_ZONES, type ZoneId } from '#shared/zones.ts';

export const SAMPLE_ZONES = ['forehead', 'glabella', 'infraorbital-left', 'infraorbital-right', 'midface-left', 'midface-right', 'submalar-left', 'submalar-right', 'chin'] as const satisfies readonly ZoneId[]; // biome-ignore format: a list
export const SAMPLE_METRICS = ['volumeMl', 'lightnessDelta', 'colourDelta', 'textureFineRatio'] as const satisfies readonly MetricId[];
export const SAMPLE_SEM = { volumeMl: 0.12, lightnessDelta: 0.5, colourDelta: 0.4, textureFineRatio: 0.05 } as const;
export const SAMPLE_LOSS = { quick: -0.5, slow: -0.2 } as const;

export type SampleStudy = Readonly<{ pairs: PairRow[]; rows: TidyRow[]; ratings: RatingRow[] }>;

export function sampleStudy(seed = 7, subjects = 36): SampleStudy {
  const random = randomFrom(seed);
  const pairs: PairRow[] = [];
  const rows: TidyRow[] = [];
  const ratings: RatingRow[] = [];
  const hash = (n: number): string => n.toString(16).padStart(64, '0');

  for (let s = 0; s < subjects; s++) {
    const subject = `S${String(s + 1).padStart(2, '0')}`;
    const group = s % 12 < 7 ? 'quick' : 'slow';
    const own = 0.2 * random.normal();
    const visits: [kind: PairRow['kind'], before: string, after: string, days: number, part: number][] = [
      ['change', 'baseline', 'week 2', 12 + random.integer(5), 0.6],
      ['change', 'baseline', 'month 3', 84 + random.integer(12), 1],
    ];
    if (s % 4 !== 3) visits.push(['repeat', 'baseline', 'baseline-again', 0, 0]);
    if (s % 9 === 0) visits.push(['repeat', 'baseline', 'baseline-third', 0, 0]);
    for (const [kind, beforeVisit, afterVisit, daysApart, part] of visits) {
      const pair = `${subject}/${beforeVisit}/${afterVisit}`;
      const luck = random.uniform();
      const state = luck < 0.05 ? 'not-comparable' : luck < 0.07 ? 'failed' : 'measured';
      const trusted = random.uniform() > 0.03;
      pairs.push({
        pair, kind, subject, group, beforeVisit, afterVisit, daysApart,
        daysSinceTreatment: kind === 'change' ? daysApart - 1 : null,
        state,
        reasons: state === 'not-comparable' ? (luck < 0.03 ? ['smile-difference'] : ['yaw-difference', 'light-difference']) : state === 'failed' ? ['no-face'] : [],
        views: ['frontal'],
        cautions: [],
        controlTrusted: state === 'measured' ? trusted : null,
        scaleSource: 'iris', scaleRelU: 0.04, errorSource: 'validation',
        pooledVolumeMl: null, pooledP: null, pooledFinding: null,
        beforeSha256: [hash(s)], afterSha256: [hash(1000 + pairs.length)],
        comparisonSha256: state === 'measured' ? hash(5000 + pairs.length) : null,
        ebblineVersion: '0.1.0', parametersSha256: hash(1),
      }); // biome-ignore format: a list
      if (state !== 'measured') continue;
      for (const zone of SAMPLE_ZONES) {
        const reference = REFERENCE_ZONES.includes(zone);
        const assessable = random.uniform() > (zone === 'chin' ? 0.3 : 0.03);
        const truth = zone.startsWith('midface') ? part * (SAMPLE_LOSS[group] + own) : 0;
        for (const metric of SAMPLE_METRICS) {
          // Differences have twice the variance of one reading.
          const error = SAMPLE_SEM[metric] * Math.SQRT2 * random.normal();
          const value =
            metric === 'volumeMl' ? truth + error
            : metric === 'lightnessDelta' ? 2.4 * truth + error
            : metric === 'colourDelta' ? Math.abs(2.4 * truth + error)
            : Math.exp(error); // biome-ignore format: a ladder
          const u = SAMPLE_SEM[metric] * Math.SQRT2;
          const finding = !assessable
            ? 'not-assessable'
            : Math.abs(value) > 1.96 * u && metric !== 'textureFineRatio'
              ? FINDINGS[0]
              : FINDINGS[1];
          rows.push({
            pair, kind, subject, group, beforeVisit, afterVisit, daysApart, daysSinceTreatment: null, zone, reference, assessable,
            seen: assessable ? 0.95 : 0.3, trusted: 0.9, areaMm2: 800, metric,
            value: assessable ? value : null, unit: METRICS[metric].unit,
            u: assessable ? u : null, ciLow: assessable ? value - 1.96 * u : null, ciHigh: assessable ? value + 1.96 * u : null,
            sdc: assessable ? 1.96 * u : null, p: assessable ? 0.5 : null, pHolm: assessable ? 1 : null, finding, ebblineVersion: '0.1.0',
          }); // biome-ignore format: a list
        }
        if (kind === 'change' && zone.startsWith('midface'))
          for (const rater of ['A', 'B', 'C'])
            if (random.uniform() > 0.05)
              ratings.push({
                pair,
                rater,
                zone,
                grade: 0 + Math.max(-4, Math.min(4, Math.round((truth + 0.15 * random.normal() - (rater === 'C' ? 0.1 : 0)) / 0.3))),
              });
      }
    }
  }
  return { pairs, rows, ratings };
}

/** As the series writes its tables. */
export function sampleTables({ pairs, rows, ratings }: SampleStudy): Readonly<Record<'pairs' | 'results' | 'ratings', string>> {
  const cell = (value: unknown): string => {
    const text = value === null ? '' : Array.isArray(value) ? value.join(';') : String(value);
    return /[",\r\n]/.test(text) ? `"${text.replaceAll('"', '""')}"` : text;
  };
  const table = (list: readonly Readonly<Record<string, unknown>>[]): string => {
    const heads = Object.keys(list[0] ?? {});
    return [heads, ...list.map((row) => heads.map((head) => row[head]))].map((cells) => `${cells.map(cell).join(',')}\r\n`).join('');
  };
  return { pairs: table(pairs), results: table(rows), ratings: table(ratings) };
}

/**
 * From the results of all validation cases to the figures of the report. Volumes in mL, loss negative; shares 0..1 with Wilson intervals.
 *
 * Found means that the zone named is beyond error in volume, with the right sign. A score for the ROC is -volume over the
 * standard deviation that its test divides by, so that a larger score speaks for a loss.
 */
import { type Agreement, limitsOfAgreement } from '#lib/stats/limits-of-agreement.ts';
import { type Proportion, proportion } from '#lib/stats/proportion.ts';
import { type RocArea, rocArea } from '#lib/stats/roc.ts';
import { rootMeanSquare } from '#lib/stats/sum.ts';
import type { MetricId } from '#shared/comparison.ts';
import type { ZoneId } from '#shared/zones.ts';
import type { CaseResult, MeasuredMetric, MeasuredZone } from './validation-result.ts';

export type ZoneVolume = Readonly<{ result: CaseResult; zone: ZoneId; trueMl: number; volume: MeasuredMetric }>;

export const MIDFACES: readonly ZoneId[] = ['midface-left', 'midface-right'];

/** Every zone whose volume was measured and judged, with the truth; reference zones, which the fit holds, are left out. */
export function zoneVolumes(
  results: readonly CaseResult[],
  keep: (zone: ZoneId, result: CaseResult) => boolean = () => true,
): ZoneVolume[] {
  return results.flatMap((result) =>
    result.zones.flatMap((measured): ZoneVolume[] => {
      const volume = measured.metrics.volumeMl;
      if (measured.reference || !volume || !keep(measured.zone, result)) return [];
      return [{ result, zone: measured.zone, trueMl: result.truth[measured.zone] ?? 0, volume }];
    }),
  );
}

export const changedVolumes = (results: readonly CaseResult[]): ZoneVolume[] =>
  zoneVolumes(results, (zone, { changed }) => changed.includes(zone));

export const comparable = (results: readonly CaseResult[]): CaseResult[] => results.filter((result) => result.comparable);

export type FalseAlarms = Readonly<{
  any: Proportion;
  byVolume: Proportion;
  byLightness: Proportion;
  pooled: Proportion;
  control: Proportion;
}>;

/** Of comparisons without change: in how many some zone, or the pooled test, was called beyond error; `control` is how often the references failed. */
export function falseAlarms(unchanged: readonly CaseResult[]): FalseAlarms {
  const judged = comparable(unchanged);
  const some = (test: (zone: MeasuredZone) => boolean): Proportion =>
    proportion(judged.filter(({ zones }) => zones.some((zone) => !zone.reference && test(zone))).length, judged.length);
  const by = (id: MetricId): Proportion => some(({ metrics }) => metrics[id]?.finding === 'beyond-error');
  return {
    any: some(({ finding }) => finding === 'beyond-error'),
    byVolume: by('volumeMl'),
    byLightness: by('lightnessDelta'),
    pooled: proportion(judged.filter(({ pooled }) => pooled?.beyond).length, judged.length),
    control: proportion(judged.filter(({ controlTrusted }) => !controlTrusted).length, judged.length),
  };
}

/** Of changed zones: how many were found. `zoneAtAll` also counts a finding by lightness. */
export function detection(changed: readonly CaseResult[]): Readonly<{ byVolume: Proportion; zoneAtAll: Proportion }> {
  const pairs = comparable(changed).flatMap((result) =>
    result.changed.map((id) => ({ result, measured: result.zones.find(({ zone }) => zone === id) })),
  );
  const byVolume = pairs.filter(({ result, measured }) => {
    const volume = measured?.metrics.volumeMl;
    return volume?.finding === 'beyond-error' && Math.sign(volume.value) === Math.sign(result.nominalMl);
  });
  return {
    byVolume: proportion(byVolume.length, pairs.length),
    zoneAtAll: proportion(pairs.filter(({ measured }) => measured?.finding === 'beyond-error').length, pairs.length),
  };
}

export const scoreOf = ({ volume }: Pick<ZoneVolume, 'volume'>): number => -volume.value / volume.uNull;

/** Area under the ROC of the changed zones against the same zones where nothing changed. Null when there are too few. */
export function separation(changed: readonly CaseResult[], unchanged: readonly CaseResult[]): RocArea | null {
  const positive = changedVolumes(comparable(changed));
  const zones = new Set(positive.map(({ zone }) => zone));
  const negative = zoneVolumes(comparable(unchanged), (zone) => zones.has(zone));
  const area = rocArea(positive.map(scoreOf), negative.map(scoreOf));
  return area.ok ? area.value : null;
}

/** Measured against true volume; null with fewer than three. */
export function agreement(of: readonly ZoneVolume[]): Agreement | null {
  const limits = limitsOfAgreement(
    of.map(({ trueMl }) => trueMl),
    of.map(({ volume }) => volume.value),
  );
  return limits.ok ? limits.value : null;
}

/** How many of the 95 % intervals hold the truth. */
export function coverage(of: readonly ZoneVolume[]): Proportion {
  return proportion(of.filter(({ trueMl, volume }) => volume.low <= trueMl && trueMl <= volume.high).length, of.length);
}

/** Of the zones of comparable pairs: how many could not be assessed. */
export function notAssessable(results: readonly CaseResult[]): Proportion {
  const zones = comparable(results).flatMap((result) => result.zones.filter(({ reference }) => !reference));
  return proportion(zones.filter(({ finding }) => finding === 'not-assessable').length, zones.length);
}

export const refusedByGate = (results: readonly CaseResult[]): Proportion =>
  proportion(results.filter((result) => !result.comparable).length, results.length);

export type Calibration = Readonly<{ scatterMl: number; rmsZ: number; n: number }>;

/** Root mean square of measured over its own standard deviation where nothing changed: 1 when the error is stated right. Null when nothing stayed. */
export function calibration(of: readonly ZoneVolume[]): Calibration | null {
  const still = of.filter(({ trueMl }) => trueMl === 0);
  if (still.length === 0) return null;
  return {
    n: still.length,
    scatterMl: rootMeanSquare(still.map(({ volume }) => volume.value)),
    rmsZ: rootMeanSquare(still.map(({ volume }) => volume.value / volume.uNull)),
  };
}

export type Power = Readonly<{
  /** Found at the threshold that gives 5 % false alarms on these very cases without change. */
  pooled: Proportion;
  bestZone: Proportion;
  /** At the nominal level of 5 %, and how often that called a change where there was none. */
  pooledNominal: Proportion;
  pooledFalse: Proportion;
  /** Some zone of the six called beyond error by volume, as the program reports it. */
  anyZone: Proportion;
  pooledScores: Readonly<{ changed: readonly number[]; unchanged: readonly number[] }>;
  zoneScores: Readonly<{ changed: readonly number[]; unchanged: readonly number[] }>;
}>;

/** The pooled test against the best single zone, over cases that named the same zones beforehand. */
export function diffusePower(changed: readonly CaseResult[], unchanged: readonly CaseResult[]): Power {
  const [withLoss, without] = [comparable(changed), comparable(unchanged)];
  const pooledScore = ({ pooled }: CaseResult): number => (pooled ? Math.sign(pooled.value) * Math.log10(Math.max(1e-300, pooled.p)) : 0);
  const zoneScore = ({ zones, concern }: CaseResult): number =>
    Math.max(
      0,
      ...zones
        .filter(({ zone, metrics }) => concern.includes(zone) && metrics.volumeMl)
        .map(({ metrics }) => -metrics.volumeMl!.value / metrics.volumeMl!.uNull),
    );
  const scores = (of: (result: CaseResult) => number) => ({ changed: withLoss.map(of), unchanged: without.map(of) });
  const [pooledScores, zoneScores] = [scores(pooledScore), scores(zoneScore)];
  const beats = ({ changed: positive, unchanged: negative }: typeof pooledScores): Proportion => {
    const allowed = Math.floor(0.05 * negative.length);
    const threshold = [...negative].sort((a, b) => b - a)[allowed] ?? 0;
    return proportion(positive.filter((score) => score > threshold).length, positive.length);
  };
  const beyond = (result: CaseResult): boolean =>
    result.zones.some(({ zone, metrics }) => result.concern.includes(zone) && metrics.volumeMl?.finding === 'beyond-error');
  return {
    pooled: beats(pooledScores),
    bestZone: beats(zoneScores),
    pooledNominal: proportion(withLoss.filter(({ pooled }) => pooled?.beyond && pooled.value < 0).length, withLoss.length),
    pooledFalse: proportion(without.filter(({ pooled }) => pooled?.beyond).length, without.length),
    anyZone: proportion(withLoss.filter(beyond).length, withLoss.length),
    pooledScores,
    zoneScores,
  };
}

export const SKIN_GROUPS = ['light', 'medium', 'dark'] as const;

/** Thirds of the tone scale. */
export const skinGroup = (tone: number): (typeof SKIN_GROUPS)[number] => SKIN_GROUPS[Math.min(2, Math.floor(3 * tone))];

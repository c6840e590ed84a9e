/**
 * What a short validation run must not fall short of. Looser than the goals, because a few cases say little; a run beyond these
 * has lost something that the measurement had.
 */
import {
  agreement,
  changedVolumes,
  comparable,
  coverage,
  detection,
  diffusePower,
  falseAlarms,
  notAssessable,
  separation,
  zoneVolumes,
} from './validation-figures.ts';
import { phantomCases } from './validation-goals.ts';
import type { CaseResult } from './validation-result.ts';

export type Bound = Readonly<{ what: string; value: number; bound: number; sense: 'at-most' | 'at-least'; holds: boolean }>;

const LIMITS = {
  falseAlarms: 0.2,
  refused: 0.1,
  notAssessable: 0.1,
  found: 0.5,
  pooledFound: 0.5,
  area: 0.85,
  cover: 0.9,
  rmsErrorMl: 0.5,
} as const;

export function quickBounds(results: readonly CaseResult[]): Bound[] {
  const { pick, midface, all } = phantomCases(results, 1);
  const still = pick('no-change', 'all');
  const volumes = changedVolumes(comparable(midface('all', -1)));
  const limits = agreement(volumes);
  const named = still.filter(({ concern }) => concern.length > 0);
  // Against nuisance, because the short list has no clean pairs without change: harder than the goal.
  const area = separation(midface('none', -0.3), still);
  return [
    atMost('share of unchanged pairs with a false alarm', falseAlarms(still).any.share, LIMITS.falseAlarms),
    atMost('share of pairs refused by the gate', 1 - comparable(all).length / all.length, LIMITS.refused),
    atMost('share of zones not assessable', notAssessable(all).share, LIMITS.notAssessable),
    atLeast('share of losses of 1.0 mL found', detection(midface('all', -1)).byVolume.share, LIMITS.found),
    atLeast(
      'share of diffuse losses found by the pooled test',
      diffusePower(pick('diffuse', 'all'), named).pooledNominal.share,
      LIMITS.pooledFound,
    ),
    atLeast('area under the ROC at 0.3 mL', area?.area ?? Number.NaN, LIMITS.area),
    atLeast('cover of the 95 % intervals', coverage(zoneVolumes(comparable(all))).share, LIMITS.cover),
    atMost('root mean square error at 1.0 mL, mL', limits ? Math.hypot(limits.bias, limits.deviation) : Number.NaN, LIMITS.rmsErrorMl),
  ];
}

/** A figure that could not be had does not hold. */
const atMost = (what: string, value: number, bound: number): Bound => ({ what, value, bound, sense: 'at-most', holds: value <= bound });
const atLeast = (what: string, value: number, bound: number): Bound => ({ what, value, bound, sense: 'at-least', holds: value >= bound });

/**
 * One comparison of the validation as plain figures: what was true, and what was measured. Volumes in mL, loss negative.
 */
import type { Finding, MetricId } from '#shared/comparison.ts';
import type { ZoneId } from '#shared/zones.ts';

export type MeasuredMetric = Readonly<{
  value: number;
  u: number;
  /** 95 % interval. */
  low: number;
  high: number;
  /** What a test of no change divides by. */
  uNull: number;
  p: number;
  finding: Finding;
}>;

export type MeasuredZone = Readonly<{
  zone: ZoneId;
  reference: boolean;
  finding: Finding;
  metrics: Readonly<Partial<Record<MetricId, MeasuredMetric>>>;
}>;

export type CaseFacts = Readonly<{
  id: string;
  /** `talking`: frames of one man, no change; `still`: a photograph against itself with new grain; `painted`: a real photograph with a change painted in. */
  source: 'phantom' | 'talking' | 'still' | 'painted';
  group: string;
  face: string;
  /** 0 the lightest skin, 1 the darkest; null where it is not known. */
  tone: number | null;
  views: number;
  nuisance: string;
  /** Named beforehand. */
  concern: readonly ZoneId[];
  /** Changed on purpose, each by `nominalMl`. */
  changed: readonly ZoneId[];
  nominalMl: number;
  /** True volume change of each zone, mL; zones not named had none. */
  truth: Readonly<Partial<Record<ZoneId, number>>>;
  /** True distance of the pupils in the first before photograph, mm; null where it is not known. */
  pupilsMm: number | null;
}>;

export type CaseResult = CaseFacts &
  Readonly<{
    comparable: boolean;
    /** Why not: the checks that refused, or the fault. */
    refusedBy: readonly string[];
    controlTrusted: boolean;
    /** The pupils' distance as measured, mm. */
    measuredPupilsMm: number | null;
    scaleRelU: number | null;
    zones: readonly MeasuredZone[];
    pooled: Readonly<{ value: number; u: number; p: number; beyond: boolean }> | null;
  }>;

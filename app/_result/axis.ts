/** One axis for a column of intervals, so that every row can be compared with every other by eye. Pure. */
import type { MetricId, ZoneResult } from '#shared/comparison.ts';

export type Axis = Readonly<{
  low: number;
  high: number;
  /** Where nothing has changed: 0, or 1 for ratios. */
  none: number;
  ticks: readonly number[];
  /** 0..1 along the axis; beyond the ends it is held there. */
  place: (value: number) => number;
}>;

/** Wide enough for every interval and every smallest detectable change, the same on both sides of no change. */
export function axisFor(metric: MetricId, zones: readonly ZoneResult[]): Axis {
  const none = noChange(metric);
  let reach = 0;
  for (const zone of zones) {
    const result = zone.metrics[metric];
    if (result) reach = Math.max(reach, Math.abs(result.ci95[0] - none), Math.abs(result.ci95[1] - none), result.sdc);
  }
  const step = niceStep(reach || 1);
  const half = Math.ceil((reach || 1) / step - 1e-9) * step;
  const ticks = [-half, -half / 2, 0, half / 2, half].map((tick) => none + tick);
  const place = (value: number) => Math.max(0, Math.min(1, (value - none + half) / (2 * half)));
  return { low: none - half, high: none + half, none, ticks, place };
}

export const noChange = (metric: MetricId): number => (metric.endsWith('Ratio') ? 1 : 0);

/** 1, 2 or 5 times a power of ten, about a quarter of `reach`. */
function niceStep(reach: number): number {
  const rough = reach / 4;
  const power = 10 ** Math.floor(Math.log10(rough));
  const lead = rough / power;
  return (lead <= 1 ? 1 : lead <= 2 ? 2 : lead <= 5 ? 5 : 10) * power;
}

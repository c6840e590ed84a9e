/** Numbers of a study as people read them: decimals that the measurement can support, ratios as ratios, probabilities without idle zeros. */
import { METRICS, type MetricId } from '#shared/comparison.ts';
import { fixed, METRIC_DECIMALS, probabilityText, signed, withUnit } from '#shared/numbers.ts';

type Scale = 'linear' | 'log';
/** Means and errors of many are known to one digit more than a single change. */
const decimalsOf = (metric: MetricId): number => METRIC_DECIMALS[metric] + 1;

/** A change or a mean of changes; of a ratio its factor. Without the unit. */
export function changeNumber(metric: MetricId, scale: Scale, value: number): string {
  return scale === 'log' ? `\u00d7${fixed(Math.exp(value), decimalsOf(metric))}` : signed(value, decimalsOf(metric));
}

export const changeInterval = (metric: MetricId, scale: Scale, [low, high]: readonly [number, number]): string =>
  `${changeNumber(metric, scale, low)} to ${changeNumber(metric, scale, high)}`;

/** An error: no sign; of a ratio in logarithms, where 0.05 is 5 %. */
export const errorNumber = (metric: MetricId, value: number): string => fixed(value, decimalsOf(metric));

export const errorWithInterval = (metric: MetricId, value: number, [low, high]: readonly [number, number]): string =>
  `${errorNumber(metric, value)} (${errorNumber(metric, low)} to ${errorNumber(metric, high)})`;

/** "mL", "L*"; of a logarithm "ln". */
export const studyUnit = (metric: MetricId, scale: Scale): string => (scale === 'log' ? 'ln' : METRICS[metric].unit);

export const withStudyUnit = (text: string, metric: MetricId, scale: Scale): string =>
  scale === 'log' ? text : withUnit(text, METRICS[metric].unit);

/** "= 0.012", "< 0.001". */
export const pEquals = (p: number): string => (p < 0.001 ? probabilityText(p) : `= ${probabilityText(p)}`);
export const pText = (p: number | null): string => (p === null ? '' : probabilityText(p));

export const percent = (share: number): string => `${fixed(100 * share, 0)} %`;

/** "1 pair", "2 pairs". */
export const counted = (n: number, one: string, many = `${one}s`): string => `${n} ${n === 1 ? one : many}`;

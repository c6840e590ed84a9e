/**
 * Numbers as people read them: a true minus sign, a fixed number of decimals for each unit, never a negative zero.
 * Unit and number are kept together by a no-break space.
 */
import { METRICS, type MetricId } from './comparison.ts';

const NBSP = '\u00a0';
export const MINUS = '\u2212';

/** Decimals that the measurement can support: its standard uncertainties lie at one to three steps of the last one. */
export const METRIC_DECIMALS: Readonly<Record<MetricId, number>> = {
  volumeMl: 2,
  depthMeanMm: 2,
  depthPeakMm: 2,
  lightnessDelta: 1,
  colourDelta: 1,
  rednessDelta: 1,
  bluenessDelta: 1,
  shadowAreaMm2: 0,
  shadowDepthDelta: 1,
  contourMm: 2,
  textureFineRatio: 2,
  textureCoarseRatio: 2,
  highlightDelta: 2,
};

/** How a unit is written in text. `1` is a pure number and has no unit; the two opponent axes say their sign. */
const UNIT_TEXT: Readonly<Record<string, string>> = { mm2: 'mm\u00b2', '1': '', dE00: '\u0394E', deg: '\u00b0', '-b*': MINUS + 'b*' };

/** `-1.042, 2` becomes "−1.04"; a value that rounds to zero has no sign. */
export function fixed(value: number, decimals: number): string {
  if (!Number.isFinite(value)) throw new RangeError(`only a finite number can be written, got ${value}`);
  const text = Math.abs(value).toFixed(decimals);
  return value < 0 && Number(text) !== 0 ? MINUS + text : text;
}

/** With a plus for gain: "+0.30", "−1.04", "0.00". */
export function signed(value: number, decimals: number): string {
  const text = fixed(value, decimals);
  return value > 0 && Number(text) !== 0 ? `+${text}` : text;
}

/** "mm²" for "mm2", nothing for a pure number. */
export const unitText = (unit: string): string => UNIT_TEXT[unit] ?? unit;

/** A number with its unit; the degree sign alone stands close. */
export function withUnit(number: string, unit: string): string {
  const text = unitText(unit);
  return text === '' ? number : text === '\u00b0' ? number + text : number + NBSP + text;
}

/** "−1.04 mL"; ratios carry no plus. */
export function metricText(metric: MetricId, value: number): string {
  const write = metric.endsWith('Ratio') ? fixed : signed;
  return withUnit(write(value, METRIC_DECIMALS[metric]), METRICS[metric].unit);
}

/** "−1.41 to −0.67 mL", the smaller number first. */
export function intervalText(metric: MetricId, [low, high]: readonly [number, number]): string {
  const write = metric.endsWith('Ratio') ? fixed : signed;
  const decimals = METRIC_DECIMALS[metric];
  return withUnit(`${write(low, decimals)} to ${write(high, decimals)}`, METRICS[metric].unit);
}

/** A probability: two digits that matter, and no more zeros than say something. */
export function probabilityText(p: number): string {
  if (p < 0.001) return '<' + NBSP + '0.001';
  if (p > 0.995) return '1.0';
  return p < 0.1 ? p.toFixed(3) : p.toFixed(2);
}

/**
 * The evidence of one zone as a figure: along one line across it, displacement with its 95 % band, lightness before and after
 * under one light, the shift of texture, and how far the light model was trusted. One axis of distance for all four.
 * Drawn in the colour of the text around it, so that it serves light and dark pages and paper.
 */
import type { ZoneEvidence } from '#shared/field.ts';
import { fixed, signed } from '#shared/numbers.ts';
import { evidenceSentence } from './evidence-words.ts';
import { coordinate, escapeText } from './markup.ts';

export const EVIDENCE_WIDTH = 360;
const LEFT = 36;
const RIGHT = 352;
const TITLE = 14;
const GAP = 8;
const STRIP = 8;
/** Least distance of two rules, user units. */
const LEAST_TICK = 18;
const Z95 = 1.96;
/** Least height of an axis, in its unit: below it a picture of nothing would look like something. */
const LEAST = { displacement: 0.5, lightness: 4, shift: 0.5 } as const;

type Numbers = readonly (number | null)[];
type Panel = Readonly<{ top: number; height: number; low: number; high: number; step: number }>;

/** A whole SVG, EVIDENCE_WIDTH user units wide; what it shows is said in its title for those who cannot see it. */
export function evidenceSvg(evidence: ZoneEvidence): string {
  const { distanceMm, displacementMm, uMm, lightnessBefore, lightnessAfter, shiftMm, shiftUMm } = evidence;
  const upper = displacementMm.map((d, k) => d + Z95 * uMm[k]!);
  const lower = displacementMm.map((d, k) => d - Z95 * uMm[k]!);
  const depth = panel(0, 84, [...upper, ...lower, 0], LEAST.displacement);
  const light = panel(bottomOf(depth), 62, [...lightnessBefore, ...lightnessAfter], LEAST.lightness);
  const shift = panel(bottomOf(light), 44, [...shiftMm, 0, Z95 * shiftUMm, -Z95 * shiftUMm], LEAST.shift);
  const strip = bottomOf(shift) + TITLE;
  const foot = strip + STRIP;
  const height = foot + 28;
  const x = (mm: number): number => LEFT + (mm / (distanceMm.at(-1) || 1)) * (RIGHT - LEFT);
  const line = (values: Numbers, at: Panel, style: string): string => `<path d="${path(values, distanceMm, x, at)}" fill="none" ${style}/>`;

  return (
    `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 ${EVIDENCE_WIDTH} ${height}" width="${EVIDENCE_WIDTH}" height="${height}" role="img" class="evidence" font-size="10.5" font-family="system-ui, sans-serif" fill="currentColor">` +
    `<title>${escapeText(evidenceSentence(evidence))}</title>` +
    `${inside(evidence, x, TITLE, foot)}` +
    `${frame(depth, 'Displacement, mm; band: 95 % interval', signed)}` +
    `<path d="${bandPath(upper, lower, distanceMm, x, depth)}" fill="currentColor" fill-opacity="0.2"/>` +
    `${line(displacementMm, depth, 'stroke="currentColor" stroke-width="1.8"')}` +
    `${frame(light, 'Lightness, L*, same light; dashed: before, full: after', fixed)}` +
    `${line(lightnessBefore, light, 'stroke="currentColor" stroke-width="1.4" stroke-dasharray="4 3"')}` +
    `${line(lightnessAfter, light, 'stroke="currentColor" stroke-width="1.8"')}` +
    `${frame(shift, 'Texture shift along the line, mm; band: alignment error', signed)}` +
    `<rect x="${LEFT}" width="${RIGHT - LEFT}" y="${coordinate(yOf(shift, Z95 * shiftUMm))}" height="${coordinate(yOf(shift, -Z95 * shiftUMm) - yOf(shift, Z95 * shiftUMm))}" fill="currentColor" fill-opacity="0.12"/>` +
    `${line(shiftMm, shift, 'stroke="currentColor" stroke-width="1.6"')}` +
    `<text x="${LEFT}" y="${coordinate(strip - 4)}">Light model trusted (filled: fully, empty: not)</text>` +
    `${trustStrip(evidence, x, strip)}${distanceAxis(evidence, x, foot)}</svg>`
  );
}

/** An axis that holds all values, at least `least` high, on round numbers. */
function panel(top: number, height: number, values: Numbers, least: number): Panel {
  const seen = values.filter((value) => value !== null);
  const [low, high] = seen.length > 0 ? [Math.min(...seen), Math.max(...seen)] : [0, least];
  const short = Math.max(0, least - (high - low)) / 2;
  const step = stepOf(Math.max(least, high - low), (height - TITLE) / LEAST_TICK);
  return { top, height, step, low: Math.floor((low - short) / step) * step, high: Math.ceil((high + short) / step) * step };
}

/** The smallest of 1, 2 or 5 times a power of ten of which at most `most` make up `range`. */
function stepOf(range: number, most: number): number {
  const power = 10 ** Math.floor(Math.log10(range / most));
  return [1, 2, 5, 10].map((lead) => lead * power).find((step) => range / step <= most + 1e-9)!;
}

const bottomOf = ({ top, height }: Panel): number => top + height + GAP;
const yOf = ({ top, height, low, high }: Panel, value: number): number => top + TITLE + ((high - value) / (high - low)) * (height - TITLE);

function frame(at: Panel, title: string, write: (value: number, decimals: number) => string): string {
  const { step } = at;
  const decimals = Math.max(0, Math.ceil(-Math.log10(step) - 1e-9));
  const ticks: number[] = [];
  for (let v = Math.ceil(at.low / step - 1e-9) * step; v <= at.high + 1e-9 * step; v += step) ticks.push(Math.abs(v) < 1e-9 ? 0 : v);
  const rules = ticks.map((tick) => {
    const y = coordinate(yOf(at, tick));
    return (
      `<line x1="${LEFT}" x2="${RIGHT}" y1="${y}" y2="${y}" stroke="currentColor" stroke-opacity="${tick === 0 ? 0.8 : 0.2}" stroke-width="${tick === 0 ? 1 : 0.75}"/>` +
      `<text x="${LEFT - 4}" y="${coordinate(yOf(at, tick) + 3.5)}" text-anchor="end">${escapeText(write(tick, decimals))}</text>`
    );
  });
  return `<text x="${LEFT}" y="${at.top + 10}">${escapeText(title)}</text>${rules.join('')}`;
}

/** Broken where a sample was not seen. */
function path(values: Numbers, distanceMm: readonly number[], x: (mm: number) => number, at: Panel): string {
  let pen = 'M';
  return values
    .map((value, k) => {
      const piece = value === null ? '' : `${pen}${coordinate(x(distanceMm[k]!))} ${coordinate(yOf(at, value))}`;
      pen = value === null ? 'M' : 'L';
      return piece;
    })
    .join('');
}

function bandPath(
  upper: readonly number[],
  lower: readonly number[],
  distanceMm: readonly number[],
  x: (mm: number) => number,
  at: Panel,
): string {
  const edge = (values: readonly number[]): string[] => values.map((v, k) => `${coordinate(x(distanceMm[k]!))} ${coordinate(yOf(at, v))}`);
  return `M${[...edge(upper), ...edge(lower).reverse()].join('L')}Z`;
}

/** The part of the line that lies in the zone, shaded through all panels. */
function inside({ inZone, distanceMm }: ZoneEvidence, x: (mm: number) => number, top: number, bottom: number): string {
  const [first, last] = [inZone.indexOf(true), inZone.lastIndexOf(true)];
  if (first < 0) return '';
  const left = x(distanceMm[first]!);
  const right = x(distanceMm[last]!);
  return (
    `<rect x="${coordinate(left)}" y="${top}" width="${coordinate(right - left)}" height="${coordinate(bottom - top)}" fill="currentColor" fill-opacity="0.06"/>` +
    `<text x="${coordinate((left + right) / 2)}" y="${coordinate(bottom + 25)}" text-anchor="middle" font-style="italic">in the zone</text>`
  );
}

function trustStrip({ trust, distanceMm }: ZoneEvidence, x: (mm: number) => number, top: number): string {
  const cells = trust.map((value, k) => {
    const left = x(k === 0 ? 0 : (distanceMm[k - 1]! + distanceMm[k]!) / 2);
    const right = x(k === trust.length - 1 ? distanceMm[k]! : (distanceMm[k]! + distanceMm[k + 1]!) / 2);
    return value === null
      ? ''
      : `<rect x="${coordinate(left)}" y="${top}" width="${coordinate(right - left)}" height="${STRIP}" fill-opacity="${coordinate(0.65 * value)}" shape-rendering="crispEdges"/>`;
  });
  return `${cells.join('')}<rect x="${LEFT}" y="${top}" width="${RIGHT - LEFT}" height="${STRIP}" fill="none" stroke="currentColor" stroke-opacity="0.5" stroke-width="0.75"/>`;
}

function distanceAxis({ distanceMm, ends }: ZoneEvidence, x: (mm: number) => number, top: number): string {
  const whole = distanceMm.at(-1) ?? 0;
  const step = whole > 45 ? 20 : whole > 20 ? 10 : 5;
  let ticks = '';
  for (let mm = 0; mm <= whole; mm += step)
    ticks +=
      `<line x1="${coordinate(x(mm))}" x2="${coordinate(x(mm))}" y1="${top}" y2="${top + 4}" stroke="currentColor" stroke-width="0.75"/>` +
      `<text x="${coordinate(x(mm))}" y="${top + 14}" text-anchor="middle">${mm}${mm + step > whole ? '\u00a0mm' : ''}</text>`;
  return (
    `${ticks}<text x="${LEFT}" y="${top + 25}">${escapeText(ends[0])}</text>` +
    `<text x="${RIGHT}" y="${top + 25}" text-anchor="end">${escapeText(ends[1])}</text>`
  );
}

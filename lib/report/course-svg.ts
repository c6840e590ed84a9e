/**
 * The course of one zone as a figure: a measured change against days since the treatment, with 95 % intervals, the days of expected
 * water loss shaded, treatments marked, and the fitted recovery with its plateau where there is one. Panels share the axis of days.
 * Drawn in the colour of the text around it, so that it serves light and dark pages and paper.
 */
import { signed, unitText } from '#shared/numbers.ts';
import { coordinate, escapeText } from './markup.ts';
import { ticksOf } from './plot-svg.ts';

export type CourseDot = Readonly<{
  day: number;
  value: number;
  ci95: readonly [number, number];
  /** Drawn open and left out of the curve. */
  untrusted: boolean;
}>;

export type CoursePanel = Readonly<{
  title: string;
  unit: string;
  decimals: number;
  /** Least height of the axis, in its unit: below it a picture of nothing would look like something. */
  least: number;
  dots: readonly CourseDot[];
  /** Points of the fitted curve, and the plateau with its interval. */
  curve: Readonly<{ points: readonly (readonly [day: number, value: number])[]; plateau: number; ci95: readonly [number, number] }> | null;
}>;

export type CourseChart = Readonly<{
  /** Read out in place of the figure. */
  summary: string;
  dayWords: string;
  baselineDay: number;
  treatments: readonly Readonly<{ day: number; here: boolean }>[];
  waterLoss: readonly (readonly [from: number, to: number])[];
  /** Days on which a visit has no number; marked at the foot. */
  without: readonly number[];
  panels: readonly CoursePanel[];
}>;

export const COURSE_WIDTH = 640;
const LEFT = 52;
const RIGHT = 626;
const TITLE = 18;
const PANEL = 150;
const GAP = 16;

/** A whole SVG, COURSE_WIDTH user units wide. */
export function courseSvg({ summary, dayWords, baselineDay, treatments, waterLoss, without, panels }: CourseChart): string {
  const days = [
    baselineDay,
    0,
    ...panels.flatMap(({ dots }) => dots.map(({ day }) => day)),
    ...without,
    ...treatments.map(({ day }) => day),
  ];
  const low = Math.min(...days);
  const high = Math.max(...days, low + 10);
  const margin = (high - low) * 0.04;
  const span = [low - margin, high + margin] as const;
  const x = (day: number): number => LEFT + ((Math.max(span[0], Math.min(span[1], day)) - span[0]) / (span[1] - span[0])) * (RIGHT - LEFT);
  const foot = panels.length * (PANEL + GAP) - GAP;
  const height = foot + 70;
  const shown = waterLoss.filter(([from, to]) => to > span[0] && from < span[1]);
  const behind = (top: number): string =>
    shown
      .map(
        ([from, to]) =>
          `<rect x="${coordinate(x(from))}" y="${top + TITLE}" width="${coordinate(x(to) - x(from))}" height="${PANEL - TITLE}" fill="currentColor" fill-opacity="0.09"/>`,
      )
      .join('') +
    treatments
      .map(
        ({ day, here }) =>
          `<path d="M${coordinate(x(day))} ${top + TITLE}v${PANEL - TITLE}" stroke="currentColor" stroke-width="${here ? 1.4 : 0.8}" stroke-dasharray="2 3"/>`,
      )
      .join('');
  return (
    `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 ${COURSE_WIDTH} ${height}" width="${COURSE_WIDTH}" height="${height}" role="img" class="course" font-size="11" font-family="system-ui, sans-serif" fill="currentColor">` +
    `<title>${escapeText(summary)}</title>` +
    `${panels.map((panel, i) => behind(i * (PANEL + GAP)) + panelSvg(panel, i * (PANEL + GAP), x, baselineDay)).join('')}` +
    `${axis(span, x, foot, dayWords)}${without.map((day) => cross(x(day), foot - 6)).join('')}` +
    `${legend(panels, without.length > 0, treatments.length > 0, shown.length > 0)
      .map((words, i) => `<text x="${LEFT}" y="${foot + 48 + 15 * i}">${escapeText(words)}</text>`)
      .join('')}</svg>`
  );
}

function panelSvg(
  { title, unit, decimals, least, dots, curve }: CoursePanel,
  top: number,
  x: (day: number) => number,
  baselineDay: number,
): string {
  const values = [0, ...dots.flatMap(({ value, ci95 }) => [value, ...ci95]), ...(curve ? curve.ci95 : [])];
  let [low, high] = [Math.min(...values), Math.max(...values)];
  const short = Math.max(0, least - (high - low)) / 2 + 0.06 * Math.max(least, high - low);
  [low, high] = [low - short, high + short];
  const y = (value: number): number => top + TITLE + ((high - value) / (high - low)) * (PANEL - TITLE);
  const rules = ticksOf([low, high])
    .filter((_, i, all) => all.length < 9 || i % 2 === 0)
    .map(
      (tick) =>
        `<path d="M${LEFT} ${coordinate(y(tick))}H${RIGHT}" stroke="currentColor" stroke-opacity="${tick === 0 ? 0.8 : 0.18}" stroke-width="${tick === 0 ? 1 : 0.75}"/>` +
        `<text x="${LEFT - 5}" y="${coordinate(y(tick) + 4)}" text-anchor="end">${escapeText(signed(tick, Math.max(decimals - 1, 1)))}</text>`,
    );
  const drawn = dots.map(({ day, value, ci95, untrusted }) => {
    const at = coordinate(x(day));
    return (
      `<path d="M${at} ${coordinate(y(ci95[0]))}V${coordinate(y(ci95[1]))}M${coordinate(x(day) - 4)} ${coordinate(y(ci95[0]))}h8M${coordinate(x(day) - 4)} ${coordinate(y(ci95[1]))}h8" stroke="currentColor" stroke-width="1.4" fill="none"${untrusted ? ' stroke-dasharray="2 2"' : ''}/>` +
      `<circle cx="${at}" cy="${coordinate(y(value))}" r="4" ${untrusted ? 'fill="Canvas" stroke="currentColor" stroke-width="1.4"' : 'fill="currentColor"'}/>`
    );
  });
  const from = coordinate(x(baselineDay));
  return (
    `<text x="${LEFT}" y="${top + 12}" font-weight="600">${escapeText(`${title}, ${unitText(unit)}`)}</text>${rules.join('')}${curve ? curveSvg(within(curve, low, high), x, y) : ''}${drawn.join('')}` +
    // The baseline is no change by definition: a square without an interval.
    `<path d="M${coordinate(x(baselineDay) - 4)} ${coordinate(y(0) - 4)}h8v8h-8z" fill="currentColor"><title>Baseline, by definition no change (at ${from})</title></path>`
  );
}

/** The axis is that of what was measured; what the curve says of earlier days can lie far outside of it, and is left away. */
const within = (curve: NonNullable<CoursePanel['curve']>, low: number, high: number): NonNullable<CoursePanel['curve']> => ({
  ...curve,
  points: curve.points.filter(([, value]) => value >= low && value <= high),
});

function curveSvg(
  { points, plateau, ci95 }: NonNullable<CoursePanel['curve']>,
  x: (day: number) => number,
  y: (value: number) => number,
): string {
  const path = points.map(([day, value], i) => `${i ? 'L' : 'M'}${coordinate(x(day))} ${coordinate(y(value))}`).join('');
  const from = x(points[0]?.[0] ?? 0);
  return (
    `<rect x="${coordinate(from)}" y="${coordinate(y(ci95[1]))}" width="${coordinate(RIGHT - from)}" height="${coordinate(y(ci95[0]) - y(ci95[1]))}" fill="currentColor" fill-opacity="0.1"/>` +
    `<path d="M${coordinate(from)} ${coordinate(y(plateau))}H${RIGHT}" stroke="currentColor" stroke-width="1" stroke-dasharray="6 4"/>` +
    `<path d="${path}" fill="none" stroke="currentColor" stroke-width="1.8"/>`
  );
}

function axis(span: readonly [number, number], x: (day: number) => number, top: number, words: string): string {
  const ticks = ticksOf(span).filter(Number.isInteger);
  return (
    `<path d="M${LEFT} ${top}H${RIGHT}" stroke="currentColor"/>` +
    ticks
      .map(
        (day) =>
          `<path d="M${coordinate(x(day))} ${top}v4" stroke="currentColor"/><text x="${coordinate(x(day))}" y="${top + 15}" text-anchor="middle">${escapeText(String(day).replace('-', '\u2212'))}</text>`,
      )
      .join('') +
    `<text x="${RIGHT}" y="${top + 29}" text-anchor="end">${escapeText(words)}</text>`
  );
}

const cross = (cx: number, cy: number): string =>
  `<path d="M${coordinate(cx - 3.5)} ${cy - 3.5}l7 7M${coordinate(cx + 3.5)} ${cy - 3.5}l-7 7" stroke="currentColor" stroke-width="1.4"/>`;

function legend(panels: readonly CoursePanel[], without: boolean, treated: boolean, shaded: boolean): string[] {
  const parts = ['square: baseline', 'dot and bar: change with 95 % interval'];
  if (panels.some(({ dots }) => dots.some(({ untrusted }) => untrusted))) parts.push('open: not to be trusted');
  if (panels.some(({ curve }) => curve)) parts.push('line: fitted recovery, band: its plateau');
  if (shaded) parts.push('shaded: water loss expected');
  if (treated) parts.push('dotted: treatment');
  if (without) parts.push('cross: no number');
  return [parts.slice(0, 3), parts.slice(3)].filter((line) => line.length > 0).map((line) => line.join('; '));
}

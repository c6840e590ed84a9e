/** The legend of a change map: a bar of the scale with zero in its middle, ticks in the map's unit, and words at its ends. */
import { divergingHex } from '#shared/diverging.ts';
import { MINUS, withUnit } from '#shared/numbers.ts';
import { coordinate, escapeText } from './markup.ts';

export type Legend = Readonly<{
  /** Value at the right end; the left end is its negative. */
  span: number;
  unit: string;
  /** "Displacement", "Lightness" */
  title: string;
  /** What the left and the right end mean: "loss", "gain". */
  ends: readonly [string, string];
}>;

const WIDTH = 320;
const HEIGHT = 58;
const MARGIN = 22;
const BAR_TOP = 18;
const BAR_HEIGHT = 14;
const STOPS = 32;

/** A whole SVG, 320 x 58 user units. `idPrefix` keeps its gradient apart from others on one page. */
export function legendSvg({ span, unit, title, ends }: Legend, idPrefix = 'legend'): string {
  const x = (t: number): number => MARGIN + ((t + 1) / 2) * (WIDTH - 2 * MARGIN);
  const stops = Array.from(
    { length: STOPS + 1 },
    (_, i) => `<stop offset="${coordinate(i / STOPS)}" stop-color="${divergingHex((2 * i) / STOPS - 1)}"/>`,
  );
  const ticks = [-1, -0.5, 0, 0.5, 1].map(
    (t) =>
      `<line x1="${coordinate(x(t))}" x2="${coordinate(x(t))}" y1="${BAR_TOP}" y2="${BAR_TOP + BAR_HEIGHT + 4}" stroke="currentColor" stroke-width="${t === 0 ? 1.5 : 0.75}"/>` +
      `<text x="${coordinate(x(t))}" y="${BAR_TOP + BAR_HEIGHT + 15}" text-anchor="middle">${tickText(t * span)}</text>`,
  );
  const [left, right] = ends.map(escapeText);
  return (
    `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 ${WIDTH} ${HEIGHT}" width="${WIDTH}" height="${HEIGHT}" role="img" font-family="system-ui, sans-serif" font-size="11" fill="currentColor">` +
    `<title>${escapeText(`${title}, from ${withUnit(tickText(-span), unit)} (${ends[0]}) to ${withUnit(tickText(span), unit)} (${ends[1]})`)}</title>` +
    `<defs><linearGradient id="${escapeText(idPrefix)}-scale">${stops.join('')}</linearGradient></defs>` +
    `<text x="${MARGIN}" y="12">${left}</text><text x="${WIDTH / 2}" y="12" text-anchor="middle">${escapeText(`${title}, ${unit}`)}</text>` +
    `<text x="${WIDTH - MARGIN}" y="12" text-anchor="end">${right}</text>` +
    `<rect x="${MARGIN}" y="${BAR_TOP}" width="${WIDTH - 2 * MARGIN}" height="${BAR_HEIGHT}" fill="url(#${escapeText(idPrefix)}-scale)"/>` +
    `${ticks.join('')}</svg>`
  );
}

/** As many decimals as the half span needs, sign included. */
function tickText(value: number): string {
  if (value === 0) return '0';
  return (value < 0 ? MINUS : '+') + String(Number(Math.abs(value).toPrecision(3)));
}

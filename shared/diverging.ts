/**
 * The colours of change: loss blue, none grey, gain red, to the eye equally far apart on both sides of zero.
 *
 * Model   The smooth "cool to warm" diverging scale: both ends in Msh, the polar form of CIELAB, through an unsaturated
 *         middle; the hue of each half spins a little so that equal steps look equal. Red against blue stays apart in
 *         the common colour-vision deficiencies.
 * Source  K. Moreland, Diverging Color Maps for Scientific Visualization, ISVC 2009, LNCS 5876:92-103,
 *         doi:10.1007/978-3-642-10520-3_9, with the ends (59, 76, 192) and (180, 4, 38) of its table; computed here.
 *         White D65, sRGB of IEC 61966-2-1.
 */
type Triple = readonly [number, number, number];

const LOSS: Triple = [59, 76, 192];
const GAIN: Triple = [180, 4, 38];
/** The least Msh length of the middle, so that it is light enough to be seen against. */
const LEAST_MIDDLE = 88;

/** sRGB primaries to XYZ, D65; IEC 61966-2-1. */
const XYZ_FROM_RGB = [
  [0.4124, 0.3576, 0.1805],
  [0.2126, 0.7152, 0.0722],
  [0.0193, 0.1192, 0.9505],
] as const;
const RGB_FROM_XYZ = [
  [3.2406, -1.5372, -0.4986],
  [-0.9689, 1.8758, 0.0415],
  [0.0557, -0.204, 1.057],
] as const;
const WHITE: Triple = [0.9505, 1, 1.089];

/** Entries of the table: a step for each 1/128 of a half, and one for zero. */
const HALF = 128;
const TABLE = makeTable();

/**
 * The colour of `t`, -1 (most loss) .. 0 .. 1 (most gain), as sRGB codes 0..255. Beyond the ends it is the end's colour.
 * Throws RangeError for NaN, which has no colour: what was not measured is left clear.
 */
export function divergingRgb(t: number): Triple {
  if (Number.isNaN(t)) throw new RangeError('what was not measured has no colour');
  const at = 3 * Math.round((Math.max(-1, Math.min(1, t)) + 1) * HALF);
  return [TABLE[at]!, TABLE[at + 1]!, TABLE[at + 2]!];
}

/** The table itself, (257, 3): entry i is the colour of t = i / 128 - 1. A copy. */
export const divergingTable = (): Uint8Array => TABLE.slice();

/** `#3b4cc0` and the like, for SVG and style sheets. */
export const divergingHex = (t: number): string =>
  `#${divergingRgb(t)
    .map((code) => code.toString(16).padStart(2, '0'))
    .join('')}`;

function makeTable(): Uint8Array {
  const table = new Uint8Array(3 * (2 * HALF + 1));
  for (let i = 0; i <= 2 * HALF; i++) table.set(rgbFromMsh(mshAt(i / (2 * HALF))), 3 * i);
  return table;
}

/** Moreland, section 4: `s` runs from 0 (loss) to 1 (gain). */
function mshAt(s: number): Triple {
  const [loss, gain] = [mshFromRgb(LOSS), mshFromRgb(GAIN)];
  const middle = Math.max(loss[0], gain[0], LEAST_MIDDLE);
  const end = s < 0.5 ? loss : gain;
  const outwards = Math.abs(2 * s - 1); // 0 in the middle, 1 at the end
  const grey: Triple = [middle, 0, spunHue(end, middle)];
  return [0, 1, 2].map((k) => grey[k]! + outwards * (end[k]! - grey[k]!)) as unknown as Triple;
}

/** The hue the grey end is given so that the path from it keeps its perceptual length even. */
function spunHue([m, s, h]: Triple, unsaturatedM: number): number {
  if (m >= unsaturatedM) return h;
  const spin = (s * Math.sqrt(unsaturatedM ** 2 - m ** 2)) / (m * Math.sin(s));
  // Away from purple.
  return h > -Math.PI / 3 ? h + spin : h - spin;
}

function mshFromRgb(codes: Triple): Triple {
  const linear = codes.map((code) => (code / 255 > 0.04045 ? ((code / 255 + 0.055) / 1.055) ** 2.4 : code / 255 / 12.92));
  const f = XYZ_FROM_RGB.map((row, k) => {
    const ratio = (row[0] * linear[0]! + row[1] * linear[1]! + row[2] * linear[2]!) / WHITE[k]!;
    return ratio > (6 / 29) ** 3 ? Math.cbrt(ratio) : ratio / (3 * (6 / 29) ** 2) + 4 / 29;
  });
  const [lightness, a, b] = [116 * f[1]! - 16, 500 * (f[0]! - f[1]!), 200 * (f[1]! - f[2]!)];
  const m = Math.hypot(lightness, a, b);
  return [m, Math.acos(lightness / m), Math.atan2(b, a)];
}

function rgbFromMsh([m, s, h]: Triple): number[] {
  const [lightness, a, b] = [m * Math.cos(s), m * Math.sin(s) * Math.cos(h), m * Math.sin(s) * Math.sin(h)];
  const fy = (lightness + 16) / 116;
  const xyz = [fy + a / 500, fy, fy - b / 200].map((f, k) => WHITE[k]! * (f > 6 / 29 ? f ** 3 : 3 * (6 / 29) ** 2 * (f - 4 / 29)));
  return RGB_FROM_XYZ.map((row) => {
    const linear = row[0] * xyz[0]! + row[1] * xyz[1]! + row[2] * xyz[2]!;
    const coded = linear > 0.0031308 ? 1.055 * linear ** (1 / 2.4) - 0.055 : 12.92 * linear;
    return Math.round(255 * Math.max(0, Math.min(1, coded)));
  });
}

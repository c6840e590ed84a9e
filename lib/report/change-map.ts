/**
 * A field of change as a picture: the colours of shared/diverging.ts, clear where nothing changed, thinner where the
 * measurement is trusted less, hatched where nothing could be measured. On the plate's grid; row-major.
 */
import { divergingTable } from '#shared/diverging.ts';

export type ChangeField = Readonly<{
  width: number;
  height: number;
  /** length width * height; NaN where not measured. */
  field: Float32Array;
  /** -1 outside every zone. */
  zoneIndex: Int8Array;
  /** 0..255 */
  trust: Uint8Array;
}>;

/** Below this share of the span the colour fades away, so that the skin beneath is seen where nothing happened. */
const FADE = 0.4;
const MOST_OPAQUE = 205;
/** Trust under which a pixel counts as not measured, from which on its colour is not thinned, and the most it is thinned to. */
const LEAST_TRUST = 16;
const FULL_TRUST = 112;
const THINNEST = 0.65;
/** Diagonal lines, period and thickness as shares of the plate's width. */
const HATCH_PERIOD = 1 / 110;
const HATCH_GREY = 90;
const HATCH_OPACITY = 120;

/**
 * RGBA, length 4 * width * height, alpha not premultiplied. `span` is the field's value at the ends of the scale.
 * Throws RangeError when the parts differ in size.
 */
export function changeMapRgba({ width, height, field, zoneIndex, trust }: ChangeField, span: number): Uint8Array {
  const pixels = width * height;
  if (field.length !== pixels || zoneIndex.length !== pixels || trust.length !== pixels)
    throw new RangeError(`a map of ${width} x ${height} needs ${pixels} values in each part`);
  if (!(span > 0)) throw new RangeError(`the span must be positive, got ${span}`);
  const colours = divergingTable();
  const half = (colours.length / 3 - 1) / 2;
  const period = Math.max(6, Math.round(width * HATCH_PERIOD));
  const rgba = new Uint8Array(4 * pixels);
  for (let i = 0; i < pixels; i++) {
    const value = field[i]!;
    const at = 4 * i;
    if (Number.isNaN(value) || trust[i]! < LEAST_TRUST) {
      const [x, y] = [i % width, Math.floor(i / width)];
      if (zoneIndex[i]! < 0 || (x + y) % period >= period / 4) continue;
      rgba[at] = rgba[at + 1] = rgba[at + 2] = HATCH_GREY;
      rgba[at + 3] = HATCH_OPACITY;
      continue;
    }
    const t = Math.max(-1, Math.min(1, value / span));
    const colour = 3 * Math.round((t + 1) * half);
    rgba[at] = colours[colour]!;
    rgba[at + 1] = colours[colour + 1]!;
    rgba[at + 2] = colours[colour + 2]!;
    rgba[at + 3] = Math.round(
      MOST_OPAQUE * smoothStep(Math.abs(t) / FADE) * (THINNEST + (1 - THINNEST) * Math.min(1, trust[i]! / FULL_TRUST)),
    );
  }
  return rgba;
}

/** 0 at 0, 1 from 1 on, level at both: no edge is drawn where the field has none. */
function smoothStep(x: number): number {
  const s = Math.min(1, x);
  return s * s * (3 - 2 * s);
}

/**
 * The map laid over a picture, RGB in and RGB out. The picture is drained of colour first, so that the only colours
 * are the scale's. Blended in coded values, as a page does.
 */
export function overPicture(rgb: Uint8Array, rgba: Uint8Array): Uint8Array {
  if (rgb.length * 4 !== rgba.length * 3) throw new RangeError('picture and map differ in size');
  const out = new Uint8Array(rgb.length);
  for (let i = 0, j = 0; i < rgb.length; i += 3, j += 4) {
    // Luma of ITU-R BT.709, on coded values.
    const grey = 0.2126 * rgb[i]! + 0.7152 * rgb[i + 1]! + 0.0722 * rgb[i + 2]!;
    const share = rgba[j + 3]! / 255;
    for (let k = 0; k < 3; k++) out[i + k] = Math.round(grey + share * (rgba[j + k]! - grey));
  }
  return out;
}

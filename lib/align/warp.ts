/**
 * The after photograph carried into the before frame.
 *
 * Model   Catmull-Rom interpolation (Keys 1981, a = -1/2) wherever anything is measured, so that texture loses the same everywhere;
 *         linear on hair and ground, which are only looked at.
 */
import type { Raster } from '#lib/photo/raster.ts';
import { type Flow, flowAlongRow } from './flow.ts';

export type Box = Readonly<{ left: number; right: number; top: number; bottom: number }>;

/** Linear RGB of `image` (3 channels) at the flow's places, on a grid of width x height px; NaN outside the photograph. */
export function warpColour(image: Raster, flow: Flow, width: number, height: number, measured: Box): Raster {
  const out = new Float32Array(width * height * 3);
  const xs = new Float32Array(width),
    ys = new Float32Array(width);
  const { data } = image;
  const row3 = image.width * 3;
  for (let y = 0; y < height; y++) {
    flowAlongRow(flow, y + 0.5, 0.5, 1, width, xs, ys);
    for (let x = 0, o = y * width * 3; x < width; x++, o += 3) {
      const u = xs[x] - 0.5,
        v = ys[x] - 0.5;
      if (!(u >= 1 && v >= 1 && u < image.width - 2 && v < image.height - 2)) {
        out[o] = out[o + 1] = out[o + 2] = Number.NaN;
        continue;
      }
      const i = u | 0,
        j = v | 0;
      const f = u - i,
        g = v - j;
      if (y < measured.top || y >= measured.bottom || x < measured.left || x >= measured.right) {
        const p = j * row3 + 3 * i;
        const lower = p + row3;
        for (let c = 0; c < 3; c++) {
          const top = data[p + c] + f * (data[p + 3 + c] - data[p + c]);
          const low = data[lower + c] + f * (data[lower + 3 + c] - data[lower + c]);
          out[o + c] = top + g * (low - top);
        }
        continue;
      }
      const f2 = f * f,
        f3 = f2 * f,
        g2 = g * g,
        g3 = g2 * g;
      const a0 = -0.5 * f3 + f2 - 0.5 * f,
        a1 = 1.5 * f3 - 2.5 * f2 + 1,
        a2 = -1.5 * f3 + 2 * f2 + 0.5 * f,
        a3 = 0.5 * (f3 - f2);
      const b0 = -0.5 * g3 + g2 - 0.5 * g,
        b1 = 1.5 * g3 - 2.5 * g2 + 1,
        b2 = -1.5 * g3 + 2 * g2 + 0.5 * g,
        b3 = 0.5 * (g3 - g2);
      let p = (j - 1) * row3 + (i - 1) * 3;
      let red = 0,
        green = 0,
        blue = 0;
      for (let r = 0; r < 4; r++, p += row3) {
        const b = r === 0 ? b0 : r === 1 ? b1 : r === 2 ? b2 : b3;
        red += b * (a0 * data[p] + a1 * data[p + 3] + a2 * data[p + 6] + a3 * data[p + 9]);
        green += b * (a0 * data[p + 1] + a1 * data[p + 4] + a2 * data[p + 7] + a3 * data[p + 10]);
        blue += b * (a0 * data[p + 2] + a1 * data[p + 5] + a2 * data[p + 8] + a3 * data[p + 11]);
      }
      out[o] = red;
      out[o + 1] = green;
      out[o + 2] = blue;
    }
  }
  return { width, height, channels: 3, data: out };
}

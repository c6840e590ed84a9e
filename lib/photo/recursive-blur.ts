/**
 * Runs a two-sided recursion over the rows and the columns of a raster.
 *
 * Both directions start from the steady state of the first value they meet, so that a constant stays constant, and run over
 * reflected edge before the first pixel that counts. Edges reflect by half a sample: (b a | a b c | c b).
 */
import type { Recursion } from './gaussian-recursion.ts';
import { reflect } from './reflect.ts';

/** Along every row. `settle` is how many px of reflected edge run ahead of the first that counts. */
export function recursiveRows(
  from: Float32Array,
  to: Float32Array,
  width: number,
  height: number,
  channels: number,
  filter: Recursion,
  settle: number,
): void {
  const {
    ahead: [n0, n1, n2, n3],
    back: [m1, m2, m3, m4],
    feedback: [d1, d2, d3, d4],
  } = filter;
  const steadyAhead = (n0 + n1 + n2 + n3) / (1 + d1 + d2 + d3 + d4);
  const steadyBack = (m1 + m2 + m3 + m4) / (1 + d1 + d2 + d3 + d4);
  const line = new Float64Array(width + 2 * settle);
  const forward = new Float64Array(width);
  for (let y = 0; y < height; y++) {
    for (let c = 0; c < channels; c++) {
      const start = y * width * channels + c;
      for (let x = 0; x < line.length; x++) line[x] = from[start + reflect(x - settle, width) * channels];
      const last = line.length - 1;
      let x1 = line[0],
        x2 = x1,
        x3 = x1,
        x4 = line[last];
      let y1 = steadyAhead * x1,
        y2 = y1,
        y3 = y1,
        y4 = y1;
      for (let i = 0; i < settle + width; i++) {
        const x0 = line[i];
        const y0 = n0 * x0 + n1 * x1 + n2 * x2 + n3 * x3 - d1 * y1 - d2 * y2 - d3 * y3 - d4 * y4;
        x3 = x2;
        x2 = x1;
        x1 = x0;
        y4 = y3;
        y3 = y2;
        y2 = y1;
        y1 = y0;
        if (i >= settle) forward[i - settle] = y0;
      }
      x1 = x2 = x3 = x4;
      y1 = y2 = y3 = y4 = steadyBack * x4;
      for (let i = last; i >= settle; i--) {
        const y0 = m1 * x1 + m2 * x2 + m3 * x3 + m4 * x4 - d1 * y1 - d2 * y2 - d3 * y3 - d4 * y4;
        x4 = x3;
        x3 = x2;
        x2 = x1;
        x1 = line[i];
        y4 = y3;
        y3 = y2;
        y2 = y1;
        y1 = y0;
        if (i < settle + width) to[start + (i - settle) * channels] = forward[i - settle] + y0;
      }
    }
  }
}

/** The same recursion for all columns at once: each state is a row, so that memory is walked in order. */
export function recursiveColumns(
  from: Float32Array,
  to: Float32Array,
  height: number,
  stride: number,
  filter: Recursion,
  settle: number,
): void {
  const {
    ahead: [n0, n1, n2, n3],
    back: [m1, m2, m3, m4],
    feedback: [d1, d2, d3, d4],
  } = filter;
  const rowAt = (y: number): number => reflect(Math.min(Math.max(y, -settle), height - 1 + settle), height) * stride;
  let [y0, y1, y2, y3, y4] = steadyRows(from, rowAt(-settle), stride, (n0 + n1 + n2 + n3) / (1 + d1 + d2 + d3 + d4));
  for (let y = -settle; y < height; y++) {
    const a = rowAt(y),
      b = rowAt(y - 1),
      c = rowAt(y - 2),
      d = rowAt(y - 3);
    for (let i = 0; i < stride; i++)
      y0[i] = n0 * from[a + i] + n1 * from[b + i] + n2 * from[c + i] + n3 * from[d + i] - d1 * y1[i] - d2 * y2[i] - d3 * y3[i] - d4 * y4[i];
    if (y >= 0) to.set(y0, y * stride);
    [y0, y1, y2, y3, y4] = [y4, y0, y1, y2, y3];
  }
  [y0, y1, y2, y3, y4] = steadyRows(from, rowAt(height - 1 + settle), stride, (m1 + m2 + m3 + m4) / (1 + d1 + d2 + d3 + d4));
  for (let y = height - 1 + settle; y >= 0; y--) {
    const a = rowAt(y + 1),
      b = rowAt(y + 2),
      c = rowAt(y + 3),
      d = rowAt(y + 4);
    for (let i = 0; i < stride; i++)
      y0[i] = m1 * from[a + i] + m2 * from[b + i] + m3 * from[c + i] + m4 * from[d + i] - d1 * y1[i] - d2 * y2[i] - d3 * y3[i] - d4 * y4[i];
    if (y < height) {
      const row = y * stride;
      for (let i = 0; i < stride; i++) to[row + i] = to[row + i] + y0[i];
    }
    [y0, y1, y2, y3, y4] = [y4, y0, y1, y2, y3];
  }
}

/** Five states of a recursion that has seen the row at `start` for ever. */
function steadyRows(
  from: Float32Array,
  start: number,
  stride: number,
  steady: number,
): [Float64Array, Float64Array, Float64Array, Float64Array, Float64Array] {
  const row = Float64Array.from(from.subarray(start, start + stride), (value) => value * steady);
  return [row, row.slice(), row.slice(), row.slice(), row.slice()];
}

/**
 * Where each place of the before photograph lies in the after photograph.
 *
 * Frame   cell (i, j) of the grid stands at before px ((i + 0.5) * stride, (j + 0.5) * stride); values are after px.
 */
export type Flow = Readonly<{
  width: number;
  height: number;
  stride: number;
  x: Float32Array;
  y: Float32Array;
}>;

/**
 * The flow at every `step` px along one row of places y, from x = first, `count` places: linear between cells, continued
 * outside by the border. Written into xs and ys.
 */
export function flowAlongRow(flow: Flow, y: number, first: number, step: number, count: number, xs: Float32Array, ys: Float32Array): void {
  const { width, height, stride } = flow;
  const v = Math.min(Math.max(y / stride - 0.5, 0), height - 1.000001);
  const j = Math.floor(v);
  const g = v - j;
  const upper = j * width,
    lower = (j + 1 < height ? j + 1 : j) * width;
  for (let k = 0; k < count; k++) {
    const place = (first + k * step) / stride - 0.5;
    const u = place < 0 ? 0 : place > width - 1.000001 ? width - 1.000001 : place;
    const i = Math.floor(u);
    const f = u - i;
    const [a, b, c, d] = [(1 - f) * (1 - g), f * (1 - g), (1 - f) * g, f * g];
    // Beyond the outermost cell centres the field goes on as a plain shift.
    const beyond = (place - u) * stride;
    xs[k] = a * flow.x[upper + i] + b * flow.x[upper + i + 1] + c * flow.x[lower + i] + d * flow.x[lower + i + 1] + beyond;
    ys[k] =
      a * flow.y[upper + i] +
      b * flow.y[upper + i + 1] +
      c * flow.y[lower + i] +
      d * flow.y[lower + i + 1] +
      (y / stride - 0.5 - v) * stride;
  }
}

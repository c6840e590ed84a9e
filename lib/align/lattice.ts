/**
 * A smooth field of two-dimensional shifts: uniform cubic B-splines on a square lattice.
 *
 * Frame   px of the before photograph. Node (i, j) sits at (x0 + (i - 1) * spacing, y0 + (j - 1) * spacing); a point is
 *         carried by the 4 x 4 nodes around it. Coefficients are interleaved (x, y) per node, row-major.
 * Source  Rueckert et al., IEEE Trans. Med. Imaging 18(8):712-721, 1999, doi:10.1109/42.796284 (free-form deformation).
 */

export type Lattice = Readonly<{
  columns: number;
  rows: number;
  spacing: number;
  x0: number;
  y0: number;
  /** (rows * columns, 2) px */
  shift: Float64Array;
}>;

/** A lattice at rest that covers [x0, x1] x [y0, y1]. */
export function restingLattice(x0: number, y0: number, x1: number, y1: number, spacing: number): Lattice {
  const columns = Math.ceil((x1 - x0) / spacing) + 3;
  const rows = Math.ceil((y1 - y0) / spacing) + 3;
  return { columns, rows, spacing, x0, y0, shift: new Float64Array(columns * rows * 2) };
}

/** The 16 nodes that carry (x, y), and their weights, written into `nodes` and `weights`. Points outside are carried by the border. */
export function carriers(lattice: Lattice, x: number, y: number, nodes: Int32Array, weights: Float64Array): void {
  const u = Math.min(Math.max((x - lattice.x0) / lattice.spacing, 0), lattice.columns - 3 - 1e-9);
  const v = Math.min(Math.max((y - lattice.y0) / lattice.spacing, 0), lattice.rows - 3 - 1e-9);
  const i = Math.floor(u),
    j = Math.floor(v);
  const f = u - i,
    g = v - j;
  const a0 = (1 - f) ** 3 / 6,
    a1 = (3 * f ** 3 - 6 * f * f + 4) / 6,
    a3 = f ** 3 / 6,
    a2 = 1 - a0 - a1 - a3;
  const b0 = (1 - g) ** 3 / 6,
    b1 = (3 * g ** 3 - 6 * g * g + 4) / 6,
    b3 = g ** 3 / 6,
    b2 = 1 - b0 - b1 - b3;
  for (let r = 0; r < 4; r++) {
    const b = r === 0 ? b0 : r === 1 ? b1 : r === 2 ? b2 : b3;
    const base = (j + r) * lattice.columns + i;
    const k = 4 * r;
    nodes[k] = base;
    nodes[k + 1] = base + 1;
    nodes[k + 2] = base + 2;
    nodes[k + 3] = base + 3;
    weights[k] = a0 * b;
    weights[k + 1] = a1 * b;
    weights[k + 2] = a2 * b;
    weights[k + 3] = a3 * b;
  }
}

/** The shift at (x, y), px. */
export function shiftAt(lattice: Lattice, x: number, y: number): [number, number] {
  carriers(lattice, x, y, scratchNodes, scratchWeights);
  let dx = 0,
    dy = 0;
  for (let k = 0; k < 16; k++) {
    const n = 2 * scratchNodes[k]!;
    dx += scratchWeights[k]! * lattice.shift[n]!;
    dy += scratchWeights[k]! * lattice.shift[n + 1]!;
  }
  return [dx, dy];
}

const scratchNodes = new Int32Array(16);
const scratchWeights = new Float64Array(16);

/**
 * Adds the shift at every cell centre ((i + 0.5) * stride, (j + 0.5) * stride) of a width x height grid to x and y. The spline is a
 * product, so rows of nodes are blended first and columns after: a quarter of the work of `shiftAt` at each place.
 */
export function addShifts(lattice: Lattice, width: number, height: number, stride: number, x: Float32Array, y: Float32Array): void {
  const { columns } = lattice;
  const across = Array.from({ length: width }, (_, i) => axisWeights(((i + 0.5) * stride - lattice.x0) / lattice.spacing, columns));
  const blended = new Float64Array(2 * columns);
  for (let j = 0, k = 0; j < height; j++) {
    const [first, b0, b1, b2, b3] = axisWeights(((j + 0.5) * stride - lattice.y0) / lattice.spacing, lattice.rows);
    const row = 2 * first * columns,
      next = 2 * columns;
    for (let n = 0; n < next; n++)
      blended[n] =
        b0 * lattice.shift[row + n] +
        b1 * lattice.shift[row + next + n] +
        b2 * lattice.shift[row + 2 * next + n] +
        b3 * lattice.shift[row + 3 * next + n];
    for (let i = 0; i < width; i++, k++) {
      const [start, a0, a1, a2, a3] = across[i];
      const n = 2 * start;
      x[k] += a0 * blended[n] + a1 * blended[n + 2] + a2 * blended[n + 4] + a3 * blended[n + 6];
      y[k] += a0 * blended[n + 1] + a1 * blended[n + 3] + a2 * blended[n + 5] + a3 * blended[n + 7];
    }
  }
}

type AxisWeights = readonly [first: number, w0: number, w1: number, w2: number, w3: number];

/** First of the four nodes around `place` (in spacings from the origin) on one axis, and their weights. */
function axisWeights(place: number, nodes: number): AxisWeights {
  const u = Math.min(Math.max(place, 0), nodes - 3 - 1e-9);
  const i = Math.floor(u);
  const f = u - i;
  const w0 = (1 - f) ** 3 / 6,
    w1 = (3 * f ** 3 - 6 * f * f + 4) / 6,
    w3 = f ** 3 / 6;
  return [i, w0, w1, 1 - w0 - w1 - w3, w3];
}

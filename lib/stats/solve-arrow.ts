/**
 * Symmetric positive definite systems whose unknowns fall into blocks that know each other only through one border: what several
 * views share is the border, what each has of its own is a block. Cost grows with the number of blocks, not with its cube.
 *
 * Model    A = [C R_1 R_2 ...; R_1' A_1 0 ...; R_2' 0 A_2 ...]. Blocks are eliminated one by one, A_v = L_v L_v', X_v = R_v L_v'^-1;
 *          what is left of the border is S = C - sum X_v X_v' = L_S L_S'. The inverse has S^-1 in the border's place, so all that
 *          asks for the border alone needs L_S alone.
 * Storage  row-major, flat, lower triangles. A part is (border + block)^2 with the border first.
 * Source   Golub & Van Loan, Matrix Computations, 4th ed., 4.2.5 (block elimination); 2.1.4 for the inverse of a bordered matrix.
 */
import { factorSpd, solveFactored, solveRows } from './solve-spd.ts';
import { dot, subtractProducts } from './subtract-products.ts';

/** Rows worked together where a part of them is known to be empty. */
const CHUNK = 32;

type Block = Readonly<{
  size: number;
  /** L_v (size, size) */
  factor: Float64Array;
  /** X_v (border, size) */
  across: Float64Array;
}>;

export type ArrowFactor = Readonly<{
  border: number;
  /** S, lower triangle, and L_S, both (border, border): what the data and priors say of the border once the blocks are accounted for. */
  rest: Float64Array;
  tail: Float64Array;
  blocks: readonly Block[];
}>;

/**
 * `parts` (border + block)^2 each hold one block, its coupling to the border, and its share of the border; `own` (border, border) is
 * added to the border's shares. Only lower triangles are read. Null when the whole is not positive definite.
 */
export function factorArrow(parts: readonly Float64Array[], own: Float64Array, border: number): ArrowFactor | null {
  const rest = own.slice();
  const blocks: Block[] = [];
  for (const part of parts) {
    const stride = Math.round(Math.sqrt(part.length));
    const size = stride - border;
    const inner = new Float64Array(size * size);
    const across = new Float64Array(border * size);
    for (let i = 0; i < size; i++) {
      const row = (border + i) * stride;
      for (let j = 0; j <= i; j++) inner[i * size + j] = part[row + border + j];
      for (let j = 0; j < border; j++) across[j * size + i] = part[row + j];
    }
    const factor = factorSpd(inner, size);
    if (!factor) return null;
    solveRows(factor, size, across, border);
    for (let i = 0; i < border; i++) for (let j = 0; j <= i; j++) rest[i * border + j] += part[i * stride + j];
    const rows = { data: across, at: 0, stride: size };
    subtractProducts({ data: rest, at: 0, stride: border }, rows, border, rows, border, size, true);
    blocks.push({ size, factor, across });
  }
  const tail = factorSpd(rest, border);
  return tail && { border, rest, tail, blocks };
}

/** Solves A x = b, with b and x as the border's part and one part for each block. */
export function solveArrow(
  { border, tail, blocks }: ArrowFactor,
  right: Float64Array,
  rights: readonly Float64Array[],
): { border: Float64Array; blocks: Float64Array[] } {
  const left = right.slice();
  const halves = blocks.map(({ size, factor, across }, v) => {
    const half = rights[v].slice();
    solveRows(factor, size, half, 1);
    for (let j = 0; j < border; j++) left[j] -= dot(across, j * size, half, 0, size);
    return half;
  });
  const x = solveFactored(tail, left, border);
  return {
    border: x,
    blocks: blocks.map(({ size, factor, across }, v) => {
      const y = halves[v];
      for (let j = 0; j < border; j++) for (let i = 0; i < size; i++) y[i] -= across[j * size + i] * x[j];
      backward(factor, y, size);
      return y;
    }),
  };
}

/** The diagonal of the inverse at the unknowns of each block from `first` on; what stands before is left at zero. */
export function blockVariances({ border, tail, blocks }: ArrowFactor, first = 0): Float64Array[] {
  // At a block the inverse is A_v^-1 + T S^-1 T' with T = A_v^-1 R_v' = L_v'^-1 X_v', so what is asked are lengths of rows.
  return blocks.map(({ size, factor, across }) => {
    const count = size - first;
    const columns = new Float64Array(count * size);
    const turned = new Float64Array(count * border);
    for (let from = 0; from < count; from += CHUNK) {
      const rows = Math.min(CHUNK, count - from);
      const begin = first + from; // rows x with x L' = e_i are the columns of L^-1, which have nothing before i
      for (let i = 0; i < rows; i++) columns[(from + i) * size + begin + i] = 1;
      solveRows(factor, size, columns.subarray(from * size, (from + rows) * size), rows, begin);
      const part = { data: columns, at: from * size + begin, stride: size };
      const seen = { data: across, at: begin, stride: size };
      subtractProducts({ data: turned, at: from * border, stride: border }, part, rows, seen, border, size - begin);
    }
    solveRows(tail, border, turned, count);
    return Float64Array.from({ length: size }, (_, i) => {
      const k = i - first;
      return k < 0 ? 0 : dot(columns, k * size, columns, k * size, size) + dot(turned, k * border, turned, k * border, border);
    });
  });
}

/** L' x = y in place. */
function backward(l: Float64Array, x: Float64Array, size: number): void {
  for (let i = size - 1; i >= 0; i--) {
    x[i] /= l[i * size + i];
    for (let k = 0, at = i * size; k < i; k++, at++) x[k] -= l[at] * x[i];
  }
}

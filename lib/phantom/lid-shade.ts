/**
 * The shade of lids and lashes on the eye.
 *
 * Frame   head, mm.
 */
import { smoothstep } from './fields.ts';

/** How freely light falls on the eye at (x, y), head frame: lids and lashes shade its upper part, and a little its lower. 0..1 */
export function lidOpening(head: Float64Array, loop: readonly number[]): (x: number, y: number) => number {
  const row = (indices: readonly number[]): [number, number][] =>
    indices.map((i): [number, number] => [head[3 * i], head[3 * i + 1]]).toSorted((a, b) => a[0] - b[0]);
  const upper = row(loop.slice(0, 9));
  const lower = row([loop[0], ...loop.slice(8)]);
  const at = (line: readonly [number, number][], x: number): number => {
    const k = Math.min(line.length - 2, Math.max(0, line.findIndex(([px]) => px > x) - 1));
    const t = Math.min(1, Math.max(0, (x - line[k][0]) / (line[k + 1][0] - line[k][0])));
    return line[k][1] + t * (line[k + 1][1] - line[k][1]);
  };
  return (x, y) => (0.38 + 0.62 * smoothstep(-0.5, 4.2, at(upper, x) - y)) * (0.72 + 0.28 * smoothstep(-0.5, 1.6, y - at(lower, x)));
}

/**
 * Values of the skin's tile and of the face's drawing between their texels (bilinear). Called for every sample, so plain code.
 */
import { DECAL_SIZE } from './decal.ts';
import { TILE_SIZE } from './detail.ts';

const MASK = TILE_SIZE - 1;

/** All four channels of the tile at (x, y) texels, which may lie anywhere: the tile repeats. */
export function sampleTile(tile: Float32Array, x: number, y: number, into: Float64Array): void {
  const i = Math.floor(x);
  const j = Math.floor(y);
  const fx = x - i;
  const fy = y - j;
  const above = (j & MASK) * TILE_SIZE;
  const below = ((j + 1) & MASK) * TILE_SIZE;
  const left = i & MASK;
  const right = (i + 1) & MASK;
  const [p, q, r, s] = [4 * (above + left), 4 * (above + right), 4 * (below + left), 4 * (below + right)];
  for (let k = 0; k < 4; k++)
    into[k] = (1 - fy) * ((1 - fx) * tile[p + k] + fx * tile[q + k]) + fy * ((1 - fx) * tile[r + k] + fx * tile[s + k]);
}

/** One channel of the tile. */
export function tileChannel(tile: Float32Array, x: number, y: number, channel: number): number {
  const i = Math.floor(x);
  const j = Math.floor(y);
  const fx = x - i;
  const fy = y - j;
  const above = (j & MASK) * TILE_SIZE;
  const below = ((j + 1) & MASK) * TILE_SIZE;
  const left = i & MASK;
  const right = (i + 1) & MASK;
  return (
    (1 - fy) * ((1 - fx) * tile[4 * (above + left) + channel] + fx * tile[4 * (above + right) + channel]) +
    fy * ((1 - fx) * tile[4 * (below + left) + channel] + fx * tile[4 * (below + right) + channel])
  );
}

/** All four channels of the drawing at (u, v); zero outside its square. */
export function sampleDecal(decal: Float32Array, u: number, v: number, into: Float64Array): void {
  const x = u * DECAL_SIZE - 0.5;
  const y = v * DECAL_SIZE - 0.5;
  const i = Math.floor(x);
  const j = Math.floor(y);
  if (i < 0 || j < 0 || i >= DECAL_SIZE - 1 || j >= DECAL_SIZE - 1) {
    into.fill(0);
    return;
  }
  const fx = x - i;
  const fy = y - j;
  const p = 4 * (j * DECAL_SIZE + i);
  const q = p + 4 * DECAL_SIZE;
  for (let k = 0; k < 4; k++)
    into[k] = (1 - fy) * ((1 - fx) * decal[p + k] + fx * decal[p + 4 + k]) + fy * ((1 - fx) * decal[q + k] + fx * decal[q + 4 + k]);
}

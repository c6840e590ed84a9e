/**
 * Fine skin: one tile of relief and colour variation that repeats every 86 mm, sampled at the skin's own places.
 *
 * Layout  (SIZE, SIZE, 4): slope of the relief along u and v; melanin; blood. Unit standard deviation each.
 */
import { gaussianBlur, raster } from '#lib/photo/raster.ts';
import { randomFrom } from '#lib/stats/random.ts';

export const TILE_SIZE = 512;
/** Texels per unit of uv: 0.168 mm each. */
export const TILE_PER_UV = 1400;
const MARGIN = 96;

let kept: Float32Array | null = null;

export function detailTile(): Float32Array {
  kept ??= build();
  return kept;
}

function build(): Float32Array {
  // Pores and the lattice of fine lines, then mottling from half a millimetre to a centimetre.
  const relief = noise(1, [0.8, 2.2, 5], [1, 0.9]);
  const melanin = noise(2, [1.2, 4, 12, 40], [0.6, 0.7, 1]);
  const blood = noise(3, [2, 7, 22, 48], [0.7, 1, 0.9]);
  const tile = new Float32Array(4 * TILE_SIZE * TILE_SIZE);
  const wrap = TILE_SIZE - 1;
  let sum = 0;
  for (let y = 0; y < TILE_SIZE; y++)
    for (let x = 0; x < TILE_SIZE; x++) {
      const at = y * TILE_SIZE + x;
      const du = relief[y * TILE_SIZE + ((x + 1) & wrap)] - relief[y * TILE_SIZE + ((x - 1) & wrap)];
      const dv = relief[((y + 1) & wrap) * TILE_SIZE + x] - relief[((y - 1) & wrap) * TILE_SIZE + x];
      tile[4 * at] = du;
      tile[4 * at + 1] = dv;
      tile[4 * at + 2] = melanin[at];
      tile[4 * at + 3] = blood[at];
      sum += du * du + dv * dv;
    }
  const slope = Math.sqrt(sum / (2 * TILE_SIZE * TILE_SIZE));
  for (let i = 0; i < tile.length; i += 4) {
    tile[i] /= slope;
    tile[i + 1] /= slope;
  }
  return tile;
}

/** Noise that continues from one edge to the other: bands between neighbouring scales (texels), each of unit deviation, weighed and added; unit deviation in all. */
function noise(seed: number, scales: readonly number[], weights: readonly number[]): Float32Array {
  const chance = randomFrom(seed).fork('skin');
  const white = Float32Array.from({ length: TILE_SIZE * TILE_SIZE }, () => chance.uint32() / 2 ** 32 - 0.5);
  const size = TILE_SIZE + 2 * MARGIN;
  const padded = raster(size, size, 1);
  for (let y = 0; y < size; y++)
    for (let x = 0; x < size; x++)
      padded.data[y * size + x] = white[((y + TILE_SIZE - MARGIN) % TILE_SIZE) * TILE_SIZE + ((x + TILE_SIZE - MARGIN) % TILE_SIZE)];
  const blurred = scales.map((sigma) => gaussianBlur(padded, sigma).data);
  const out = new Float32Array(TILE_SIZE * TILE_SIZE);
  weights.forEach((weight, band) => {
    const [fine, coarse] = [blurred[band], blurred[band + 1]];
    const values = new Float32Array(out.length);
    for (let y = 0, i = 0; y < TILE_SIZE; y++)
      for (let x = 0, at = (y + MARGIN) * size + MARGIN; x < TILE_SIZE; x++, i++, at++) values[i] = fine[at] - coarse[at];
    const scale = weight / deviation(values);
    for (let i = 0; i < out.length; i++) out[i] += scale * values[i];
  });
  const all = deviation(out);
  return out.map((value) => value / all);
}

function deviation(values: Float32Array): number {
  let square = 0;
  for (let i = 0; i < values.length; i++) square += values[i] * values[i];
  return Math.sqrt(square / values.length);
}

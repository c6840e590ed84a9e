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
  const relief = mix([[noiseBand(1, 0.8, 2.2), 1], [noiseBand(2, 2, 5), 0.9]]);
  const melanin = mix([[noiseBand(3, 1.2, 4), 0.6], [noiseBand(4, 4, 12), 0.7], [noiseBand(5, 12, 40), 1]]);
  const blood = mix([[noiseBand(6, 2, 7), 0.7], [noiseBand(7, 8, 24), 1], [noiseBand(8, 20, 48), 0.9]]);
  const tile = new Float32Array(4 * TILE_SIZE * TILE_SIZE);
  const wrap = TILE_SIZE - 1;
  let sum = 0;
  for (let y = 0; y < TILE_SIZE; y++)
    for (let x = 0; x < TILE_SIZE; x++) {
      const at = y * TILE_SIZE + x;
      const du = relief[y * TILE_SIZE + ((x + 1) & wrap)] - relief[y * TILE_SIZE + ((x - 1) & wrap)];
      const dv = relief[((y + 1) & wrap) * TILE_SIZE + x] - relief[((y - 1) & wrap) * TILE_SIZE + x];
      tile.set([du, dv, melanin[at], blood[at]], 4 * at);
      sum += du * du + dv * dv;
    }
  const slope = Math.sqrt(sum / (2 * TILE_SIZE * TILE_SIZE));
  for (let i = 0; i < tile.length; i += 4) {
    tile[i] /= slope;
    tile[i + 1] /= slope;
  }
  return tile;
}

/** Noise between two scales (texels) that continues from one edge to the other; unit standard deviation. */
function noiseBand(seed: number, fine: number, coarse: number): Float32Array {
  const chance = randomFrom(seed).fork('skin');
  const white = Float32Array.from({ length: TILE_SIZE * TILE_SIZE }, () => chance.uniform() - 0.5);
  const size = TILE_SIZE + 2 * MARGIN;
  const padded = raster(size, size, 1);
  for (let y = 0; y < size; y++)
    for (let x = 0; x < size; x++) padded.data[y * size + x] = white[((y + TILE_SIZE - MARGIN) % TILE_SIZE) * TILE_SIZE + ((x + TILE_SIZE - MARGIN) % TILE_SIZE)];
  const [a, b] = [gaussianBlur(padded, fine).data, gaussianBlur(padded, coarse).data];
  const band = Float32Array.from(white, (_, i) => {
    const at = (Math.floor(i / TILE_SIZE) + MARGIN) * size + (i % TILE_SIZE) + MARGIN;
    return a[at] - b[at];
  });
  return normalised(band);
}

function mix(parts: readonly (readonly [Float32Array, number])[]): Float32Array {
  return normalised(parts[0][0].map((_, i) => parts.reduce((sum, [band, weight]) => sum + weight * band[i], 0)));
}

function normalised(values: Float32Array): Float32Array {
  let square = 0;
  for (const value of values) square += value * value;
  const sd = Math.sqrt(square / values.length);
  return values.map((value) => value / sd);
}

/**
 * Draws a contact sheet of synthetic faces, several persons, tones and views, to docs/phantoms.png.
 * Run: `node workers/draw-phantoms.ts [folder]`.
 */
import { mkdir } from 'node:fs/promises';
import { join } from 'node:path';
import sharp from 'sharp';
import { identityFrom } from '#lib/phantom/identity.ts';
import { phantomSpec, renderFace } from '#lib/phantom/render.ts';

const [WIDTH, HEIGHT, COLUMNS, GAP] = [320, 400, 5, 6];
/** Seed, skin tone and yaw of each portrait. */
const PORTRAITS = [
  [2, 0, 0],
  [5, 0.2, 38],
  [8, 0.45, 0],
  [14, 0.7, -38],
  [3, 1, 0],
  [9, 0.85, 0],
  [11, 0.55, 38],
  [6, 0.1, -75],
  [13, 0.3, 0],
  [4, 0.95, -38],
] as const;

const tiles = [];
for (const [k, [seed, tone, yawDeg]] of PORTRAITS.entries()) {
  const { raster } = renderFace(
    phantomSpec({
      identity: identityFrom(seed, tone),
      pose: { yawDeg, shiftXMm: yawDeg < -60 ? -18 : 0 },
      camera: { widthPx: 2 * WIDTH, heightPx: 2 * HEIGHT, interpupillaryPx: 158 },
      quality: 'fine',
    }),
  );
  const input = await sharp(raster.data, { raw: { width: raster.width, height: raster.height, channels: 3 } })
    .resize(WIDTH, HEIGHT)
    .png()
    .toBuffer();
  tiles.push({ input, left: GAP + (k % COLUMNS) * (WIDTH + GAP), top: GAP + Math.floor(k / COLUMNS) * (HEIGHT + GAP) });
}

const folder = process.argv[2] ?? 'docs';
await mkdir(folder, { recursive: true });
const rows = Math.ceil(PORTRAITS.length / COLUMNS);
await sharp({ create: { width: GAP + COLUMNS * (WIDTH + GAP), height: GAP + rows * (HEIGHT + GAP), channels: 3, background: '#fdfcfa' } })
  .composite(tiles)
  .png({ palette: true, colours: 256, dither: 0.6 })
  .toFile(join(folder, 'phantoms.png'));
console.log(`wrote phantoms.png to ${folder}`);

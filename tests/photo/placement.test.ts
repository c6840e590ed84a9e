import { describe, expect, it } from 'vitest';
import type { Orientation } from '#lib/photo/orientation.ts';
import type { Crop, LinearPhoto } from '#lib/photo/types.ts';
import { asStored, dots, fileOf, opened } from '#tests/photo/pictures.ts';

const ORIENTATIONS: readonly Orientation[] = [1, 2, 3, 4, 5, 6, 7, 8];
const SCALES = [1, 0.77, 0.45, 0.3, 0.17, 0.11];
/** Original px. */
const GOOD_TO_PX = 0.05;
/** Working px: at a tenth of the size, 0.05 original px would be finer than 8-bit dots can be read. */
const GOOD_TO_WORKING_PX = 0.015;
const goodTo = (scale: number): number => Math.max(GOOD_TO_PX, GOOD_TO_WORKING_PX / scale);

/** Light-weighted centre of what rises above the ground, near a place; all in px of `image`, first pixel centre (0.5, 0.5). */
function centreNear(
  image: Pick<LinearPhoto, 'width' | 'height' | 'data'>,
  near: readonly [number, number],
  reach: number,
): [number, number] {
  const ground = ((40 / 255 + 0.055) / 1.055) ** 2.4 * 1.15;
  let sum = 0;
  let sumX = 0;
  let sumY = 0;
  for (let y = Math.max(0, Math.floor(near[1] - reach)); y < Math.min(image.height, near[1] + reach); y++) {
    for (let x = Math.max(0, Math.floor(near[0] - reach)); x < Math.min(image.width, near[0] + reach); x++) {
      const light = Math.max(0, image.data[3 * (y * image.width + x) + 1] - ground);
      sum += light;
      sumX += light * (x + 0.5);
      sumY += light * (y + 0.5);
    }
  }
  return [sumX / sum, sumY / sum];
}

/** How far each dot is found from where it was put, by the placement that the developed crop states; px of the original. */
async function misses(file: Uint8Array, places: readonly (readonly [number, number])[], radius: number, crop: Crop, scale: number) {
  const photo = await opened(file);
  const developed = await photo.develop(crop, scale);
  if (!developed.ok) throw new Error(developed.detail);
  const { placement } = developed.value;
  return places.map(([x, y]) => {
    const near = [x * placement.scale - placement.offsetX, y * placement.scale - placement.offsetY] as const;
    const [u, v] = centreNear(developed.value, near, 4.5 * radius * placement.scale + 1.5);
    return Math.hypot((u + placement.offsetX) / placement.scale - x, (v + placement.offsetY) / placement.scale - y);
  });
}

describe('law', () => {
  // Sizes that no power of two divides are where codecs go wrong; the first is one that JPEG can shrink on load.
  const SIZES = [
    { width: 640, height: 480 },
    { width: 601, height: 453 },
    { width: 403, height: 607 },
  ];
  const RADIUS = 14;

  it.each(ORIENTATIONS)('a dot is found where it was put, orientation %i, at every scale, in JPEG and PNG', async (orientation) => {
    for (const { width, height } of SIZES) {
      const places = [
        [width * 0.3 + 0.2, height * 0.27 + 0.4],
        [width * 0.71 + 0.3, height * 0.66 + 0.1],
      ] as const;
      const stored = asStored(dots(width, height, places, RADIUS), orientation);
      for (const format of ['jpeg', 'png'] as const) {
        const file = await fileOf(stored, format, orientation);
        for (const scale of SCALES) {
          const found = await misses(file, places, RADIUS, { x: 20, y: 15, width: width - 50, height: height - 40 }, scale);
          for (const miss of found) expect(miss, `${width} x ${height} ${format} at ${scale}`).toBeLessThan(goodTo(scale));
        }
      }
    }
  });

  it.each(['webp', 'tiff'] as const)('a dot is found where it was put in %s', async (format) => {
    const places = [[301.3, 155.6]] as const;
    const file = await fileOf(asStored(dots(601, 453, places, RADIUS), 6), format, 6);
    for (const scale of SCALES)
      for (const miss of await misses(file, places, RADIUS, { x: 0, y: 0, width: 601, height: 453 }, scale))
        expect(miss).toBeLessThan(goodTo(scale));
  });

  it('a dot is found where it was put at 12 megapixels and at 40, far from the middle', async () => {
    for (const [width, height] of [
      [4000, 3000],
      [7731, 5153],
    ] as const) {
      const places = [
        [width * 0.12, height * 0.88],
        [width * 0.9, height * 0.2],
      ] as const;
      const file = await fileOf(dots(width, height, places, 40), 'jpeg', 1);
      for (const scale of [0.452, 0.23])
        for (const miss of await misses(file, places, 40, { x: 0, y: 0, width, height }, scale))
          expect(miss, `${width} at ${scale}`).toBeLessThan(goodTo(scale));
    }
  });

  it('a crop that pokes outside is clamped, and says where it lies', async () => {
    const places = [[60.25, 70.5]] as const;
    const photo = await opened(await fileOf(dots(400, 300, places, 12), 'png'));
    const developed = await photo.develop({ x: -100, y: -50, width: 260, height: 200 }, 0.5);
    if (!developed.ok) throw new Error(developed.detail);
    expect([developed.value.width, developed.value.height]).toEqual([80, 75]);
    expect(developed.value.placement).toEqual({ scale: 0.5, offsetX: 0, offsetY: 0 });
    expect(developed.value.original).toEqual({ width: 400, height: 300 });
    const [u, v] = centreNear(developed.value, [30, 35], 28);
    expect(Math.hypot(u / 0.5 - 60.25, v / 0.5 - 70.5)).toBeLessThan(GOOD_TO_PX);
  });

  it('keeps to the scale asked for within 0.2 %, and covers the crop', async () => {
    const photo = await opened(await fileOf(dots(1999, 1501, [[500, 500]], 20), 'png'));
    for (const scale of [0.9137, 0.61, Math.SQRT1_2, 0.2]) {
      const developed = await photo.develop({ x: 400, y: 300, width: 500, height: 500 }, scale);
      if (!developed.ok) throw new Error(developed.detail);
      const { width, height, placement } = developed.value;
      expect(Math.abs(placement.scale / scale - 1)).toBeLessThanOrEqual(0.002);
      for (const [length, offset, from] of [
        [width, placement.offsetX, 400],
        [height, placement.offsetY, 300],
      ] as const) {
        expect(offset / placement.scale, 'begins at or before the crop').toBeLessThanOrEqual(from + GOOD_TO_PX);
        expect((length + offset) / placement.scale, 'ends at or after the crop').toBeGreaterThanOrEqual(from + 500 - GOOD_TO_PX);
        expect(length, 'and is little larger').toBeLessThanOrEqual(Math.ceil(500 * scale) + 25);
      }
    }
  });

  it.each(ORIENTATIONS)('a glance shows the same places, orientation %i', async (orientation) => {
    const places = [[421.5, 133.25]] as const;
    const { width, height } = { width: 601, height: 453 };
    const photo = await opened(await fileOf(asStored(dots(width, height, places, 16), orientation), 'jpeg', orientation));
    expect([photo.width, photo.height]).toEqual([width, height]);
    for (const longest of [2000, 320, 100]) {
      const glance = await photo.glance(longest);
      if (!glance.ok) throw new Error(glance.detail);
      expect(Math.max(glance.value.width, glance.value.height)).toBe(Math.min(longest, width));
      const linear = { ...glance.value, data: Float32Array.from(glance.value.data, (code) => ((code / 255 + 0.055) / 1.055) ** 2.4) };
      const factor = glance.value.width / width;
      const [u, v] = centreNear(linear, [421.5 * factor, 133.25 * factor], 70 * factor);
      expect(Math.hypot((u / glance.value.width) * width - 421.5, (v / glance.value.height) * height - 133.25)).toBeLessThan(
        2 * GOOD_TO_PX,
      );
    }
  });

  it('a scale outside 0 to 1, and a crop beside the picture, are the caller’s mistakes', async () => {
    const photo = await opened(await fileOf(dots(100, 80, [[50, 40]], 8), 'png'));
    const all = { x: 0, y: 0, width: 100, height: 80 };
    await expect(photo.develop(all, 0)).rejects.toThrow(RangeError);
    await expect(photo.develop(all, 1.01)).rejects.toThrow(RangeError);
    await expect(photo.develop(all, Number.NaN)).rejects.toThrow(RangeError);
    await expect(photo.develop({ ...all, x: 100 }, 1)).rejects.toThrow(RangeError);
    await expect(photo.glance(0)).rejects.toThrow(RangeError);
  });
});

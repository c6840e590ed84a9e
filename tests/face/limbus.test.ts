import { describe, expect, it } from 'vitest';
import { fitLimbus } from '#lib/face/limbus.ts';
import type { Raster } from '#lib/photo/raster.ts';
import { randomFrom } from '#lib/stats/random.ts';

type Eye = Readonly<{ x: number; y: number; radius: number; blur?: number; noise?: number; lid?: number; glint?: boolean; seed?: number }>;

/** An eye: dark iris, darker pupil, bright white, lids above and below, soft limbus; linear light. */
function eye({ x, y, radius, blur = 1, noise = 0, lid = 0.75, glint = true, seed = 1 }: Eye): Raster {
  const [width, height] = [Math.round(6 * radius), Math.round(4 * radius)];
  const random = randomFrom(seed);
  const data = new Float32Array(width * height);
  const soft = (edge: number) => 1 / (1 + Math.exp(-edge / (0.55 * blur)));
  for (let row = 0; row < height; row++)
    for (let column = 0; column < width; column++) {
      const [dx, dy] = [column + 0.5 - x, row + 0.5 - y];
      const r = Math.hypot(dx, dy);
      let value = 0.04 + (0.12 - 0.04) * soft(r - 0.35 * radius) + (0.5 - 0.12) * soft(r - radius);
      const cover = soft(Math.abs(dy) - lid * radius * Math.sqrt(Math.max(0.05, 1 - (dx / (2.2 * radius)) ** 2)) - 0);
      value = value * (1 - cover) + 0.3 * cover;
      if (glint && Math.hypot(dx - 0.3 * radius, dy + 0.3 * radius) < 0.15 * radius) value = 1;
      data[row * width + column] = value + noise * random.normal();
    }
  return { width, height, channels: 1, data };
}

const fitted = (image: Raster, guess: { x: number; y: number; radius: number }) => {
  const got = fitLimbus(image, { xPx: guess.x, yPx: guess.y, radiusPx: guess.radius }, 0);
  if (!got.ok) throw new Error(got.detail);
  return got.value;
};

describe('law', () => {
  it.each([8, 15, 30, 45])('an iris of radius %d px is found to 1 % from a guess that is 10 % too large and off', (radius) => {
    const [x, y] = [3 * radius + 0.3, 2 * radius - 0.4];
    const got = fitted(eye({ x, y, radius }), { x: x + 0.1 * radius, y: y + 0.05 * radius, radius: 1.1 * radius });
    expect(Math.abs(got.radiusPx / radius - 1)).toBeLessThan(0.015);
    expect(Math.abs(got.xPx - x)).toBeLessThan(0.03 * radius + 0.1);
  });

  it('a lens that blurs does not make the iris larger or smaller', () => {
    const sharp = fitted(eye({ x: 90, y: 60, radius: 30, blur: 0.7 }), { x: 91, y: 60, radius: 31 });
    const soft = fitted(eye({ x: 90, y: 60, radius: 30, blur: 2.5 }), { x: 91, y: 60, radius: 31 });
    expect(Math.abs(soft.radiusPx / sharp.radiusPx - 1)).toBeLessThan(0.015);
  });

  it('stated uncertainty is of the size of the scatter when the noise is drawn again', () => {
    let seen = 0;
    let stated = 0;
    let mean = 0;
    const draws = 40;
    const radii: number[] = [];
    for (let seed = 1; seed <= draws; seed++) {
      const got = fitted(eye({ x: 60, y: 40, radius: 20, noise: 0.02, seed }), { x: 61, y: 40, radius: 21 });
      radii.push(got.radiusPx);
      mean += got.radiusPx / draws;
      stated += got.uPx ** 2 / draws;
    }
    for (const radius of radii) seen += (radius - mean) ** 2 / (draws - 1);
    expect(Math.sqrt(stated / seen)).toBeGreaterThan(0.6);
    expect(Math.sqrt(stated / seen)).toBeLessThan(2.5);
  });

  it('a tilted eye is measured along its own axis', () => {
    // the lids of an upright eye cover what the arcs of a head tilted by 90 degrees look at
    const image = eye({ x: 90, y: 60, radius: 30, lid: 0.6 });
    const turned: Raster = { width: image.height, height: image.width, channels: 1, data: new Float32Array(image.data.length) };
    for (let row = 0; row < image.height; row++)
      for (let column = 0; column < image.width; column++)
        turned.data[column * turned.width + (image.height - 1 - row)] = image.data[row * image.width + column];
    const got = fitLimbus(turned, { xPx: image.height - 60, yPx: 90, radiusPx: 31 }, Math.PI / 2);
    if (!got.ok) throw new Error(got.detail);
    expect(Math.abs(got.value.radiusPx / 30 - 1)).toBeLessThan(0.02);
  });
});

describe('refusal', () => {
  it('an iris too small to measure, and a place without one', () => {
    expect(fitLimbus(eye({ x: 9, y: 6, radius: 3 }), { xPx: 9, yPx: 6, radiusPx: 3 }, 0)).toMatchObject({ ok: false, why: 'too-small' });
    const blank: Raster = { width: 100, height: 80, channels: 1, data: new Float32Array(8000).fill(0.3) };
    expect(fitLimbus(blank, { xPx: 50, yPx: 40, radiusPx: 15 }, 0)).toMatchObject({ ok: false, why: 'no-edge' });
  });
});

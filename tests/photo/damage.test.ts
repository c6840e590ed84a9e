/**
 * Damaged files: whatever the bytes, an answer or a refusal comes back, in good time, and nothing is thrown.
 */
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import fc from 'fast-check';
import sharp from 'sharp';
import { describe, expect, it } from 'vitest';
import { openPhoto } from '#lib/photo/open.ts';
import { PHOTO_FAULTS } from '#lib/photo/types.ts';
import { deepTiff, fileOf, GRADIENT, gradientCodes } from '#tests/photo/pictures.ts';

const picture = { ...GRADIENT, data: gradientCodes(255) };
const LONGEST_MS = 20_000;

/** Some bytes changed, mostly near the front where the structure is, and perhaps the end cut off. */
const wounds = fc.record({
  bytes: fc.array(
    fc.record({ at: fc.double({ min: 0, max: 1, noNaN: true }), value: fc.integer({ min: 0, max: 255 }), front: fc.boolean() }),
    {
      minLength: 1,
      maxLength: 12,
    },
  ),
  keep: fc.oneof({ weight: 3, arbitrary: fc.constant(1) }, { weight: 1, arbitrary: fc.double({ min: 0.05, max: 1, noNaN: true }) }),
});

function wounded(file: Uint8Array, { bytes, keep }: { bytes: { at: number; value: number; front: boolean }[]; keep: number }): Uint8Array {
  const out = file.slice(0, Math.max(1, Math.floor(file.length * keep)));
  for (const { at, value, front } of bytes) out[Math.floor(at * Math.min(out.length, front ? 700 : out.length) * 0.999)] = value;
  return out;
}

async function survives(bytes: Uint8Array): Promise<void> {
  const started = performance.now();
  const answers: { ok: boolean; why?: string; detail?: string }[] = [];
  const photo = await openPhoto(bytes, 'damaged.jpg');
  answers.push(photo);
  if (photo.ok) {
    answers.push(await photo.value.glance(80));
    answers.push(await photo.value.develop({ x: 5, y: 5, width: 80, height: 60 }, 0.7));
  }
  for (const answer of answers) {
    if (answer.ok) continue;
    expect(PHOTO_FAULTS).toContain(answer.why);
    expect(answer.detail).toMatch(/^damaged\.jpg .*\.$/);
  }
  expect(performance.now() - started).toBeLessThan(LONGEST_MS);
}

describe('law', () => {
  it('a JPEG wounded anywhere is answered or refused, 100 times', async () => {
    const file = new Uint8Array(
      await sharp(picture.data, { raw: { ...GRADIENT, channels: 3 } })
        .withMetadata({
          orientation: 6,
          icc: 'p3',
          exif: { IFD0: { Make: 'M', Model: 'M 1' }, IFD2: { DateTimeOriginal: '2026:01:01 00:00:00' } },
        })
        .jpeg({ quality: 90 })
        .toBuffer(),
    );
    await survives(file);
    await fc.assert(
      fc.asyncProperty(wounds, (wound) => survives(wounded(file, wound))),
      { numRuns: 100, seed: 20261125 },
    );
  });

  it.each(['png', 'webp', 'tiff', '16-bit tiff', 'heic'] as const)(
    'a %s wounded anywhere is answered or refused, 40 times',
    async (format) => {
      const file =
        format === 'heic'
          ? new Uint8Array(readFileSync(join(import.meta.dirname, 'fixtures/gradient-p3.heic')))
          : format === '16-bit tiff'
            ? deepTiff({ ...GRADIENT, data: gradientCodes(65535) }, 'II', 5)
            : await fileOf(picture, format, 3);
      await survives(file);
      await fc.assert(
        fc.asyncProperty(wounds, (wound) => survives(wounded(file, wound))),
        { numRuns: 40, seed: 20261125 },
      );
    },
  );
});

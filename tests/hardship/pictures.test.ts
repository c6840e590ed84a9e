/**
 * Five hundred spoilt pictures through the shelf and the gate, as an upload and its check take them: an answer or a refusal with a
 * sentence each time, nothing thrown, and the memory back where it was.
 */
import fc from 'fast-check';
import sharp from 'sharp';
import { describe, expect, it } from 'vitest';
import { checkPhoto } from '#lib/compare/check-photo.ts';
import { FACE_FAULTS } from '#lib/face/types.ts';
import { openRecord } from '#lib/record/open.ts';
import { facePicture } from '#tests/app/fixtures/scene.ts';
import { withDir } from '#tests/record/sample-jobs.ts';
import { badPicture } from './mutations.ts';

const RUNS = 500;
/** Small, so that five hundred are quick; what is spoilt is the structure. */
const SMALL_PX = 320;

describe('law', () => {
  it(
    `${RUNS} spoilt pictures are judged or refused, and leave no memory behind`,
    () =>
      withDir(async (dataDir) => {
        const face = sharp(await facePicture(0)).resize(SMALL_PX);
        const exif = { IFD0: { Make: 'M', Model: 'M 1' }, IFD2: { DateTimeOriginal: '2026:01:01 00:00:00' } };
        const goods = (
          await Promise.all([
            face.clone().withMetadata({ orientation: 6, icc: 'p3', exif }).jpeg().toBuffer(),
            face.clone().jpeg({ progressive: true }).toBuffer(),
            face.clone().png().toBuffer(),
            face.clone().webp().toBuffer(),
            face.clone().tiff({ compression: 'lzw' }).toBuffer(),
            face.clone().tiff({ compression: 'none' }).toBuffer(),
          ])
        ).map((bytes) => new Uint8Array(bytes));
        const record = openRecord({ dataDir });
        let seen = 0;
        const one = async (bytes: Uint8Array): Promise<void> => {
          const added = await record.addPhoto(bytes, 'spoilt.jpg');
          if (!added.ok) {
            expect([added.why, bytes.length]).toEqual(['empty', 0]);
            return;
          }
          const kept = (await record.photoBytes(added.value.sha256))!;
          expect(kept).toEqual(bytes);
          const check = await checkPhoto({ name: 'spoilt.jpg', bytes: kept });
          if (check.ok || (FACE_FAULTS as readonly string[]).includes(check.why)) seen++;
          if (!check.ok) expect(check.detail).toMatch(/^[A-Z"s].*\.$/s);
          await record.removePhoto(added.value.sha256);
        };
        // The engine starts with the first picture that is whole.
        for (const good of goods) await one(good);
        await fc.assert(fc.asyncProperty(badPicture(goods), one), { numRuns: 100, seed: 1 });
        const settled = process.memoryUsage.rss();
        await fc.assert(fc.asyncProperty(badPicture(goods), one), { numRuns: RUNS - 100, seed: 2 });
        // Four times as many again; a leak of one developed picture each (1.5 MB) would show as 150 MB and more.
        expect((process.memoryUsage.rss() - settled) / 2 ** 20).toBeLessThan(60);
        // Not all fell at the first fence: the engine looked for a face in many.
        expect(seen).toBeGreaterThan(RUNS / 10);
        await record.close();
      }),
    240_000,
  );
});

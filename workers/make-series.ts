/**
 * Makes a study of drawn faces to try a series with: subjects in two groups, a baseline and a follow-up two months later, some
 * baselines photographed twice, two raters, and a manifest that says all of it. Nobody is shown.
 * Run: `node workers/make-series.ts FOLDER [--pairs 200] [--seed 1]`. Same program, same bytes.
 */
import { mkdir, writeFile } from 'node:fs/promises';
import { dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { parseArgs } from 'node:util';
import { stringify } from 'csv-stringify/sync';
import sharp from 'sharp';
import { CLINIC_CAMERA } from '#lib/phantom/camera.ts';
import { identityFrom } from '#lib/phantom/identity.ts';
import { pairSpecs } from '#lib/phantom/pair.ts';
import { renderFace } from '#lib/phantom/render.ts';
import type { PhantomSpec } from '#lib/phantom/types.ts';
import { MANIFEST_FIELDS } from '#lib/series/manifest-row.ts';
import { randomFrom } from '#lib/stats/random.ts';

export type MadeSeries = Readonly<{ manifest: string; pairs: number; subjects: number }>;

/** Small photographs that still pass the gate, so that a pair takes two seconds. */
const CAMERA = { ...CLINIC_CAMERA, widthPx: 480, heightPx: 600, interpupillaryPx: 120 };
/** Every fourth subject is photographed twice at the baseline. */
const REPEAT_EVERY = 4;
const BASELINE = '2026-03-02';
const FOLLOW_UP = '2026-05-04';
const TREATED_ON = '2026-03-09';
const ZONES = ['midface-left', 'midface-right'] as const;
const LOSS_ML = -0.9;

/** `pairs` counts follow-ups and repeats. */
export async function makeSeries(folder: string, { pairs, seed = 1 }: { pairs: number; seed?: number }): Promise<MadeSeries> {
  const rows: Record<string, string>[] = [];
  let made = 0;
  let subjects = 0;
  for (; made < pairs; subjects++) {
    const random = randomFrom(1000 * seed + subjects);
    const code = `S${String(subjects + 1).padStart(4, '0')}`;
    const treated = subjects % 2 === 0;
    const small = (spread: number): number => spread * random.normal();
    const nuisance = () => ({
      yawDeg: small(0.6),
      pitchDeg: small(0.5),
      lightAzimuthDeg: small(0.8),
      exposure: 1 + small(0.02),
      shiftXMm: small(1.5),
      noiseSeed: 100 + Math.floor(1e6 * random.uniform()),
    });
    const base = { identity: identityFrom(9000 * seed + subjects), quality: 'draft' as const, camera: CAMERA };
    const loss = treated ? ZONES.map((zone) => ({ zone, volumeMl: LOSS_ML * (1 + small(0.15)), spreadMm: 6 })) : [];
    const { before, after } = pairSpecs({ ...base, loss, nuisance: nuisance() });
    const shoot = async (visit: string, day: string, time: string, role: string, spec: PhantomSpec, more: Record<string, string> = {}) => {
      const file = `${code}/${visit}/front.jpg`;
      await photograph(join(folder, file), spec, `${day.replaceAll('-', ':')} ${time}`);
      rows.push({
        subject: code,
        visit,
        date: day,
        view: 'frontal',
        file,
        role,
        group: treated ? 'treated' : 'control',
        treatedOn: TREATED_ON,
        zones: ZONES.join(';'),
        ...more,
      });
    };
    const grade = (): string => String(Math.max(-4, Math.min(4, Math.round((treated ? -2 : 0) + small(0.8)))));
    await shoot('baseline', BASELINE, '10:00:00', 'baseline', before);
    if (made < pairs) {
      await shoot('follow-up', FOLLOW_UP, '10:00:00', 'follow-up', after, { 'rater:A': grade(), 'rater:B': grade() });
      made++;
    }
    if (subjects % REPEAT_EVERY === 0 && made < pairs) {
      const again = pairSpecs({ ...base, nuisance: nuisance() }).after;
      await shoot('baseline-again', BASELINE, '10:20:00', 'repeat', again, { repeatOf: 'baseline' });
      made++;
    }
  }
  const manifest = join(folder, 'manifest.csv');
  await writeFile(
    manifest,
    stringify(rows, { header: true, columns: [...MANIFEST_FIELDS, 'rater:A', 'rater:B'], record_delimiter: '\r\n' }),
  );
  return { manifest, pairs: made, subjects };
}

async function photograph(path: string, spec: PhantomSpec, takenAt: string): Promise<void> {
  const { raster } = renderFace(spec);
  await mkdir(dirname(path), { recursive: true });
  const jpeg = await sharp(raster.data, { raw: { width: raster.width, height: raster.height, channels: 3 } })
    .withExif({ IFD0: { Make: 'Drawn', Model: 'Drawn One' }, IFD2: { DateTimeOriginal: takenAt } })
    .jpeg({ quality: 92 })
    .toBuffer();
  await writeFile(path, jpeg);
}

if (process.argv[1] === fileURLToPath(import.meta.url)) {
  const { values, positionals } = parseArgs({
    options: { pairs: { type: 'string', default: '200' }, seed: { type: 'string', default: '1' } },
    allowPositionals: true,
  });
  const [folder] = positionals;
  if (folder === undefined) throw new Error('Name the folder: node workers/make-series.ts FOLDER [--pairs 200] [--seed 1]');
  const made = await makeSeries(folder, { pairs: Number(values.pairs), seed: Number(values.seed) });
  console.log(`${made.pairs} pairs of ${made.subjects} subjects: ${made.manifest}`);
}

/**
 * Makes the demo: two visits of one invented case in three views, and the same case photographed twice without any change, as JPEGs
 * with their recipe. Run: `node workers/make-demo.ts [folder]`. Same program, same bytes.
 */
import { mkdir, writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import sharp from 'sharp';
import { identityFrom } from '#lib/phantom/identity.ts';
import { type NuisanceSpec, pairSpecs } from '#lib/phantom/pair.ts';
import { renderFace } from '#lib/phantom/render.ts';
import type { LossSpec, PhantomSpec, PhantomTruth } from '#lib/phantom/types.ts';

const CASE = 'EBB-0417';
const JPEG = { quality: 92, chromaSubsampling: '4:4:4' } as const;
/** The spread change thins out over all neighbours; smaller shares are left out of the recipe. */
const TOLD_FROM_ML = 0.005;
const CAMERA = { widthPx: 900, heightPx: 1150, interpupillaryPx: 232 } as const;
const VIEWS = { frontal: 0, 'oblique-left': -38, 'oblique-right': 38 } as const;
type ViewName = keyof typeof VIEWS;

/** Both midfaces and tear troughs are a little emptier after the reversal: spread out, and nowhere deep. */
const LOSS: readonly LossSpec[] = [
  { zone: 'midface-left', volumeMl: -1.3, spreadMm: 7 },
  { zone: 'midface-right', volumeMl: -1.1, spreadMm: 7 },
  { zone: 'infraorbital-left', volumeMl: -0.3, spreadMm: 5 },
  { zone: 'infraorbital-right', volumeMl: -0.3, spreadMm: 5 },
];

/** The second visit was photographed with the usual care, no more. */
const SECOND_VISIT: NuisanceSpec = {
  lightAzimuthDeg: 4,
  yawDeg: 1.5,
  pitchDeg: -1.2,
  rollDeg: 0.8,
  exposure: 1.06,
  red: 1.01,
  blue: 0.985,
  distanceFactor: 1.02,
  shiftXMm: 3,
  shiftYMm: -2,
};

/** Each photograph has noise and a small turn of its own. */
const BY_VIEW: Readonly<Record<ViewName, Readonly<{ seed: number; turnDeg: number }>>> = {
  frontal: { seed: 11, turnDeg: 0 },
  'oblique-left': { seed: 21, turnDeg: -0.7 },
  'oblique-right': { seed: 31, turnDeg: 0.6 },
};

const identity = identityFrom(1, 0.22);
const folder = process.argv[2] ?? 'demo-images';
await mkdir(folder, { recursive: true });
const recipe: { files: Record<string, PhantomSpec>; truth: Record<string, PhantomTruth['zoneMl']> } = { files: {}, truth: {} };

async function shoot(name: string, spec: PhantomSpec): Promise<void> {
  const { raster, truth } = renderFace(spec);
  const jpeg = await sharp(raster.data, { raw: { width: raster.width, height: raster.height, channels: 3 } })
    .jpeg(JPEG)
    .toBuffer();
  await writeFile(join(folder, name), jpeg);
  recipe.files[name] = spec;
  const told = Object.entries(truth.zoneMl)
    .filter(([, volume]) => Math.abs(volume) >= TOLD_FROM_ML)
    .map(([zone, volume]) => [zone, Number(volume.toFixed(3))]);
  if (told.length > 0) recipe.truth[name] = Object.fromEntries(told);
  console.log(`${name}  ${Math.round(jpeg.length / 1000)} kB`);
}

for (const [view, yawDeg] of Object.entries(VIEWS) as [ViewName, number][]) {
  const { seed, turnDeg } = BY_VIEW[view];
  const base = { identity, camera: { ...CAMERA, noiseSeed: seed }, pose: { yawDeg }, quality: 'fine' } as const;
  const nuisance = { ...SECOND_VISIT, yawDeg: SECOND_VISIT.yawDeg! + turnDeg };
  const { before, after } = pairSpecs({ ...base, loss: LOSS, nuisance });
  await shoot(`before-${view}.jpg`, before);
  await shoot(`after-${view}.jpg`, after);
  if (view === 'frontal')
    await shoot(
      'repeat-frontal.jpg',
      pairSpecs({ ...base, nuisance: { ...nuisance, lightAzimuthDeg: -3, yawDeg: -1, exposure: 0.96, noiseSeed: seed + 5 } }).after,
    );
}

await writeFile(
  join(folder, 'recipe.json'),
  `${JSON.stringify(
    {
      case: CASE,
      story:
        'An invented case, drawn by the program: filler of both midfaces and tear troughs was dissolved; the second visit is four weeks later. The repeat is the first visit photographed again, without any change.',
      madeBy: 'node workers/make-demo.ts',
      jpeg: JPEG,
      truthMl: recipe.truth,
      files: recipe.files,
    },
    null,
    1,
  )}\n`,
);

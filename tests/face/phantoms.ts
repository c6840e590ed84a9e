/**
 * Rendered faces as photographs, for tests of what is read from them. Small and quick: 520 px wide, 150 px between the pupils.
 */
import { sightFace } from '#lib/face/sight.ts';
import type { Face, ScaleHint } from '#lib/face/types.ts';
import { type NuisanceSpec, pairSpecs } from '#lib/phantom/pair.ts';
import { type PhantomOptions, phantomSpec, renderFace } from '#lib/phantom/render.ts';
import type { PhantomSpec, PhantomTruth } from '#lib/phantom/types.ts';
import { encodeImage } from '#lib/photo/encode.ts';
import { openPhoto } from '#lib/photo/open.ts';
import type { OpenPhoto, Srgb8Raster } from '#lib/photo/types.ts';

export const PUPILS_PX = 150;
const SMALL = { widthPx: 520, heightPx: 650, interpupillaryPx: PUPILS_PX } as const;

export async function photoOf(raster: Srgb8Raster): Promise<OpenPhoto> {
  const opened = await openPhoto(await encodeImage(raster, 'png'), 'phantom.png');
  if (!opened.ok) throw new Error(opened.detail);
  return opened.value;
}

type Shot = Readonly<{ raster: Srgb8Raster; truth: PhantomTruth }>;

/** Rendering is the slow part, so each picture of a test file is rendered once. */
const shots = new Map<string, Shot>();
function shot(spec: PhantomSpec): Shot {
  const key = JSON.stringify(spec);
  const kept = shots.get(key) ?? renderFace(spec);
  shots.set(key, kept);
  return kept;
}

export function rendered(options: PhantomOptions = {}): Shot {
  return shot(phantomSpec({ quality: 'draft', ...options, camera: { ...SMALL, ...options.camera } }));
}

export async function sighted(raster: Srgb8Raster, hint: ScaleHint = { kind: 'iris' }): Promise<Face> {
  const face = await sightFace(await photoOf(raster), hint);
  if (!face.ok) throw new Error(face.detail);
  return face.value;
}

/** The face of person 1 at rest, and the same with a nuisance. */
export async function sightedPair(nuisance: NuisanceSpec, options: PhantomOptions = {}): Promise<[Face, Face]> {
  const { before, after } = pairSpecs({ quality: 'draft', ...options, nuisance, camera: { ...SMALL, ...options.camera } });
  return [await sighted(shot(before).raster), await sighted(shot(after).raster)];
}

/** A raster of one colour, with pictures laid on it. */
export function pasted(
  width: number,
  height: number,
  parts: readonly (readonly [raster: Srgb8Raster, x: number, y: number])[],
  grey = 120,
): Srgb8Raster {
  const data = new Uint8Array(3 * width * height).fill(grey);
  for (const [raster, left, top] of parts)
    for (let y = 0; y < raster.height; y++) {
      const row = top + y;
      if (row < 0 || row >= height) continue;
      for (let x = 0; x < raster.width; x++) {
        if (left + x < 0 || left + x >= width) continue;
        for (let c = 0; c < 3; c++) data[3 * (row * width + left + x) + c] = raster.data[3 * (y * raster.width + x) + c];
      }
    }
  return { encoding: 'srgb8', width, height, data };
}

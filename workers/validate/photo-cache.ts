/**
 * Rendered photographs, kept by the hash of what they were made from, so that a second run need not draw them again.
 */
import { mkdirSync, readFileSync, renameSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { sha256Hex } from '#lib/compare/sha256.ts';
import { renderFace } from '#lib/phantom/render.ts';
import type { PhantomSpec } from '#lib/phantom/types.ts';
import { encodeImage } from '#lib/photo/encode.ts';
import { canonicalJson } from '#shared/canonical-json.ts';
import type { ZoneId } from '#shared/zones.ts';

/** Raise when the renderer changes what it draws. */
const RENDERER = 2;

export type CachedPhoto = Readonly<{
  bytes: Uint8Array;
  /** True volume change of each zone that has one, mL. */
  zoneMl: Readonly<Partial<Record<ZoneId, number>>>;
  /** mm between the pupils, across the line of sight. */
  pupilsMm: number;
}>;

export async function photographOf(spec: PhantomSpec, jpegQuality: number, folder: string): Promise<CachedPhoto> {
  const stem = join(folder, sha256Hex(canonicalJson({ spec, jpegQuality, renderer: RENDERER })).slice(0, 40));
  try {
    const known = JSON.parse(readFileSync(`${stem}.json`, 'utf8')) as Omit<CachedPhoto, 'bytes'>;
    return { ...known, bytes: new Uint8Array(readFileSync(`${stem}.jpg`)) };
  } catch {
    const { raster, truth } = renderFace(spec);
    const bytes = await encodeImage(raster, 'jpeg', { quality: jpegQuality });
    const { zoneMl, pupilsPx: p, mmPerPx } = truth;
    const known = { zoneMl, pupilsMm: Math.hypot(p[2] - p[0], p[3] - p[1]) * mmPerPx };
    mkdirSync(folder, { recursive: true });
    writeWhole(`${stem}.jpg`, bytes);
    writeWhole(`${stem}.json`, JSON.stringify(known)); // last: a photograph counts only with its truth
    return { ...known, bytes };
  }
}

/** A run that is stopped leaves no half file behind. */
function writeWhole(file: string, data: Uint8Array | string): void {
  const part = `${file}.${process.pid}.part`;
  writeFileSync(part, data);
  renameSync(part, file);
}
